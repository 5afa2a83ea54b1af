"""Where on the trail? Travel of both ends over the same places, what happened where, and deep hits on average."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bokeh.document import Document
from bokeh.models import ColumnDataSource

from dashboards.content.trail import (
    Shown,
    average_panels,
    axis_of,
    banded,
    event_name,
    laid_over,
    too_few,
    trace_panels,
)
from dashboards.figures.lap_trace import close_up
from dashboards.figures.trail_trace import CourseAxis
from telemetry.model.curves import TrailEvent
from telemetry.model.finding import End
from telemetry.pipeline import Along, close_up_of
from telemetry.telling.trail import EventWords, deepest_in_words, deepest_of_each_end, event_in_words

from .view import Page, View

POINTS = 2400
"""Of one line: four a pixel on a panel of 600; a wider one shows no less, for lowest and highest are always kept."""


class Magnifier:
    """Fills the lines with the detail of whatever part of the trail is looked at.

    Parameters
    ----------
    along : Along
    shown : Shown
    axis : CourseAxis
    sources : mapping of end to the sources by what they show
    """

    def __init__(
        self, along: Along, shown: Shown, axis: CourseAxis, sources: Mapping[End, Mapping[str, ColumnDataSource]]
    ) -> None:
        self._along = along
        self._shown = shown
        self._axis = axis
        self._sources = sources
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
        for end, sources in self._sources.items():
            for name, laid in laid_over(self._along, self._shown, self._axis.part, end).items():
                sources[name].data = dict(laid.columns)


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """An event as it is listed: in words, with its setup's colour, and the link that chooses it."""

    words: EventWords
    token: str
    link: str
    chosen: bool


def _row(view: View, event: TrailEvent, near: TrailEvent | None) -> EventRow:
    return EventRow(
        words=event_in_words(event, view.along().unit),
        token=view.styles[event.setup].token,
        link=view.choice.link(event=event_name(event)),
        chosen=event == near,
    )


def page(view: View) -> Page:
    """Return the shown runs along the trail."""
    along = view.along()
    axis = axis_of(along, view.choice.span)
    shown = Shown(pictures=view.seen.pictures, styles=view.styles, most_points=POINTS)
    traces = trace_panels(along, shown, axis, lambda event: view.choice.link(event=event_name(event), page="where"))
    rows = deepest_of_each_end(along.events)
    chosen = next((event for event in along.events if event_name(event) == view.choice.event), None)
    near = chosen or max(rows, key=lambda event: event.depth_pct, default=None)
    return Page(
        template="where.html",
        finding=deepest_in_words(along.events),
        panels={
            "traces": tuple(trace.drawn for trace in traces.values()),
            "close_up": () if near is None else (close_up(close_up_of(view.done, near), view.styles[near.setup]),),
            "averages": average_panels(along, view.styles),
        },
        facts={
            "rows": [_row(view, event, near) for event in rows],
            "shown": None if near is None else event_in_words(near, along.unit),
            "chosen": chosen is not None,
            "flights": len(along.flights),
            "no_flight": along.no_flight,
            "too_few": too_few(along, view.styles),
            "banded": banded(shown.pictures),
            "unit": along.unit,
            "measured_by": along.measured_by,
        },
        live=Magnifier(along, shown, axis, {end: trace.lines for end, trace in traces.items()}).live,
    )
