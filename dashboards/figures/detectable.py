"""What a day can see: the change found in four days of five, against runs of each setup."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from bokeh.models.annotations import Label

from dashboards.theme import DASHES, FONT, LIGHT, bare_figure, name_axes, plain, ticks
from telemetry.model.finding import Place
from telemetry.model.plan import Sees
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.telling.plan import needed_cells, seen_cells
from telemetry.words import figure as number
from telemetry.words import lower_first

from .drawn import Drawn

HEIGHT = 300
MOST_LINES = 3
LAST_RUNS, LABEL_FROM = 10, 6
LEAST_TIMES, MOST_TIMES = 0.05, 10.0
TICKS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
TELLING = (
    "dynamic_sag",
    "hit_depth_10_per_min",
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
)
LABEL_GAP = 0.34
"""Least distance between labels, and of a label beneath its line, as the logarithm of times: words don't touch."""


def telling_rows(rows: Sequence[Sees], end: Place) -> tuple[Sees, ...]:
    """Return the rows of one end to draw: those in focus, else the most telling; at most three."""
    here = [row for row in rows if row.end == end]
    focus = [row for row in here if row.focus]
    if focus or any(row.focus for row in rows):
        return tuple(focus[:MOST_LINES])
    known = {row.spec.name: row for row in here}
    return tuple(known[name] for name in TELLING if name in known)[:MOST_LINES]


def times_smallest(row: Sees) -> tuple[list[int], list[float]]:
    """Return runs of each, and what they see in times the smallest change that matters; what sees none is left out."""
    seen = [item for item in row.detectable if item.on_scale is not None and item.runs_each <= LAST_RUNS]
    return [item.runs_each for item in seen], [(item.on_scale or 0.0) / row.margin for item in seen]


def label_heights(lines: Sequence[Sequence[float]]) -> list[float]:
    """Return where each line's label stands, at the right: above the top line, beneath the others, none on another.

    Parameters
    ----------
    lines : sequence of sequence of float
        Each line's values from the left of its label to its right end, in times the smallest change; they fall.
    """
    order = sorted(range(len(lines)), key=lambda place: -lines[place][-1])
    heights = {place: math.log(lines[place][-1]) - LABEL_GAP for place in order}
    if len(order) > 1:
        heights[order[0]] = math.log(lines[order[0]][0]) + LABEL_GAP
    for upper, lower in pairwise(order):
        heights[lower] = min(heights[lower], heights[upper] - LABEL_GAP)
    floor = math.log(LEAST_TIMES) + LABEL_GAP / 2
    for place in reversed(order):
        heights[place] = max(heights[place], floor)
        floor = heights[place] + LABEL_GAP
    return [math.exp(heights[place]) for place in range(len(lines))]


def _label(plot: Any, height: float, text: str) -> None:
    label = Label(
        x=LAST_RUNS,
        y=height,
        text=plain(text),
        text_align="right",
        text_baseline="middle",
        text_color=LIGHT["ink"],
        text_font=FONT,
        text_font_size="12px",
        background_fill_color=LIGHT["paper"],
    )
    plot.add_layout(label)


def detectable(rows: Sequence[Sees], end: Place) -> Drawn | None:
    """Return what runs of each see at one end, in times the smallest change that matters.

    Parameters
    ----------
    rows : sequence of Sees
        Of the whole plan.
    end : {"front", "rear", "both"}

    Returns
    -------
    Drawn or None
        None where no row of this end is to be drawn.
    """
    drawn = [row for row in telling_rows(rows, end) if times_smallest(row)[0]]
    if not drawn:
        return None
    plot = bare_figure(HEIGHT, x_range=(1.7, LAST_RUNS + 0.4), y_range=(LEAST_TIMES, MOST_TIMES), y_axis_type="log")
    name_axes(plot, "runs of each setup", "× the smallest change that matters")
    plot.xgrid.grid_line_color = None
    ticks(plot.xaxis[0], list(range(2, LAST_RUNS + 1)))
    ticks(plot.yaxis[0], TICKS, {tick: f"{tick:g}" for tick in TICKS})
    plot.line(x=[1.7, LAST_RUNS + 0.4], y=[1.0, 1.0], line_color=LIGHT["soft"], line_width=1)
    ends = []
    for place, row in enumerate(drawn):
        runs, times = times_smallest(row)
        plot.line(x=runs, y=times, line_color=LIGHT["ink"], line_width=1.8, line_dash=DASHES[place])
        plot.scatter(x=runs, y=times, size=5, fill_color=LIGHT["ink"], line_color=LIGHT["ink"])
        beside = [value for each, value in zip(runs, times, strict=True) if each >= LABEL_FROM] or times[-1:]
        ends.append([min(max(value, LEAST_TIMES), MOST_TIMES) for value in beside])
    for row, height in zip(drawn, label_heights(ends), strict=True):
        _label(plot, height, row.spec.label)
    shown = (2, 3, 4, 6, 8, 10)
    cells = [[row.spec.label, *needed_cells(row), *seen_cells(row, shown)] for row in drawn]
    needs = "; ".join(f"{lower_first(row.spec.label)} {cell[2]}" for row, cell in zip(drawn, cells, strict=True))
    return Drawn(
        place=end,
        plot=plot,
        title="",
        alternative=f"{TITLES[end]}: runs of each setup needed to see the smallest change that matters: {needs}.",
        numbers=table(["", "smallest change", "runs of each", *(f"{number(each, 0)} see" for each in shown)], cells),
    )
