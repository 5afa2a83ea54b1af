"""How fast hits and returns move, at the wheel and at the damper's shaft."""

from __future__ import annotations

import numpy as np

from telemetry.model.motion import Strokes

from .fixed_rate import reached_ten_a_minute
from .missing import Missing, Outcome
from .travel import stroke_percentile
from .view import EndView

NO_SHAFT = Missing("the shaft's motion isn't known: no leverage curve or ratio")


def compression_speed_p50(view: EndView) -> Outcome:
    """Return the median of hits' peak wheel speeds, mm/s."""
    return stroke_percentile(view.hits.peak_mm_s, 0.5, view.fewest_strokes, "hits")


def compression_speed_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of hits' peak wheel speeds, mm/s."""
    return stroke_percentile(view.hits.peak_mm_s, 0.95, view.fewest_strokes, "hits")


def rebound_speed_p50(view: EndView) -> Outcome:
    """Return the median of returns' peak wheel speeds, mm/s, positive."""
    return stroke_percentile(view.returns.peak_mm_s, 0.5, view.fewest_strokes, "returns")


def rebound_speed_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of returns' peak wheel speeds, mm/s, positive."""
    return stroke_percentile(view.returns.peak_mm_s, 0.95, view.fewest_strokes, "returns")


def compression_speed_10_per_min(view: EndView) -> Outcome:
    """Return the peak wheel speed that ten hits a minute reach, mm/s."""
    return reached_ten_a_minute(view.hits.peak_mm_s, view.minutes, "hits")


def rebound_speed_10_per_min(view: EndView) -> Outcome:
    """Return the peak wheel speed that ten returns a minute reach, mm/s, positive."""
    return reached_ten_a_minute(view.returns.peak_mm_s, view.minutes, "returns")


def shaft_compression_speed_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of hits' peak speeds at the damper's shaft, mm/s."""
    peaks = view.hits.peak_shaft_mm_s
    return NO_SHAFT if peaks is None else stroke_percentile(peaks, 0.95, view.fewest_strokes, "hits")


def shaft_rebound_speed_p95(view: EndView) -> Outcome:
    """Return the 95th percentile of returns' peak speeds at the damper's shaft, mm/s, positive."""
    peaks = view.returns.peak_shaft_mm_s
    return NO_SHAFT if peaks is None else stroke_percentile(peaks, 0.95, view.fewest_strokes, "returns")


def _below_knee(strokes: Strokes, knee_mm_s: float | None, what: str) -> Outcome:
    if knee_mm_s is None:
        return Missing("no knee speed is stated for this damper")
    if strokes.peak_shaft_mm_s is None:
        return NO_SHAFT
    if len(strokes) == 0:
        return Missing(f"no {what}")
    return 100.0 * float(np.mean(strokes.peak_shaft_mm_s < knee_mm_s))


def below_knee_compression_hits(view: EndView) -> Outcome:
    """Return the share of hits whose peak shaft speed stays under the damper's knee, %."""
    return _below_knee(view.hits, view.knees.compression_mm_s, "hits")


def below_knee_rebound_returns(view: EndView) -> Outcome:
    """Return the share of returns whose peak shaft speed stays under the damper's knee, %."""
    return _below_knee(view.returns, view.knees.rebound_mm_s, "returns")
