"""A new log as it is entered into the file: a run with its setup, or a recording made off the trail."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from math import isclose
from typing import Any

from telemetry.errors import CallError, clean_text
from telemetry.model.day import RideDay
from telemetry.model.finding import ENDS, End
from telemetry.ride_day import (
    KINDS,
    AddRecording,
    AddRun,
    ChangeSetup,
    Edit,
    kind_in_words,
    metric_value,
    number_typed,
    raw_of,
    spelled,
    spellings_of,
)

from .fields import FieldError, Fields
from .new_logs import new_log, require_new

LONGEST_NOTE = 1000
NEXT_RUN = "-"
"""Stands for a run that isn't entered yet."""
OF_KIND: Mapping[str, tuple[str, ...]] = {"lifted": ("pulled",), "sag": ("load", "side"), "settle": ("load", "side")}
"""What is asked of a kind of recording beside setup and run."""
_TYRE = "tyre_pressure_bar"
_SAFE = re.compile(r"[^a-z0-9]+")


def tyre_field(end: End) -> str:
    """Return the name of the field of a tyre's pressure: a key of the setup, not of the run."""
    return f"v_tyre_{end}"


def entry_edits(day: RideDay, fields: Fields, at: dt.datetime) -> tuple[tuple[Edit, ...], str]:
    """Return what entering a new log changes in the file, and its title.

    Raises
    ------
    CallError
        If there is no such new log; of a field where an answer is missing.
    """
    one = dict(fields)
    log = new_log(day, one.get("name", "")).log
    told = clean_text(log.name, longest=80)
    asked = one.get("kind") or "run"
    kind = next((known for known in KINDS if known == asked), None)
    if kind is None:
        raise CallError("this link", f"a kind {clean_text(asked, longest=40)!r}", f"one of {', '.join(KINDS)}")
    if kind != "run":
        return (_recording(day, log.name, kind, one),), f"Enter {told}: {kind_in_words(kind)}"
    raw = raw_of(day)
    setup, tyres = _with_tyres(day, one, raw)
    rear = one.get("rear_log", "")
    if rear:
        require_new(day, rear)
    run = AddRun(log=log.name, rear_log=rear, setup=setup, started_at=at, more=_more(one, raw))
    return ((run,) if tyres is None else (tyres, run)), f"Enter {told}: a run"


def _more(one: Mapping[str, str], raw: Mapping[str, Any]) -> dict[str, object]:
    """Return a new run's own keys."""
    found: dict[str, object] = {}
    for key in ("pressure_after_front_bar", "pressure_after_rear_bar", "air_temperature_c"):
        if one.get(f"v_{key}", "").strip():
            spelling, value = number_typed(spelled(key, raw), one[f"v_{key}"])
            found[spelling] = value
    for key in ("lever_front", "lever_rear", "rider", "trail_state", "note"):
        text = clean_text(one.get(f"v_{key}", ""), longest=LONGEST_NOTE)
        if text:
            found[key] = text
    return found


def _with_tyres(day: RideDay, one: Mapping[str, str], raw: Mapping[str, Any]) -> tuple[str, ChangeSetup | None]:
    """Return the setup that a run was ridden with, and what its tyre pressures change in the file.

    Where the setup states none they are stated in it; others than it states make another setup, based on it, once.
    """
    name = one.get("setup_of", "")
    setup = day.setups.get(name)
    if setup is None:
        return name, None
    first: dict[str, dict[str, object]] = {}
    other: dict[str, dict[str, object]] = {}
    for end in ENDS:
        text = one.get(tyre_field(end), "")
        if text.strip():
            spelling, value = number_typed(spelled(_TYRE, raw), text)
            held = setup.at(end).number(_TYRE)
            if held is None:
                first[end] = {spelling: value}
            elif not _same(spelling, value, held):
                other[end] = {spelling: value}
    if not other:
        return name, ChangeSetup(setup=name, at=first) if first else None
    units = dict(spellings_of(_TYRE))
    words = [f"{end} tyre {value} {units[key]}" for end, keys in other.items() for key, value in keys.items()]
    label = f"{setup.label}, {', '.join(words)}"
    known = next((own.name for own in day.setups.values() if own.label == label), None)
    if known is not None:
        return known, None
    new = fresh_name(day, label)
    own = {"based_on": name, "label": label}
    return new, ChangeSetup(setup=new, own=own, at={**first, **other}, is_new=True)


def _same(spelling: str, value: object, held_bar: float) -> bool:
    return isinstance(value, int | float) and isclose(metric_value(spelling, value), held_bar, rel_tol=1e-9)


def fresh_name(day: RideDay, label: str) -> str:
    """Return a name for a new setup of that label, that no other has.

    Parameters
    ----------
    day : RideDay
    label : str
    """
    plain = _SAFE.sub("_", label.lower()).strip("_")[:40].strip("_") or "setup"
    taken = set(day.setups)
    return next(name for name in (plain, *(f"{plain}_{n}" for n in range(2, len(taken) + 3))) if name not in taken)


def _recording(day: RideDay, log: str, kind: str, one: Mapping[str, str]) -> AddRecording:
    before = one.get("v_before_run", "")
    if day.runs and before == NEXT_RUN:
        raise FieldError(
            "v_before_run", "a run that isn't entered yet", "one that is: enter that run first, then this recording"
        )
    if day.runs and not before:
        raise FieldError("v_before_run", "nothing", "the run it was made before")
    if kind == "sag" and not one.get("v_load"):
        raise FieldError("v_load", "nothing", "who was on the bike: without it this is neither rider nor free sag")
    if kind == "settle" and not one.get("v_from"):
        raise FieldError("v_from", "nothing", "where it settled from")
    wanted = OF_KIND.get(kind, ())
    more: dict[str, object] = {
        "before_run": before if day.runs else None,
        "load": one.get("v_load") if "load" in wanted else None,
        "from": one.get("v_from") if "side" in wanted else None,
        "setup": one.get("setup_of"),
        "pulled": True if "pulled" in wanted and one.get("v_pulled") else None,
    }
    return AddRecording(log=log, kind=kind, more={key: value or None for key, value in more.items()})


def fields_by_key(day: RideDay, edits: Sequence[Edit]) -> dict[str, str]:
    """Return which key of the file, as it would be, each field of an entry is of."""
    found: dict[str, str] = {}
    for edit in edits:
        if isinstance(edit, AddRun):
            path = f"runs[{_place(day, 'runs')}]"
            found |= {path: "setup_of", f"{path}.setup": "setup_of"}
            found |= {f"{path}.{key}": f"v_{_metric_of_run(key)}" for key in edit.more}
        elif isinstance(edit, AddRecording):
            path = f"static[{_place(day, 'static')}]"
            found |= {f"{path}.setup": "setup_of", f"{path}.{edit.kind}": "kind"}
            found |= {f"{path}.{key}": f"v_{key}" for key in ("before_run", "load", "from", "pulled")}
        elif isinstance(edit, ChangeSetup):
            found |= {f"setups.{edit.setup}.{end}": f"v_tyre_{end}" for end in edit.at}
    return found


def _place(day: RideDay, name: str) -> int:
    return len(raw_of(day).get(name, ())) + 1


def _metric_of_run(key: str) -> str:
    ways = ("pressure_after_front_bar", "pressure_after_rear_bar", "air_temperature_c")
    return next((way for way in ways if key in dict(spellings_of(way))), key)
