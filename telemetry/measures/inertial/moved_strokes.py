"""How fast and how far an end moves about its ride height, out of acceleration."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from telemetry.measures.fixed_rate import FEWEST_IN_SECTION, reached_ten_a_minute
from telemetry.measures.missing import Missing, Outcome
from telemetry.measures.travel import stroke_percentile
from telemetry.model.arrays import Floats
from telemetry.model.motion import MovedEnd

from .view import InertialView


def _minutes(view: InertialView, moved: MovedEnd) -> float:
    """Return riding time in which movement is told, min."""
    settled = sum(int(np.count_nonzero(view.riding[start:stop])) for start, stop in moved.settled)
    return settled / view.rate_hz / 60.0


def _reached(view: InertialView, of: Callable[[MovedEnd], Floats], what: str) -> Outcome:
    moved = view.moved
    return moved if isinstance(moved, Missing) else reached_ten_a_minute(of(moved), _minutes(view, moved), what)


def _p95(view: InertialView, of: Callable[[MovedEnd], Floats], what: str) -> Outcome:
    moved = view.moved
    return moved if isinstance(moved, Missing) else stroke_percentile(of(moved), 0.95, FEWEST_IN_SECTION, what)


def moved_compression_speed_10_per_min(view: InertialView) -> Outcome:
    """Return the peak speed that ten hits a minute reach, mm/s."""
    return _reached(view, lambda moved: moved.hits.peak_mm_s, "hits")


def moved_rebound_speed_10_per_min(view: InertialView) -> Outcome:
    """Return the peak speed that ten returns a minute reach, mm/s, positive."""
    return _reached(view, lambda moved: moved.returns.peak_mm_s, "returns")


def moved_length_10_per_min(view: InertialView) -> Outcome:
    """Return the length that ten hits a minute reach, mm."""
    return _reached(view, lambda moved: moved.hits.length_mm, "hits")


def moved_compression_speed_p95(view: InertialView) -> Outcome:
    """Return the 95th percentile of hits' peak speeds, mm/s: stands in within a section of a comparison."""
    return _p95(view, lambda moved: moved.hits.peak_mm_s, "hits")


def moved_rebound_speed_p95(view: InertialView) -> Outcome:
    """Return the 95th percentile of returns' peak speeds, mm/s, positive: stands in within a section."""
    return _p95(view, lambda moved: moved.returns.peak_mm_s, "returns")


def moved_length_p95(view: InertialView) -> Outcome:
    """Return the 95th percentile of hits' lengths, mm: stands in within a section."""
    return _p95(view, lambda moved: moved.hits.length_mm, "hits")
