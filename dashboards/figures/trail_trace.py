"""Travel along the trail, runs laid over each other, with what happened where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from bokeh.models import BoxZoomTool, ColumnDataSource, FixedTicker, Line, OpenURL, Range1d, TapTool
from bokeh.models.annotations import BoxAnnotation

from dashboards.theme import LIGHT, SetupStyle, bare_figure, name_axes, ticks
from telemetry.model.arrays import Floats
from telemetry.model.curves import FlownStretch, NamedPlace, TrailEvent
from telemetry.model.finding import End
from telemetry.telling.names import TITLES
from telemetry.telling.trail import event_table
from telemetry.words import counted

from .bands import draw_band_of
from .drawn import Drawn

HEIGHT = 260
FLOWN_AT, NUMBERS_AT, NAMES_AT = -5.0, 108.0, 102.0
UNITS = {"s": "s of riding", "m": "m ridden"}
MARKERS = {"bottom-out": "inverted_triangle", "deep hit": "circle"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseAxis:
    """The places that all panels share.

    Attributes
    ----------
    range : Range1d
        One for all panels: what magnifies one magnifies the other.
    borders : float array
        Of the trail sections.
    unit : {"m", "s"}
    measured_by : str
        The run whose places they are.
    named : sequence of NamedPlace
        The day's named stretches of trail.
    """

    range: Range1d
    borders: Floats
    unit: str
    measured_by: str
    named: Sequence[NamedPlace] = ()

    @property
    def part(self) -> tuple[float, float]:
        """What of it is looked at now."""
        return cast("float", self.range.start), cast("float", self.range.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """What is laid over the trail: one run's line, or the band of all runs of a setup.

    `columns` are its source's: x and y, of a band x, least, mean and most; `runs` says of how many.
    """

    setup: str
    runs: int
    columns: Mapping[str, Any]

    @property
    def banded(self) -> bool:
        """Whether it is a band."""
        return "mean" in self.columns


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailTrace:
    """A panel, and the sources of its lines by run, or of its bands by setup: whoever magnifies fills them anew."""

    drawn: Drawn
    lines: Mapping[str, ColumnDataSource]


def course_axis(borders: Floats, unit: str, measured_by: str, span: tuple[float, float] | None = None) -> CourseAxis:
    """Return the shared axis, from the first border to the last, or over what of a part lies between them."""
    first, last = float(borders[0]), float(borders[-1])
    start, end = (first, last) if span is None else (max(span[0], first), min(span[1], last))
    if start >= end:
        start, end = first, last
    shared = Range1d(start=start, end=end, bounds=(first, last), name="course")
    return CourseAxis(range=shared, borders=borders, unit=unit, measured_by=measured_by)


def as_points(places: Floats, values: Floats) -> dict[str, Any]:
    """Return a line's columns as a source holds them."""
    return {"x": places.astype(np.float32), "y": values.astype(np.float32)}


def _sections(plot: Any, axis: CourseAxis) -> None:
    middles = (axis.borders[:-1] + axis.borders[1:]) / 2
    plot.xgrid.ticker = FixedTicker(ticks=[float(border) for border in axis.borders])
    source = ColumnDataSource({"x": middles, "text": [str(place + 1) for place in range(len(middles))]})
    plot.text(
        x="x",
        y=NUMBERS_AT,
        text="text",
        source=source,
        text_color=LIGHT["soft"],
        text_font_size="11px",
        text_align="center",
        text_baseline="middle",
    )


def _named(plot: Any, named: Sequence[NamedPlace]) -> None:
    for place in named:
        plot.add_layout(
            BoxAnnotation(left=place.start, right=place.end, fill_color=LIGHT["soft"], fill_alpha=0.15, line_color=None)
        )
    if named:
        plot.text(
            x="x",
            y=NAMES_AT,
            text="text",
            source=ColumnDataSource({"x": [place.start for place in named], "text": [place.name for place in named]}),
            text_color=LIGHT["ink"],
            text_font_size="12px",
            text_baseline="top",
            x_offset=3,
        )


def _events(plot: Any, events: Sequence[TrailEvent], links: Sequence[str], styles: Mapping[str, SetupStyle]) -> None:
    for kind, marker in MARKERS.items():
        for name, style in styles.items():
            own = [place for place, item in enumerate(events) if (item.kind, item.setup) == (kind, name)]
            if not own:
                continue
            source = ColumnDataSource(
                {
                    "x": [events[place].place for place in own],
                    "y": [events[place].depth_pct for place in own],
                    "link": [links[place] for place in own],
                }
            )
            filled = style.colour if kind == "bottom-out" else LIGHT["paper"]
            plot.scatter(
                x="x",
                y="y",
                source=source,
                marker=marker,
                size=10,
                fill_color=filled,
                line_color=style.colour,
                line_width=2,
            )
    if any(links):
        plot.add_tools(TapTool(callback=OpenURL(url="@link", same_tab=True)))


def _flown(plot: Any, flights: Sequence[FlownStretch], styles: Mapping[str, SetupStyle]) -> None:
    for name, style in styles.items():
        own = [item for item in flights if item.setup == name]
        if not own:
            continue
        plot.segment(
            x0=[item.start for item in own],
            x1=[item.end for item in own],
            y0=[FLOWN_AT] * len(own),
            y1=[FLOWN_AT] * len(own),
            line_color=style.colour,
            line_width=4,
        )


def trail_trace(
    laid: Mapping[str, Laid],
    events: Sequence[tuple[TrailEvent, str]],
    flights: Sequence[FlownStretch],
    styles: Mapping[str, SetupStyle],
    axis: CourseAxis,
    end: End,
) -> TrailTrace:
    """Return one end's travel along the trail.

    Parameters
    ----------
    laid : mapping of run, or of setup, to Laid
    events : sequence of (TrailEvent, str)
        Of this end, each with the link that chooses it.
    flights : sequence of FlownStretch
    styles : mapping of setup to SetupStyle
    axis : CourseAxis
    end : {"front", "rear"}
    """
    plot = bare_figure(HEIGHT, x_range=axis.range, y_range=(-10, 112))
    name_axes(plot, f"{UNITS[axis.unit]}, as in {axis.measured_by}", "% of travel")
    ticks(plot.yaxis[0], (0, 20, 40, 60, 80, 100))
    plot.add_tools(BoxZoomTool(dimensions="width"))
    _sections(plot, axis)
    _named(plot, axis.named)
    sources = {}
    for name, own in laid.items():
        sources[name] = ColumnDataSource(dict(own.columns), name=name)
        if own.banded:
            draw_band_of(plot, sources[name], styles[own.setup], 1)
        else:
            line = Line(x="x", y="y", line_color=styles[own.setup].colour, line_width=1, line_alpha=0.85)
            plot.add_glyph(sources[name], line)
    _flown(plot, flights, styles)
    _events(plot, [item for item, _ in events], [link for _, link in events], styles)
    shaded = "".join(f" Shaded: {place.name}." for place in axis.named)
    runs = counted(sum(own.runs for own in laid.values()), "run")
    how = "a band a setup" if any(own.banded for own in laid.values()) else "laid over each other"
    bottoms = sum(item.kind == "bottom-out" for item, _ in events)
    drawn = Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]} travel along the trail, {runs} {how}: "
        f"{counted(bottoms, 'bottom-out')} and the {counted(len(events) - bottoms, 'deepest hit')} are marked.{shaded}",
        numbers=event_table([item for item, _ in events], axis.unit),
    )
    return TrailTrace(drawn=drawn, lines=sources)
