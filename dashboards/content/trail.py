"""The trail's panels: travel along it, deep hits on average, and the deepest of them in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from dashboards.figures.aligned_hits import aligned_hits
from dashboards.figures.drawn import Drawn
from dashboards.figures.trail_trace import CourseAxis, TrailTrace, course_axis, trail_trace
from dashboards.theme import SetupStyle
from telemetry.model.curves import RunPicture, TrailEvent
from telemetry.model.finding import End
from telemetry.pipeline import Along
from telemetry.words import counted, figure

ENDS: tuple[End, ...] = ("rear", "front")
LISTED = 8
_UNITS = {"s": "s of riding", "m": "m ridden"}


def event_name(event: TrailEvent) -> str:
    """Return what a link calls an event."""
    return f"{event.run}:{event.end}:{event.at_s:.3f}"


def axis_of(along: Along, span: tuple[float, float] | None = None) -> CourseAxis:
    """Return the places all panels share; of `span` what lies on the trail."""
    borders = along.borders
    if span is not None:
        first, last = max(span[0], float(borders[0])), min(span[1], float(borders[-1]))
        span = (first, last) if first < last else None
    return course_axis(borders, f"{_UNITS[along.unit]}, as in {along.measured_by}", span)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What the panels show: the runs, how their setups are drawn, how many points a line may have."""

    pictures: Sequence[RunPicture]
    styles: Mapping[str, SetupStyle]
    most_points: int


def trace_panels(
    along: Along, shown: Shown, axis: CourseAxis, link: Callable[[TrailEvent], str] | None = None
) -> dict[End, TrailTrace]:
    """Return travel along the trail, an end a panel.

    Parameters
    ----------
    along : Along
    shown : Shown
    axis : CourseAxis
    link : callable, optional
        Returns where a press on an event's mark leads.
    """
    panels = {}
    for end in ENDS:
        lines = {
            picture.run: (picture.setup, *along.traces[picture.run, end].over(*axis.part, shown.most_points))
            for picture in shown.pictures
            if (picture.run, end) in along.traces
        }
        if lines:
            events = [(event, "" if link is None else link(event)) for event in along.events if event.end == end]
            panels[end] = trail_trace(lines, events, along.flights, shown.styles, axis, end)
    return panels


def average_panels(along: Along, styles: Mapping[str, SetupStyle]) -> tuple[Drawn, ...]:
    """Return deep hits on average, an end a panel, where there are enough of them."""
    found = (aligned_hits(along.aligned, styles, end) for end in ENDS)
    return tuple(panel for panel in found if panel is not None)


def too_few(along: Along, styles: Mapping[str, SetupStyle]) -> tuple[str, ...]:
    """Return what has no average for want of deep hits: ``8 ml per leg, front``."""
    there = {(item.setup, item.end) for item in along.aligned}
    measured = [end for end in ENDS if any(key[1] == end for key in along.traces)]
    return tuple(
        f"{style.label}, {end}" for name, style in styles.items() for end in measured if (name, end) not in there
    )


def listed(events: Sequence[TrailEvent]) -> list[TrailEvent]:
    """Return the deepest of each end, those that bottomed first."""
    found = []
    for end in ENDS:
        own = sorted(
            (event for event in events if event.end == end), key=lambda e: (e.kind != "bottom-out", -e.depth_pct)
        )
        found.extend(own[:LISTED])
    return found


def event_row(event: TrailEvent, unit: str) -> dict[str, str]:
    """Return one event in words, cell by cell."""
    return {
        "name": event_name(event),
        "what": "bottomed" if event.kind == "bottom-out" else "deep hit",
        "end": event.end,
        "run": event.run,
        "place": f"{figure(event.place, 1)} {unit}",
        "section": str(event.section),
        "at": f"{figure(event.at_s, 2)} s",
        "depth": f"{figure(event.depth_pct, 1)} % ({figure(event.depth_mm, 0)} mm)",
        "speed": f"{figure(event.entry_speed_mm_s / 1000, 1)} m/s",
    }


def deepest_in_words(along: Along) -> str:
    """Return where each end went deepest, in a sentence."""
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
