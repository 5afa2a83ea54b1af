"""Mark the trail: one run over its whole log, on which start, end, a stretch and a place are set by dragging."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from dashboards.figures.line_path import line_path
from dashboards.theme import setup_styles
from telemetry.errors import CallError, clean_text
from telemetry.model.finding import ENDS, End
from telemetry.pipeline import RunTrace, markable, run_trace
from telemetry.ride_day import PlaceMark, PlaceStretch
from telemetry.telling.names import TITLES
from telemetry.words import counted, figure

from .fields import Fields, seconds_of
from .view import Page, View

PAGE = "mark"
PLACES = ("mark", "stretch")
"""What a place on the trail is asked for by."""
LONGEST_NAME = 60
PLACED_LATE = (
    "Choose it by the trail, not by its figures: it gets a verdict only where focus named it before riding (named_at)."
)
POINTS = 8000
"""Of one line: of a run of five minutes the lowest and highest of every 0.075 s, magnified without asking anew."""
TRAVEL_PCT = (-3.0, 104.0)
UNITS = {"%": "% of travel", "g": "upward acceleration, g"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedEnd:
    """One end's line, and what it shows."""

    end: End
    path: str
    alternative: str


def _line(trace: RunTrace, end: End) -> TracedEnd:
    places, values = trace.traces[end].over(trace.first_s, trace.last_s, POINTS)
    least, most = float(np.nanmin(values)), float(np.nanmax(values))
    low, high = TRAVEL_PCT if trace.unit == "%" else (1.05 * least - 0.1, 1.05 * most + 0.1)
    shown = [figure(value, 0 if trace.unit == "%" else 1) for value in (least, most)]
    return TracedEnd(
        end=end,
        path=line_path(places, values, low, high),
        alternative=f"{TITLES[end]} over the whole log: {shown[0]} to {shown[1]} {trace.unit}.",
    )


def _run(view: View) -> str:
    """Return the run that the link names, else the first that can be marked."""
    able = markable(view.done)
    asked = view.choice.event
    if asked and asked not in able:
        raise CallError("this link", f"no run {asked!r} that can be drawn", f"one of {', '.join(able) or 'none'}")
    return asked or able[0]


def page(view: View) -> Page:
    """Return one run to be marked; which one, the link says in its `event`."""
    day = view.analysis.day
    trace = run_trace(view.done, _run(view))
    style = view.styles.get(trace.setup) or setup_styles([trace.setup], {trace.setup: trace.setup})[trace.setup]
    names = dict.fromkeys([*day.stretch_names, *(mark.name for mark in day.marks if not mark.marker)])
    stretches = f"{len(trace.named) or 'no'} named stretch{'' if len(trace.named) == 1 else 'es'}"
    places = counted(len(trace.marks), "place") if trace.marks else "no place"
    return Page(
        template="mark.html",
        finding=f"{trace.run}, {figure(trace.last_s - trace.first_s, 0)} s long: {stretches} and {places} on it",
        facts={
            "trace": trace,
            "unit": UNITS[trace.unit],
            "lines": tuple(_line(trace, end) for end in ENDS if end in trace.traces),
            "token": style.token,
            "names": tuple(names),
            "runs": tuple((name, view.choice.link(event=name, page="mark")) for name in markable(view.done)),
        },
    )


def _at(one: Mapping[str, str], field: str, what: str) -> float:
    """Return seconds that have to be there."""
    found = seconds_of(one.get(field, ""), what)
    if found is None:
        raise CallError(what, "nothing", "seconds, such as 12.5", "set it on the trace, or fill in the field")
    return found


def place_edit(one: Mapping[str, str]) -> tuple[PlaceMark | PlaceStretch, str]:
    """Return the place that was asked for by its fields, and what is done, in words.

    Raises
    ------
    CallError
        If a field lacks or can't be read.
    """
    run, name = one.get("name", ""), clean_text(one.get("called", ""), longest=LONGEST_NAME)
    title = f"Mark {name} in {clean_text(run, longest=80)}"
    if one.get("what") == "mark":
        return PlaceMark(run=run, name=name, at_s=_at(one, "start", "the place")), title
    start_s, end_s = _at(one, "start", "the start of the stretch"), _at(one, "end", "the end of the stretch")
    return PlaceStretch(run=run, name=name, start_s=start_s, end_s=end_s), title


def marked_run(fields: Fields) -> str:
    """Return the run on whose trace a change was asked for; empty where it was asked for elsewhere."""
    one = dict(fields)
    return one.get("name", "") if one.get("what") in PLACES else ""
