"""The trail's panels: travel along it, and deep hits on average."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from dashboards.figures.aligned_hits import aligned_hits
from dashboards.figures.drawn import Drawn
from dashboards.figures.trail_trace import CourseAxis, TrailTrace, course_axis, trail_trace
from dashboards.theme import SetupStyle
from telemetry.model.curves import RunPicture, TrailEvent
from telemetry.model.finding import End
from telemetry.pipeline import Along
from telemetry.telling.names import ENDS
from telemetry.words import with_end


def event_name(event: TrailEvent) -> str:
    """Return what a link calls an event."""
    return f"{event.run}:{event.end}:{event.at_s:.3f}"


def axis_of(along: Along, span: tuple[float, float] | None = None) -> CourseAxis:
    """Return the places all panels share, or a part of them."""
    return replace(course_axis(along.borders, along.unit, along.measured_by, span), named=along.named)


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
        with_end(style.label, end) for name, style in styles.items() for end in measured if (name, end) not in there
    )
