"""Where on the trail? Travel of both ends over the same places, what happened where, and deep hits on average."""

from __future__ import annotations

from collections.abc import Mapping

from bokeh.document import Document
from bokeh.models import ColumnDataSource

from dashboards.figures.aligned_hits import aligned_hits
from dashboards.figures.lap_trace import close_up
from dashboards.figures.trail_trace import CourseAxis, TrailTrace, as_points, course_axis, trail_trace
from telemetry.model.curves import TrailEvent
from telemetry.model.finding import End
from telemetry.pipeline import Along, close_up_of
from telemetry.words import counted, figure

from .view import Page, View

ENDS: tuple[End, ...] = ("rear", "front")
POINTS = 2400
"""Of one line: four a pixel on a panel of 600; a wider one shows no less, for lowest and highest are always kept."""
LISTED = 8
_UNITS = {"s": "s of riding", "m": "m ridden"}


def event_name(event: TrailEvent) -> str:
    """Return how a link names an event."""
    return f"{event.run}:{event.end}:{event.at_s:.3f}"


def _lines(view: View, along: Along, end: End, axis: CourseAxis) -> TrailTrace:
    lines = {
        picture.run: (picture.setup, *along.traces[picture.run, end].over(*axis.part, POINTS))
        for picture in view.seen.pictures
        if (picture.run, end) in along.traces
    }
    events = [
        (event, view.choice.link(event=event_name(event), page="where")) for event in along.events if event.end == end
    ]
    return trail_trace(lines, events, along.flights or (), view.styles, axis, end)


class Magnifier:
    """Fills the lines with the detail of whatever part of the trail is looked at.

    Parameters
    ----------
    along : Along
    axis : CourseAxis
    lines : mapping of (run, end) to ColumnDataSource
    """

    def __init__(self, along: Along, axis: CourseAxis, lines: Mapping[tuple[str, End], ColumnDataSource]) -> None:
        self._along = along
        self._axis = axis
        self._lines = lines
        self._asked = False

    def live(self, document: Document) -> None:
        """Answer from now on, once for both borders of a new part."""

        def changed(_name: str, _old: float, _new: float) -> None:
            if not self._asked:
                self._asked = True
                document.add_next_tick_callback(self.fill)

        for border in ("start", "end"):
            self._axis.range.on_change(border, changed)

    def fill(self) -> None:
        """Put in the detail of the part that is looked at now."""
        self._asked = False
        for key, source in self._lines.items():
            source.data = as_points(*self._along.traces[key].over(*self._axis.part, POINTS))


def _row(view: View, event: TrailEvent, unit: str) -> dict[str, str]:
    return {
        "name": event_name(event),
        "what": "bottomed" if event.kind == "bottom-out" else "deep hit",
        "end": event.end,
        "run": event.run,
        "token": view.styles[event.setup].token,
        "place": f"{figure(event.place, 1)} {unit}",
        "section": str(event.section),
        "at": f"{figure(event.at_s, 2)} s",
        "depth": f"{figure(event.depth_pct, 1)} % ({figure(event.depth_mm, 0)} mm)",
        "speed": f"{figure(event.entry_speed_mm_s / 1000, 1)} m/s",
        "link": view.choice.link(event=event_name(event)),
    }


def _listed(events: tuple[TrailEvent, ...]) -> list[TrailEvent]:
    """Return the deepest of each end, those that bottomed first."""
    found = []
    for end in ENDS:
        own = sorted(
            (event for event in events if event.end == end), key=lambda e: (e.kind != "bottom-out", -e.depth_pct)
        )
        found.extend(own[:LISTED])
    return found


def _finding(along: Along) -> str:
    parts = []
    for end in ENDS:
        own = [event for event in along.events if event.end == end]
        if not own:
            continue
        deepest = max(own, key=lambda event: event.depth_pct)
        bottoms = sum(event.kind == "bottom-out" for event in own)
        bottomed = f", bottomed {counted(bottoms, 'time')}" if bottoms else ""
        parts.append(
            f"{end} deepest in section {deepest.section}: {figure(deepest.depth_pct, 0)} % "
            f"({figure(deepest.depth_mm, 0)} mm), {deepest.run}{bottomed}"
        )
    text = "; ".join(parts) or "no hit of 6 % of travel or more"
    return text[0].upper() + text[1:]


def page(view: View) -> Page:
    """Return the shown runs along the trail."""
    along = view.along()
    borders = along.borders
    span = view.choice.span
    if span is not None:
        first, last = max(span[0], float(borders[0])), min(span[1], float(borders[-1]))
        span = (first, last) if first < last else None
    axis = course_axis(borders, f"{_UNITS[along.unit]}, as in {along.measured_by}", span)
    traces = {end: _lines(view, along, end, axis) for end in ENDS if any(key[1] == end for key in along.traces)}
    listed = _listed(along.events)
    chosen = next((event for event in along.events if event_name(event) == view.choice.event), None)
    shown = chosen or max(listed, key=lambda event: event.depth_pct, default=None)
    averages = [aligned_hits(along.aligned, view.styles, end) for end in ENDS]
    lines = {(run, end): source for end, trace in traces.items() for run, source in trace.lines.items()}
    return Page(
        template="where.html",
        finding=_finding(along),
        panels={
            "traces": tuple(trace.drawn for trace in traces.values()),
            "close_up": () if shown is None else (close_up(close_up_of(view.done, shown), view.styles[shown.setup]),),
            "averages": tuple(item for item in averages if item is not None),
        },
        facts={
            "rows": [_row(view, event, along.unit) for event in listed],
            "shown": None if shown is None else _row(view, shown, along.unit),
            "chosen": chosen is not None,
            "flights": None if along.flights is None else len(along.flights),
            "unit": along.unit,
            "measured_by": along.measured_by,
        },
        live=Magnifier(along, axis, lines).live,
    )
