"""How is the travel used? Time spent deeper than each depth, and beneath it where the time went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from bokeh.models.annotations import BoxAnnotation

from dashboards.theme import LIGHT, SetupStyle, bare_figure, few_ticks, name_axes, ticks
from telemetry.model.curves import EndCurves, RunPicture
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Array, Band, band_of, draw_band
from .drawn import Drawn
from .runs_by_setup import curves_at, grouped

FLOOR_PCT = 0.02
TABLE_DEPTHS = (20, 30, 40, 50, 60, 70, 80, 90)
MAIN_HEIGHT, BENEATH_HEIGHT = 250, 130


def _bands(
    pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], end: End
) -> dict[str, tuple[Band, list[EndCurves]]]:
    found = {}
    for name, runs in grouped(pictures, styles).items():
        curves = [item for item, _ in curves_at(runs, end)]
        if curves:
            band = band_of(curves[0].depth_pct, [item.deeper_pct for item in curves], floor=FLOOR_PCT)
            found[name] = (band, curves)
    return found


def _bottoming_zone(plot: Any, line_pct: float) -> None:
    plot.add_layout(BoxAnnotation(left=line_pct, right=102, fill_color=LIGHT["soft"], fill_alpha=0.18, line_color=None))


def time_deeper(pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], end: End) -> Drawn:
    """Return the share of riding time spent deeper than each depth, on a log axis, at one end."""
    plot = bare_figure(MAIN_HEIGHT, x_range=(0, 102), y_range=(FLOOR_PCT, 130), y_axis_type="log")
    name_axes(plot, "% of travel", "% of time deeper than")
    ticks(plot.xaxis[0], (0, 20, 40, 60, 80, 100))
    ticks(plot.yaxis[0], (0.1, 1, 10, 100), {0.1: "0.1", 1: "1", 10: "10", 100: "100"})
    bands = _bands(pictures, styles, end)
    for name, (band, _) in bands.items():
        draw_band(plot, band, styles[name])
    any_curves = next(iter(bands.values()))[1][0]
    _bottoming_zone(plot, any_curves.bottoming_line_pct)
    rows = [
        [f"{depth} %", *(f"{number(float(np.interp(depth, b.grid, _mean(c))), 2)} %" for b, c in bands.values())]
        for depth in TABLE_DEPTHS
    ]
    half = ", ".join(
        f"{styles[name].label} {number(float(np.interp(50, band.grid, _mean(curves))), 1)} %"
        for name, (band, curves) in bands.items()
    )
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}: share of riding time spent deeper than half travel: {half}.",
        numbers=table(["deeper than", *(styles[name].label for name in bands)], rows),
    )


def _mean(curves: Sequence[EndCurves]) -> Array:
    return np.asarray(np.mean([item.deeper_pct for item in curves], axis=0), dtype=float)


def time_at_depth(pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], end: End) -> Drawn:
    """Return the share of riding time in steps of 2.5 % of travel, at one end."""
    plot = bare_figure(BENEATH_HEIGHT, x_range=(0, 102))
    name_axes(plot, "% of travel", "% of time")
    few_ticks(plot.yaxis[0])
    ticks(plot.xaxis[0], (0, 20, 40, 60, 80, 100))
    plot.y_range.start = 0
    rows: dict[str, list[str]] = {}
    names = []
    line = 100.0
    for name, runs in grouped(pictures, styles).items():
        curves = [item for item, _ in curves_at(runs, end)]
        if not curves:
            continue
        names.append(name)
        line = curves[0].bottoming_line_pct
        edges = curves[0].travel_edges_pct
        share = np.mean([item.travel_share_pct for item in curves], axis=0)
        plot.step(
            x=edges,
            y=np.append(share, share[-1]),
            mode="after",
            line_color=styles[name].colour,
            line_width=1.5,
            line_dash=styles[name].dash,
        )
        wide = share.reshape(-1, 4).sum(axis=1)
        for low, value in zip(edges[:-1:4], wide, strict=True):
            rows.setdefault(f"{low:.0f} to {low + 10:.0f} %", []).append(f"{number(float(value), 1)} %")
    _bottoming_zone(plot, line)
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}: where in its travel the time was spent.",
        numbers=table(["depth", *(styles[n].label for n in names)], [[key, *cells] for key, cells in rows.items()]),
    )
