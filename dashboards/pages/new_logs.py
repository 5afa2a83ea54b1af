"""Logs that a day doesn't mention: which there are, what each is, and when it was made."""

from __future__ import annotations

import datetime as dt
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from telemetry.errors import CallError, LogError, clean_text
from telemetry.model.day import RideDay
from telemetry.pipeline import new_logs, recognise_log, recognise_logs
from telemetry.ride_day import NewLog, kind_in_words

KEPT = 4
Found: TypeAlias = tuple[tuple[NewLog, ...], tuple[LogError, ...]]
_Key: TypeAlias = tuple[str, Path, tuple[tuple[Path, int, int], ...]]
_kept: OrderedDict[_Key, Found] = OrderedDict()
"""What was found in the folders looked at last: a log is read once, not for every question that is asked of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A log that isn't entered yet: its name, and what it looks like."""

    name: str
    words: str
    looks: str


def found_in(day: RideDay) -> Found:
    """Return the logs that a day doesn't mention, in the order made, and why others can't be read."""
    logs = new_logs(day)
    key = (day.fingerprint, day.path, tuple(map(_as_it_is, logs)))
    if key not in _kept:
        _kept[key] = recognise_logs(day, logs)
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return _kept[key]


def _as_it_is(log: Path) -> tuple[Path, int, int]:
    try:
        found = log.stat()
    except OSError:  # it went meanwhile; reading it says so
        return log, 0, 0
    return log, found.st_mtime_ns, found.st_size


def new_log(day: RideDay, name: str) -> NewLog:
    """Return a log that the day doesn't mention.

    Raises
    ------
    CallError
        If there is none of that name.
    LogError
        If it can't be read.
    """
    require_new(day, name)
    item = next((item for item in found_in(day)[0] if name in (item.log.name, _rear(item))), None)
    return recognise_log(day, day.folder / name) if item is None else item  # which says why it can't be read


def _rear(item: NewLog) -> str:
    return "" if item.rear_log is None else item.rear_log.name


def require_new(day: RideDay, name: str) -> None:
    """Raise where a day doesn't wait for a log of that name.

    Raises
    ------
    CallError
    """
    if all(log.name != name for log in new_logs(day)):
        found = f"no new log {clean_text(name, longest=80)!r}"
        raise CallError(day.folder.name, found, "one that was just copied")


def made_at(item: NewLog) -> dt.datetime:
    """Return when a log was made, with a zone: by its own clock or name, else when its file was written."""
    if item.started_at is not None:
        return item.started_at.astimezone()
    return dt.datetime.fromtimestamp(item.log.stat().st_mtime, dt.UTC)


def waiting(day: RideDay) -> tuple[tuple[Waiting, ...], tuple[str, ...]]:
    """Return the logs that wait, runs first, for recordings stand before them; and why others can't be read."""
    found, failed = found_in(day)
    ordered = sorted(found, key=lambda item: item.what.kind != "run")
    return tuple(map(_waiting, ordered)), tuple(error.line for error in failed)


def _waiting(item: NewLog) -> Waiting:
    both = f" and {_rear(item)}" if _rear(item) else ""
    why = f" ({item.what.why})" if item.what.why else ""
    asked = item.what.question
    looks = f"{asked[0].upper()}{asked[1:]}" if asked else f"looks like {kind_in_words(item.what.kind)}{why}"
    return Waiting(name=item.log.name, words=f"{item.log.name}{both}", looks=looks)
