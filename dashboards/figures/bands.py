"""Runs of one setup as a band from least to most, and their mean as a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from bokeh.models import ColumnDataSource, Line, VArea

from dashboards.theme import BAND_ALPHA, SetupStyle

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Least, mean and most of several runs' curves on one grid."""

    grid: Array
    least: Array
    mean: Array
    most: Array


def band_of(grid: Array, curves: Sequence[Array], *, floor: float | None = None) -> Band:
    """Return the band of curves; with `floor`, values below it become gaps (a log axis can't show zero)."""
    stacked = np.vstack(curves)
    least, mean, most = stacked.min(axis=0), stacked.mean(axis=0), stacked.max(axis=0)
    if floor is not None:
        least = np.maximum(least, floor)
        most = np.where(most < floor, np.nan, most)
        mean = np.where(mean < floor, np.nan, mean)
        least = np.where(np.isnan(most), np.nan, least)
    return Band(grid=grid, least=least, mean=mean, most=most)


def band_with_gaps(grid: Array, low: Array, middle: Array, high: Array) -> Band:
    """Return the band of curves that don't all reach everywhere; a gap where none does.

    Parameters
    ----------
    grid : float array, shape (g,)
    low, middle, high : float arrays, shape (r, g)
        A row a run, NaN where it tells nothing: the least of `low`, the mean of `middle` and the most of `high` count.
    """
    told = ~np.isnan(middle).all(axis=0)
    least, mean, most = (np.full(grid.size, np.nan) for _ in range(3))
    if told.any():
        least[told] = np.nanmin(low[:, told], 0)
        mean[told] = np.nanmean(middle[:, told], 0)
        most[told] = np.nanmax(high[:, told], 0)
    return Band(grid=grid, least=least, mean=mean, most=most)


def band_columns(band: Band) -> dict[str, Any]:
    """Return a band's columns as a source holds them."""
    parts = {"x": band.grid, "least": band.least, "mean": band.mean, "most": band.most}
    return {name: values.astype(np.float32) for name, values in parts.items()}


def draw_band_of(plot: Any, source: ColumnDataSource, style: SetupStyle, width: float = 2) -> None:
    """Draw the band, and its mean, that a source holds."""
    area = VArea(x="x", y1="least", y2="most", fill_color=style.colour, fill_alpha=BAND_ALPHA)
    plot.add_glyph(source, area)
    plot.add_glyph(source, Line(x="x", y="mean", line_color=style.colour, line_width=width, line_dash=style.dash))


def draw_band(plot: Any, band: Band, style: SetupStyle) -> ColumnDataSource:
    """Draw a band and its mean; return the source that holds the numbers."""
    source = ColumnDataSource(band_columns(band), name=style.name)
    draw_band_of(plot, source, style)
    return source
