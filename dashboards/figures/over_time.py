"""A measure over kept days or laps, side by side in order: each with its interval, and where something was done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bokeh.core.properties import value
from bokeh.models import ColumnDataSource, OpenURL, Scatter, Segment, TapTool, Text

from dashboards.theme import FONT, LIGHT, bare_figure, few_ticks, name_axes, ticks
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.sheet import Table, table
from telemetry.telling.values import places_of
from telemetry.words import figure as number
from telemetry.words import shown_unit, titled, with_end

from .drawn import Drawn

HEIGHT = 210
ROOM = 1.5
"""How much longer the value axis is than what it shows: letters stand beneath the lowest value."""
TALL = 1.12
"""By so much of the value axis a panel is taller: there stand the numbers of what was done."""
BENEATH = 0.17
"""Share of the value axis beneath nought, where letters stand; nothing else does where nothing can be negative."""
MOST_TICKS = 3
"""Dates in words that stand beside each other on a phone."""
INTERVALS_SHARE, LEAST_SPAN_SHARE, LEAST_SPAN_DIGITS = 4.0, 0.05, 5.0
"""Own choices: intervals of two runs reach far; the scale follows them up to so many times what values differ by, and
never shows less than such a share of the values themselves, nor than so many of the last digit they are told with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastPoint:
    """One value in the order of time.

    Attributes
    ----------
    slot : int
        Which day or lap it stands in, from 0.
    within : float
        Where in it, from 0 to 1.
    when, what : str
        The date, and the setup or lap.
    low, high : float or None
        Of its 95 % interval; None with one run.
    of : str
        Of how many runs or recordings; empty for a lap, which is one.
    filled : bool
        Whether the bike was left so.
    group : str
        A letter that tells which values may be held against each other; empty where all may.
    link : str
    """

    slot: int
    within: float
    when: str
    what: str
    value: float
    low: float | None = None
    high: float | None = None
    of: str = ""
    filled: bool = True
    group: str = ""
    link: str = ""


def span_of(panels: Sequence[Sequence[PastPoint]], measure: str) -> float:
    """Return the length of the value axis of all panels of a measure: no step looks taller in one than in another."""
    least = LEAST_SPAN_DIGITS * 10.0 ** -places_of(measure)
    return ROOM * max((_span(points, least) for points in panels), default=least)


def _span(points: Sequence[PastPoint], least: float) -> float:
    values = [point.value for point in points]
    spread = max(max(values) - min(values), LEAST_SPAN_SHARE * max(map(abs, values)), least)
    reach = max(_highest(point) for point in points) - min(_lowest(point) for point in points)
    return min(max(reach, spread), INTERVALS_SHARE * spread)


def _lowest(point: PastPoint) -> float:
    return point.value if point.low is None else point.low


def _highest(point: PastPoint) -> float:
    return point.value if point.high is None else point.high


def over_time(
    points: Sequence[PastPoint], measure: str, end: Place, span: float, done: Mapping[int, str] | None = None
) -> Drawn:
    """Return one measure at one end in the order of time.

    Parameters
    ----------
    points : sequence of PastPoint
        At least one.
    measure : str
    end : {"front", "rear", "both"}
    span : float
        Length of the value axis, in the measure's unit.
    done : mapping of slot to str, optional
        What is written above a day before or on which something was done.
    """
    spec = SPECS[measure]
    values = [point.value for point in points]
    middle = (max(values) + min(values)) / 2
    slots = {point.slot: point.when for point in points}
    least = min(*values, 0.0)
    start = max(middle - span / 2, least - BENEATH * span)
    plot = bare_figure(HEIGHT, x_range=(min(slots), max(slots) + 1), y_range=(start, start + TALL * span))
    plot.xgrid.grid_line_color = None
    name_axes(plot, "", shown_unit(spec.unit))
    few_ticks(plot.yaxis[0])
    _dates(plot, slots)
    _marks(plot, {slot: words for slot, words in (done or {}).items() if slot in slots}, start, span)
    _points(plot, points, start, span)
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{with_end(spec.label, end)} in the order of time, {_range_in_words(points, measure)}.",
        numbers=_numbers(points, measure),
    )


def _dates(plot: Any, slots: Mapping[int, str]) -> None:
    places = list(slots)
    step = max(1, -(-len(places) // MOST_TICKS))
    offset = (len(places) - 1) % step // 2
    shown = places[offset::step]
    ticks(plot.xaxis[0], [slot + 0.5 for slot in shown], {slot + 0.5: _short(slots[slot]) for slot in shown})


def _short(date: str) -> str:
    """Return a date in words with its month in three letters, as it stands on an axis."""
    return " ".join(word[:3] if word.isalpha() else word for word in date.split())


def _marks(plot: Any, done: Mapping[int, str], start: float, span: float) -> None:
    if not done:
        return
    across = [float(slot) + 0.03 for slot in done]
    source = ColumnDataSource({"x": across, "number": list(done.values())})
    line = Segment(x0="x", x1="x", y0=start, y1=start + TALL * span, line_color=LIGHT["soft"], line_dash="dotted")
    plot.add_glyph(source, line)
    _words(plot, source, Text(x="x", y=start + TALL * span, text="number", text_baseline="top", x_offset=3))


def _words(plot: Any, source: ColumnDataSource, glyph: Text) -> None:
    """Write what a glyph says, in the words' own font."""
    glyph.update(text_font=value(FONT), text_font_size="12px", text_color=LIGHT["ink"])
    plot.add_glyph(source, glyph)


def _points(plot: Any, points: Sequence[PastPoint], start: float, span: float) -> None:
    ink = LIGHT["setup-1"]
    for filled in (True, False):
        own = [point for point in points if point.filled == filled]
        if not own:
            continue
        source = ColumnDataSource(
            {
                "x": [point.slot + point.within for point in own],
                "y": [point.value for point in own],
                "low": [_lowest(point) for point in own],
                "high": [_highest(point) for point in own],
                "link": [point.link for point in own],
            }
        )
        if any(point.of for point in own):
            plot.add_glyph(source, Segment(x0="x", x1="x", y0="low", y1="high", line_color=ink, line_width=1.5))
        fill = ink if filled else LIGHT["paper"]
        plot.add_glyph(source, Scatter(x="x", y="y", size=9, fill_color=fill, line_color=ink, line_width=2))
    lettered = [point for point in points if point.group]
    if lettered:
        places = [point.slot + point.within for point in lettered]
        source = ColumnDataSource({"x": places, "letter": [point.group for point in lettered]})
        _words(plot, source, Text(x="x", y=start + 0.01 * span, text="letter", text_align="center"))
    if any(point.link for point in points):
        plot.add_tools(TapTool(callback=OpenURL(url="@link", same_tab=True)))


def _range_in_words(points: Sequence[PastPoint], measure: str) -> str:
    places, unit = places_of(measure), shown_unit(SPECS[measure].unit)
    low, high = (number(pick(point.value for point in points), places) for pick in (min, max))
    return f"{low} {unit}".strip() if low == high else f"{low} to {high} {unit}".strip()


def _numbers(points: Sequence[PastPoint], measure: str) -> Table:
    spec, places = SPECS[measure], places_of(measure)
    intervals, lettered = any(point.of for point in points), any(point.group for point in points)
    columns = ["date", "setup" if intervals else "lap", titled(spec.label, spec.unit)]
    columns += ["between", "of"] if intervals else []
    columns += ["group"] if lettered else []
    rows = []
    for point in points:
        between = "one alone"
        if point.low is not None and point.high is not None:
            between = f"{number(point.low, places)} and {number(point.high, places)}"
        row = [point.when, point.what, number(point.value, places)]
        row += [between, point.of] if intervals else []
        rows.append(row + ([point.group] if lettered else []))
    return table(columns, rows)
