"""How deep the travel is used."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats

from .fixed_rate import reached_ten_a_minute
from .missing import Missing, Outcome
from .sag import NOTHING_RIDDEN
from .view import EndView

DEEP_SHARE = 0.80


def stroke_percentile(values: Floats, share: float, fewest: int, what: str) -> Outcome:
    """Return a percentile of a figure of strokes by ``numpy.quantile``'s default rule.

    Parameters
    ----------
    values : float array, shape (k,)
    share : float
        0 to 1.
    fewest : int
        Strokes needed.
    what : str
        "hits" or "returns", for the reason.
    """
    if values.size < max(1, fewest):
        return Missing(f"no {what}" if values.size == 0 else f"{values.size} {what}, at least {fewest} needed")
    return float(np.quantile(values, share))


def travel_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of filtered travel over riding time, % of full travel."""
    if view.travel_mm.size == 0:
        return NOTHING_RIDDEN
    return 100.0 * float(np.quantile(view.travel_mm, 0.95)) / view.full_travel_mm


def travel_max(view: EndView) -> Outcome:
    """Return the deepest cleaned travel in riding time, % of full travel; it is never compared."""
    if view.travel_mm.size == 0:
        return NOTHING_RIDDEN
    return 100.0 * view.cleaned_max_mm / view.full_travel_mm


def hit_depth_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of the deepest points of hits, % of full travel."""
    depth = 100.0 * view.hits.stop_mm / view.full_travel_mm
    return stroke_percentile(depth, 0.95, view.fewest_strokes, "hits")


def hit_depth_10_per_min(view: EndView) -> Outcome:
    """Return the deepest point that ten hits a minute reach, % of full travel."""
    return reached_ten_a_minute(100.0 * view.hits.stop_mm / view.full_travel_mm, view.minutes, "hits")


def deep_hits(view: EndView) -> int:
    """Return how many hits pass 80 % of full travel."""
    return int(np.count_nonzero(view.hits.stop_mm > DEEP_SHARE * view.full_travel_mm))


def deep_hits_per_min(view: EndView) -> Outcome:
    """Return hits past 80 % a minute of riding."""
    return deep_hits(view) / view.minutes


def hit_length_p50(view: EndView) -> Outcome:
    """Return the median length of hits, mm."""
    return stroke_percentile(view.hits.length_mm, 0.5, view.fewest_strokes, "hits")


def hit_length_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of the length of hits, mm."""
    return stroke_percentile(view.hits.length_mm, 0.95, view.fewest_strokes, "hits")


def hits_per_min(view: EndView) -> Outcome:
    """Return hits a minute of riding."""
    return len(view.hits) / view.minutes


def strokes_per_min(view: EndView) -> Outcome:
    """Return compression strokes a minute of riding."""
    return len(view.compressions) / view.minutes
