"""How fast does it move? Hits and returns a minute faster than each speed, and beneath it where the time went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from dashboards.theme import SetupStyle, bare_figure, few_ticks, name_axes, ticks, zero_line
from telemetry.model.curves import RunPicture, StrokeRates
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Array, band_of, draw_band
from .drawn import Drawn
from .runs_by_setup import curves_at, grouped

FLOOR_PER_MIN = 0.3
TABLE_SPEEDS_M_S = (0.5, 1.0, 1.5, 2.0, 3.0)
SLOW_M_S = 0.1
MOST_TICKS = 20.0
SPEED_TICKS_M_S = (-3.0, -1.0, -0.3, 0.0, 0.3, 1.0, 3.0)
MAIN_HEIGHT, BENEATH_HEIGHT = 250, 130


def strokes_faster(rates_of: Mapping[str, StrokeRates], styles: Mapping[str, SetupStyle], end: End) -> Drawn:
    """Return hits (to the right) and returns (to the left) a minute faster than each peak wheel speed, at one end.

    Parameters
    ----------
    rates_of : mapping of setup to StrokeRates
        All on the same speeds, which both ends share.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    """
    limit_m_s = max(float(rates.speed_m_s[-1]) for rates in rates_of.values())
    plot = bare_figure(MAIN_HEIGHT, x_range=(-limit_m_s, limit_m_s), y_range=(FLOOR_PER_MIN, 300), y_axis_type="log")
    name_axes(plot, "← returns      peak wheel speed, m/s      hits →", "a minute, faster than")
    ticks(plot.yaxis[0], (1, 10, 100), {1: "1", 10: "10", 100: "100"})
    step = 0.5 if limit_m_s <= 2 else max(1.0, 10.0 ** np.ceil(np.log10(limit_m_s / MOST_TICKS)))
    places = np.arange(-np.floor(limit_m_s / step), np.floor(limit_m_s / step) + 1) * step
    ticks(plot.xaxis[0], places.tolist(), {float(p): number(abs(float(p)), 0 if step >= 1 else 1) for p in places})
    rows: list[list[str]] = [
        [f"{which} faster than {speed:g} m/s"] for which in ("hits", "returns") for speed in TABLE_SPEEDS_M_S
    ]
    for name, rates in rates_of.items():
        for place, (sign, found) in enumerate(((1.0, rates.hits_per_min), (-1.0, rates.returns_per_min))):
            draw_band(plot, band_of(sign * rates.speed_m_s, list(found), floor=FLOOR_PER_MIN), styles[name])
            mean = np.mean(found, axis=0)
            for row, speed in enumerate(TABLE_SPEEDS_M_S):
                value = float(np.interp(speed, rates.speed_m_s, mean)) if speed <= limit_m_s else 0.0
                rows[place * len(TABLE_SPEEDS_M_S) + row].append(f"{number(value, 1)} a minute")
    zero_line(plot, 0.0, "height")
    fast = "; ".join(f"{styles[name].label} {rows[1][place + 1]}" for place, name in enumerate(rates_of))
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}: hits faster than 1 m/s: {fast}.",
        numbers=table(["", *(styles[name].label for name in rates_of)], rows),
    )


def softened(speed_m_s: Array) -> Array:
    """Return asinh(v / 0.1 m/s): straight near zero, logarithmic far out."""
    return np.asarray(np.arcsinh(speed_m_s / SLOW_M_S), dtype=float)


def time_at_speed(pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], end: End) -> Drawn:
    """Return the share of riding time by wheel speed, on a scale that opens the slow speeds, at one end."""
    reach = float(softened(np.array([5.0]))[0])
    plot = bare_figure(BENEATH_HEIGHT, x_range=(-reach, reach))
    name_axes(plot, "← rebound      wheel speed, m/s      compression →", "% of time")
    few_ticks(plot.yaxis[0])
    plot.y_range.start = 0
    places = softened(np.array(SPEED_TICKS_M_S))
    ticks(
        plot.xaxis[0],
        places.tolist(),
        {float(p): f"{abs(v):g}" for p, v in zip(places, SPEED_TICKS_M_S, strict=True)},
    )
    rows: dict[str, list[str]] = {}
    names = []
    for name, runs in grouped(pictures, styles).items():
        curves = [item for item, _ in curves_at(runs, end)]
        if not curves:
            continue
        names.append(name)
        edges = curves[0].speed_edges_mm_s / 1000
        share = np.mean([item.speed_share_pct for item in curves], axis=0)
        plot.step(
            x=softened(edges),
            y=np.append(share, share[-1]),
            mode="after",
            line_color=styles[name].colour,
            line_width=1.5,
            line_dash=styles[name].dash,
        )
        middle = np.abs((edges[1:] + edges[:-1]) / 2)
        for words, low, high in (("under 0.1 m/s", 0, 0.1), ("0.1 to 1 m/s", 0.1, 1), ("over 1 m/s", 1, np.inf)):
            part = float(share[(middle >= low) & (middle < high)].sum())
            rows.setdefault(words, []).append(f"about {number(part, 0)} %")
    zero_line(plot, 0.0, "height")
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}: how the riding time is shared between slow and fast.",
        numbers=table(["speed", *(styles[n].label for n in names)], [[key, *cells] for key, cells in rows.items()]),
    )
