"""A change to the day's file: asked for on a page, shown as lines that come and go, then written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

from telemetry.errors import CallError, clean_text
from telemetry.model.catalogue import FAMILY
from telemetry.model.day import RideDay
from telemetry.pipeline import AddRun, Bounds, LeaveOut, NameFocus, Proposal, new_logs, propose

Fields = tuple[tuple[str, str], ...]
PAGE = "write"
ASKED_BY = frozenset({"what", "name", "start", "end", "reason", "focus", "setup_of"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A proposal, and the fields by which it is asked for again when it is to be written."""

    proposal: Proposal
    fields: Fields
    title: str


def fields_of(arguments: Mapping[str, Sequence[bytes]]) -> Fields:
    """Return what of a request's arguments asks for a change."""
    return tuple(
        (name, value.decode("utf-8", "replace"))
        for name, values in sorted(arguments.items())
        if name in ASKED_BY
        for value in values
    )


def _seconds(text: str, what: str) -> float | None:
    if not text.strip():
        return None
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise CallError(what, repr(clean_text(text, longest=40)), "seconds, such as 12.5, or nothing", "mend the field")
    return round(value, 3)


def _bounds(name: str, one: Mapping[str, str]) -> Bounds:
    return Bounds(
        run=name,
        start_s=_seconds(one.get("start", ""), f"the start of {name}"),
        end_s=_seconds(one.get("end", ""), f"the end of {name}"),
    )


def _new_run(day: RideDay, name: str, one: Mapping[str, str]) -> AddRun:
    log = next((log for log in new_logs(day) if log.name == name), None)
    if log is None:
        raise CallError(day.folder.name, f"no new log {clean_text(name, longest=80)!r}", "one that was just copied")
    written = dt.datetime.fromtimestamp(log.stat().st_mtime)  # noqa: DTZ006 - the tuner's own clock, as in the file
    return AddRun(log=log.name, setup=one.get("setup_of", ""), started_at=written)


def show(day: RideDay, fields: Fields, now: dt.datetime) -> Shown:
    """Return the change that a page asks for, to be looked at.

    Parameters
    ----------
    day : RideDay
    fields : sequence of (name, value)
    now : datetime
        Local, for when a focus is named.

    Raises
    ------
    CallError, RideDayError
        If what is asked for makes no sense, or the day would be wrong with it.
    """
    one = dict(fields)
    what, name = one.get("what", ""), one.get("name", "")
    if what == "bounds":
        return _shown(day, fields, _bounds(name, one), f"Mark start and end of {name}")
    if what == "leave_out":
        return _shown(day, fields, LeaveOut(run=name, reason=one.get("reason", "")), f"Leave out {name}")
    if what == "take_in":
        return _shown(day, fields, LeaveOut(run=name, reason=None), f"Take {name} back in")
    if what == "focus":
        focus = tuple(value for field, value in fields if field == "focus")
        return _shown(day, fields, NameFocus(focus=focus, named_at=now), "Name what decides")
    if what == "run":
        return _shown(day, fields, _new_run(day, name, one), f"Take in {name}")
    raise CallError("this link", f"a change {clean_text(what, longest=40)!r}", "one that a page offers")


def _shown(day: RideDay, fields: Fields, wish: Bounds | LeaveOut | NameFocus | AddRun, title: str) -> Shown:
    return Shown(proposal=propose(day, [wish]), fields=fields, title=title)


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusRow:
    """One measure that may be named: a box for each place, by place."""

    label: str
    boxes: Mapping[str, tuple[str, bool]]


def focus_rows(day: RideDay) -> tuple[FocusRow, ...]:
    """Return what may be named as what decides, and what is."""
    named = day.comparison.focus
    rows = []
    for spec in FAMILY:
        boxes: dict[str, tuple[str, bool]] = {
            end: (f"{spec.name}:{end}", (spec.name, end) in named or (spec.name, None) in named) for end in spec.ends
        }
        rows.append(FocusRow(label=spec.label, boxes=boxes))
    return tuple(rows)
