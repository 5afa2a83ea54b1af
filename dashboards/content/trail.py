"""The trail's panels: travel along it, and deep hits on average."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dashboards.figures.aligned_hits import aligned_hits
from dashboards.figures.bands import band_columns, band_with_gaps
from dashboards.figures.drawn import Drawn
from dashboards.figures.trail_trace import CourseAxis, Laid, TrailTrace, as_points, course_axis, trail_trace
from dashboards.theme import SetupStyle
from telemetry.model.curves import RunPicture, TrailEvent
from telemetry.model.finding import End
from telemetry.pipeline import Along
from telemetry.telling.names import ENDS
from telemetry.words import with_end

MOST_LINES = 6
"""So many runs are told apart laid over each other; of more each setup is one band. Own choice."""


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


def laid_over(along: Along, shown: Shown, part: tuple[float, float], end: End) -> dict[str, Laid]:
    """Return what is laid over a part of the trail at one end: each run's line, of many runs a band a setup."""
    runs: dict[str, list[str]] = {}
    for picture in shown.pictures:
        if (picture.run, end) in along.traces:
            runs.setdefault(picture.setup, []).append(picture.run)
    if not banded(shown.pictures):
        return {
            run: Laid(setup=setup, runs=1, columns=as_points(*along.traces[run, end].over(*part, shown.most_points)))
            for setup, own in runs.items()
            for run in own
        }
    return {setup: _banded(along, setup, [(run, end) for run in own], shown, part) for setup, own in runs.items()}


def banded(pictures: Sequence[RunPicture]) -> bool:
    """Tell whether so many runs are drawn as a band a setup."""
    return len(pictures) > MOST_LINES


def _banded(along: Along, setup: str, keys: Sequence[tuple[str, End]], shown: Shown, part: tuple[float, float]) -> Laid:
    """Return the band of a setup's runs, from the least that any rode in each short piece of trail to the most."""
    traces = [along.traces[key] for key in keys]
    pieces = min(shown.most_points // 3, max(1, min(trace.between(*part) for trace in traces) // 2))
    edges = np.linspace(*part, pieces + 1)
    low, middle, high = np.stack([trace.of_pieces(edges) for trace in traces], axis=1)
    band = band_with_gaps((edges[:-1] + edges[1:]) / 2, low, middle, high)
    return Laid(setup=setup, runs=len(keys), columns=band_columns(band))


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
        laid = laid_over(along, shown, axis.part, end)
        if laid:
            events = [(event, "" if link is None else link(event)) for event in along.events if event.end == end]
            panels[end] = trail_trace(laid, events, along.flights, shown.styles, axis, end)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailPanels:
    """Panels along the trail, rear first."""

    traces: tuple[Drawn, ...]
    averages: tuple[Drawn, ...]
    banded: bool

    @property
    def every(self) -> tuple[Drawn, ...]:
        """All panels."""
        return (*self.traces, *self.averages)


def trail_panels(
    along: Along, pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], most_points: int
) -> TrailPanels:
    """Return everything along the trail that stands still: nobody magnifies it, and nothing leads on from it.

    Parameters
    ----------
    along : Along
    pictures : sequence of RunPicture
        Those that aren't on the trail are passed over.
    styles : mapping of setup to SetupStyle
    most_points : int
        Of one line.
    """
    drawn = {run for run, _ in along.traces}
    own = [picture for picture in pictures if picture.run in drawn]
    traces = trace_panels(along, Shown(pictures=own, styles=styles, most_points=most_points), axis_of(along))
    return TrailPanels(
        traces=tuple(trace.drawn for trace in traces.values()),
        averages=average_panels(along, styles),
        banded=banded(own),
    )
