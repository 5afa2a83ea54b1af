"""What are spring and damper doing? Force against travel, force against speed, and where the ride was."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from dashboards.theme import LIGHT, SetupStyle, bare_figure, few_ticks, name_axes, ticks, zero_line
from telemetry.model.finding import End
from telemetry.model.force import TOLD_DEPTHS_PCT, TOLD_SPEEDS_M_S, ForceCurve, ForceMap
from telemetry.sheet import ABSENT, table
from telemetry.telling.forces import UNIT, way_in_words
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Array, Band, band_with_gaps, draw_band
from .drawn import Drawn

HEIGHT, CELLS_HEIGHT = 250, 190
POINTS = 161
LONGEST_S = 1.0
"""A cell in which so long was ridden, or longer, is darkest."""
PALEST = 0.12
MOST_TICKS = 4.0
"""To either side of zero."""
MapsOf = Mapping[str, Sequence[ForceMap]]
Told = tuple[End, str, str]
"""End, what pushes, and what its numbers stand against."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Axes that an end's panels share: speed, m/s, and what spring and damper push with, N per kg."""

    speed_m_s: float
    spring: tuple[float, float]
    damper: tuple[float, float]


def reach_of(maps_of: MapsOf) -> Reach:
    """Return axes that hold every curve of an end's maps, at least one."""
    maps = [found for own in maps_of.values() for found in own]

    def span(curves: Sequence[ForceCurve]) -> tuple[float, float]:
        low, high = min(float(curve.low.min()) for curve in curves), max(float(curve.high.max()) for curve in curves)
        return min(low, 0.0) - 0.05 * (high - low), high + 0.05 * (high - low)

    fastest = max(float(np.abs(found.damper.at).max()) for found in maps)
    return Reach(
        speed_m_s=1.05 * fastest,
        spring=span([found.spring for found in maps]),
        damper=span([found.damper for found in maps]),
    )


def _band(grid: Array, curves: Sequence[tuple[Array, ForceCurve]]) -> Band:
    """Return the runs' mean, and how far their own bands of 90 % reach; a gap where no run tells anything.

    Parameters
    ----------
    grid : float array, shape (g,)
    curves : sequence of (places, ForceCurve)
        The places of a curve's points on the grid's own scale.
    """
    told = np.full((3, len(curves), grid.size), np.nan)
    for row, (at, curve) in enumerate(curves):
        inside = (grid >= at[0] - 1e-9) & (grid <= at[-1] + 1e-9)
        for kind, values in zip(told, (curve.low, curve.per_kg, curve.high), strict=True):
            kind[row, inside] = np.interp(grid[inside], at, values)
    return band_with_gaps(grid, *told)


def _rows(
    maps_of: MapsOf, places: Sequence[float], words: Sequence[str], value: Callable[[ForceMap, float], float | None]
) -> list[list[str]]:
    """Return a row a place, of those where any setup has a value: the mean of its runs that have one."""
    rows = []
    for place, name in zip(places, words, strict=True):
        told = [[own for found in maps if (own := value(found, place)) is not None] for maps in maps_of.values()]
        if any(told):
            rows.append([name, *(f"{number(float(np.mean(own)), 1)} {UNIT}" if own else ABSENT for own in told)])
    return rows


def _told(rows: Sequence[Sequence[str]], bands: Mapping[str, Band], styles: Mapping[str, SetupStyle]) -> str:
    if not rows:
        return "see the numbers"
    row = rows[len(rows) // 2]
    cells = zip(bands, row[1:], strict=True)
    return f"{row[0]}: " + "; ".join(f"{styles[name].label} {cell}" for name, cell in cells)


def _finished(
    plot: Any, what: Told, bands: Mapping[str, Band], rows: Sequence[Sequence[str]], styles: Mapping[str, SetupStyle]
) -> Drawn:
    """Draw the bands of setups, and return the panel with its numbers."""
    end, title, places = what
    for name, band in bands.items():
        draw_band(plot, band, styles[name])
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}, {title} force at {_told(rows, bands, styles)}.",
        numbers=table([places, *(styles[name].label for name in bands)], rows),
        title=title,
    )


def spring_curves(maps_of: MapsOf, styles: Mapping[str, SetupStyle], end: End, reach: Reach) -> Drawn:
    """Return the spring's force against depth, an end a panel.

    Parameters
    ----------
    maps_of : mapping of setup to sequence of ForceMap
        A run each; at least one.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    reach : Reach
    """
    plot = bare_figure(HEIGHT, x_range=(0, 102), y_range=reach.spring)
    name_axes(plot, "% of travel", "spring, N per kg carried")
    ticks(plot.xaxis[0], (0, 20, 40, 60, 80, 100))
    few_ticks(plot.yaxis[0])
    grid = np.linspace(0.0, 100.0, POINTS)
    bands = {
        name: _band(grid, [(100.0 * found.spring.at / found.full_travel_mm, found.spring) for found in maps])
        for name, maps in maps_of.items()
    }
    words = [f"{at:.0f} % deep" for at in TOLD_DEPTHS_PCT]
    rows = _rows(maps_of, TOLD_DEPTHS_PCT, words, ForceMap.spring_at)
    return _finished(plot, (end, "spring", "depth"), bands, rows, styles)


def _speed_ticks(axis: Any, reach_m_s: float) -> None:
    """Put round speeds on an axis, rebound's without a sign: the arrows say which way."""
    step = next(item for item in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, reach_m_s) if reach_m_s / item <= MOST_TICKS)
    places = step * np.arange(-np.floor(reach_m_s / step), np.floor(reach_m_s / step) + 1)
    ticks(axis, places.tolist(), {float(at): f"{abs(at):.3g}" for at in places})


def damper_curves(maps_of: MapsOf, styles: Mapping[str, SetupStyle], end: End, reach: Reach) -> Drawn:
    """Return the damper's force against speed, friction included: compression to the right, rebound to the left.

    Parameters
    ----------
    maps_of : mapping of setup to sequence of ForceMap
        A run each; at least one.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    reach : Reach
    """
    plot = bare_figure(HEIGHT, x_range=(-reach.speed_m_s, reach.speed_m_s), y_range=reach.damper)
    where = next(iter(maps_of.values()))[0].speed_of
    name_axes(plot, f"← rebound      {where} speed, m/s      compression →", "damper, N per kg carried")
    few_ticks(plot.yaxis[0])
    grid = np.linspace(-reach.speed_m_s, reach.speed_m_s, POINTS)
    bands = {name: _band(grid, [(found.damper.at, found.damper) for found in maps]) for name, maps in maps_of.items()}
    _speed_ticks(plot.xaxis[0], reach.speed_m_s)
    zero_line(plot, 0.0, "height")
    zero_line(plot, 0.0, "width")
    words = [way_in_words(at) for at in TOLD_SPEEDS_M_S]
    rows = _rows(maps_of, TOLD_SPEEDS_M_S, words, lambda found, at: found.damper.value_at(at))
    return _finished(plot, (end, "damper", "speed"), bands, rows, styles)


def cells_ridden(found: ForceMap, reach: Reach) -> Drawn:
    """Return where a ride was in travel and speed: filled are the cells that its curves rest on, outlined the others.

    Parameters
    ----------
    found : ForceMap
    reach : Reach
    """
    cells, end = found.cells, found.end
    plot = bare_figure(CELLS_HEIGHT, x_range=(-reach.speed_m_s, reach.speed_m_s), y_range=(0, 102))
    name_axes(plot, "← rebound      speed, m/s      compression →", "% of travel")
    ticks(plot.yaxis[0], (0, 20, 40, 60, 80, 100))
    _speed_ticks(plot.xaxis[0], reach.speed_m_s)
    depth = 100.0 * cells.travel_edges_mm / found.full_travel_mm
    ridden = cells.seconds > 0
    dark = PALEST + (1 - PALEST) * np.clip(cells.seconds / LONGEST_S, 0.0, 1.0)
    for counted, fill in ((True, 1.0), (False, 0.0)):
        row, column = np.nonzero(ridden & (cells.counted == counted))
        plot.quad(
            left=cells.speed_edges_m_s[column],
            right=cells.speed_edges_m_s[column + 1],
            bottom=depth[row],
            top=depth[row + 1],
            fill_color=LIGHT["ink"],
            fill_alpha=fill * dark[row, column] * 0.8,
            line_color=LIGHT["grid"],
            line_width=0.5,
        )
    share = float(cells.seconds[cells.counted].sum() / max(cells.seconds.sum(), 1e-9))
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}: {100 * share:.0f} % of the riding lies in cells of travel and speed that count.",
        numbers=table(["", "cells"], [["counted", str(int(cells.counted.sum()))], ["ridden", str(int(ridden.sum()))]]),
        title="where it was ridden",
    )
