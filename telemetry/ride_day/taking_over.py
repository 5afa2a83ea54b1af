"""A draft that takes over an earlier day of the same bike: all it says but for its logs, its date and its weather."""

from __future__ import annotations

import datetime as dt
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from telemetry.errors import CallError, clean_text
from telemetry.model.day import RideDay
from telemetry.model.log import LogSketch
from telemetry.model.sensor import ColumnName, DisplacementSensor, Sensor, columns_of
from telemetry.toml_string import toml_string

from . import draft_words as words
from .draft import FIRST_SETUP, date_line, logs_text
from .edited import COMPARISON, MARKS, RUNS, STATIC, STRETCHES, Change, UnchangeableError, edited
from .file import parse_text, text_of
from .folder import Folder, look_at
from .parts import parts_of

OF_THE_DAY = (RUNS, STATIC, MARKS, STRETCHES)
"""Tables of the logs, which are new every day."""
BESIDE_LOGS = ("leverage", "photo", "logo")
"""Keys that name a file of the day's folder."""
_LISTED = re.compile(r'^# ".*": \d+ rows; .*\n|^#   column \d+.*\n', re.MULTILINE)
"""What a draft said of the earlier day's logs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver:
    """A draft like an earlier day.

    Attributes
    ----------
    text : str
        TOML.
    files : tuple of str
        Files of the earlier day's folder that it names, by their path from there.
    told : tuple of str
        What has to be looked at, a sentence each.
    """

    text: str
    files: tuple[str, ...]
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """An earlier day of the same bike.

    `named` is what it is called in the draft, empty: by its path; `left` is the setup that all runs are taken to be
    ridden with, empty: as on that day in its order.
    """

    day: RideDay
    named: str = ""
    left: str = ""


def draft_like(sketches: Sequence[LogSketch], today: dt.date, ridden: dt.date | None, pattern: Pattern) -> TakenOver:
    """Return a draft that takes over an earlier day of the same bike.

    Parameters
    ----------
    sketches : sequence of LogSketch
        Logs that could be read, at least one, all of one folder.
    today : date
        No log was made later.
    ridden : date or None
        The day ridden, where it is stated.
    pattern : Pattern

    Returns
    -------
    TakenOver

    Raises
    ------
    CallError
        If the earlier day's file has a form that can't be taken over.
    """
    found, earlier = look_at(sketches, today), pattern.day
    folder = sketches[0].path.resolve().parent
    raw = parse_text(text_of(earlier.source, earlier.path), earlier.path.name)
    try:
        kept = _without_logs(_changed(text_of(earlier.source, earlier.path), raw, earlier.folder, folder))
    except (UnchangeableError, TOMLKitError) as error:
        expected = "tables as the handbook shows them"
        raise CallError(str(earlier.path), "a form that can't be taken over", expected, "copy it by hand") from error
    date = date_line(found, today, ridden)
    told = (*_lacking(earlier, found), *([words.STATE_TRAIL] if pattern.named else []))
    of_logs = _setups(found, pattern)
    head = words.LIKE_LEFT.format(day=clean_text(pattern.named), left=clean_text(pattern.left))
    if not pattern.named:
        head = words.LIKE.format(day=clean_text(os.path.relpath(earlier.path.resolve(), folder)))
    todo = "".join(f"# TO DO {clean_text(line)}\n" for line in told)
    dated = re.sub(r"(?m)^(\s*\[\s*ride_day\s*\].*\n)", lambda header: header[1] + date, kept, count=1)
    dated = dated.strip() + ("" if earlier.setups else f"\n{words.SETUPS}")
    text = f"{head}{todo}\n{dated}\n\n{''.join(logs_text(found, *of_logs))}"
    if "ride_day" not in parse_text(text, earlier.path.name):
        raise CallError(str(earlier.path), "no [ride_day]", "the table as the handbook shows it", "write it so")
    return TakenOver(text=text, files=tuple(dict.fromkeys(_files(raw))), told=told)


def _changed(text: str, raw: Mapping[str, Any], before: Path, now: Path) -> str:
    """Return the earlier day's text under its new name, without its date and weather; its paths lead from here."""
    gone: dict[str, object] = dict.fromkeys(("date", "trail_state", "air_temperature_c", "air_temperature_f"))
    text = edited(text, Change(way=("ride_day",), keys={**gone, "title": now.name}))
    for table in (COMPARISON, "plan"):
        own = raw.get(table, {})
        keys: dict[str, object] = {"named_at": None} if "named_at" in own else {}
        if "spread_from" in own:
            keys["spread_from"] = _from_here(own["spread_from"], before, now)
        if keys:
            text = edited(text, Change(way=(table,), keys=keys))
    return text


def _from_here(paths: Any, before: Path, now: Path) -> Any:
    if isinstance(paths, list):
        return [_from_here(path, before, now) for path in paths]
    return Path(os.path.relpath((before / str(paths)).resolve(), now)).as_posix()


def _without_logs(text: str) -> str:
    """Return a day's text without its runs, recordings and marks, and what a draft said of its logs."""
    kept, parts = [], parts_of(text)
    stretches = dict.fromkeys(str(one["name"]) for part in parts for one in part.says.get(STRETCHES, []))
    for place, part in enumerate(parts):
        if any(name in part.header for name in OF_THE_DAY):
            continue
        body, tail = text[part.start : part.filled], text[part.filled : part.end]
        within = [name for name in OF_THE_DAY if not part.header and name in part.says]
        if within:
            document = tomlkit.parse(body)
            for name in within:
                document.remove(name)
            body = document.as_string()
        following = parts[place + 1] if place + 1 < len(parts) else None
        of_logs = following is not None and any(name in following.header for name in OF_THE_DAY)
        kept.append(body + ("\n" if of_logs else _LISTED.sub("", tail)))
    kept += [f"\n[[{STRETCHES}]]\nname = {toml_string(name)}\n" for name in stretches]  # where they lie is to be marked
    return re.sub(r"\n{3,}", "\n\n", _answered("".join(kept)))


def _answered(text: str) -> str:
    """Return a day's text without the questions of a draft that it has answered; every other comment stays."""
    marks = "|".join(map(re.escape, words.ANSWERED_MARKS))
    lines = (line for line in text.split("\n") if line not in words.ANSWERED_LINES)
    return "\n".join(re.sub(rf"[ \t]*(?:{marks}).*$", "", line) for line in lines)


def _files(table: Any) -> Iterator[str]:
    """Yield the files that a day names beside its logs."""
    for key, value in table.items() if isinstance(table, Mapping) else ():
        if key in BESIDE_LOGS and isinstance(value, str) and value:
            yield value
        else:
            yield from _files(value)


def _lacking(earlier: RideDay, found: Folder) -> Iterator[str]:
    """Yield which keys name a column that none of the new logs holds, and which column may be it."""
    for key, columns, perhaps in _asked(earlier, found):
        lacking = [column for column in columns if not any(_holds(own, column) for own in found.sketches)]
        if lacking:
            shown = ", ".join(toml_string(str(column)) for column in lacking)
            may_be = f": {toml_string(str(perhaps))} may be it" if perhaps is not None else ""
            yield f"{key} reads {shown}, which none of these logs holds{may_be}"


def _asked(earlier: RideDay, found: Folder) -> Iterator[tuple[str, Sequence[ColumnName], ColumnName | None]]:
    """Yield keys that name columns, the columns, and which of the new logs' may be it."""
    for name, sensor in earlier.sensors.items():
        yield f"sensors.{name}", columns_of(sensor), _likely(sensor, found)
    for setup, own in earlier.setups.items():
        for name, sensor in own.sensors.items():
            if columns_of(sensor) != columns_of(earlier.sensors[name]):
                yield f"setups.{setup}.sensors.{name}", columns_of(sensor), _likely(sensor, found)
    clock = next((own.name for log in found.sketches for own in log.columns if own.proposal == "time"), None)
    for key, options in (("log", earlier.log), ("log.front", earlier.front_log), ("log.rear", earlier.rear_log)):
        time = None if options is None else options.time
        if time is not None and (key == "log" or time != earlier.log.time):
            yield f"{key}.time", (time.column,), clock


def _holds(sketch: LogSketch, column: ColumnName) -> bool:
    if isinstance(column, int):
        return column <= len(sketch.columns)
    return any(str(own.name).casefold() == column.strip().casefold() for own in sketch.columns)


def _likely(sensor: Sensor, found: Folder) -> ColumnName | None:
    if not isinstance(sensor, DisplacementSensor):
        return None
    likely = (found.layout.columns(sketch).get(sensor.end) for sketch in found.sketches)
    return next((own.column.name for own in likely if own is not None), None)


def _setups(found: Folder, like: Pattern) -> tuple[dict[str, str], dict[str, str], tuple[str, str]]:
    """Return each run's setup, by its (front) log, what is asked of it as a comment, and both for a day without runs.

    By the run's file name, else as on the earlier day in its order, else the last that was ridden there.
    """
    earlier, question = like.day, words.SETUP_LEFT if like.left else words.SETUP_LIKE
    pattern = [run.setup for run in earlier.runs] or [like.left or next(iter(earlier.setups), FIRST_SETUP)]
    if len(found.runs) > len(pattern):
        pattern = [pattern[-1]] * len(found.runs)
    setups, asked = {}, {}
    sole = len(earlier.setups) <= 1 and not like.left
    for run, usual in zip(found.runs, pattern, strict=False):
        named = [name for name in earlier.setups if run.said.speaks_of(name)]
        setups[run.log.name] = named[0] if len(named) == 1 else usual
        asked[run.log.name] = "" if len(named) == 1 or sole else question
    return setups, asked, (pattern[-1], "" if sole else words.SETUP_LEFT)
