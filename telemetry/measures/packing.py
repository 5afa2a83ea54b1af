"""Packing: bursts of hits that each start deeper than the one before."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Events, Stretch, Strokes

from .missing import Missing, Outcome
from .view import EndView

HIT_SHARE = 0.15
PAUSE_S = 0.6
FEWEST_HITS = 3


def slope(values: Floats) -> float:
    """Return the least-squares slope of values on their index, unit a step.

    Examples
    --------
    >>> import numpy as np
    >>> slope(np.array([10.0, 12.0, 14.0]))
    2.0
    """
    index = np.arange(values.shape[0]) - (values.shape[0] - 1) / 2
    return float(index @ values / (index @ index))


def find_bursts(hits: Strokes, full_travel_mm: float, segments: tuple[Stretch, ...], rate_hz: float) -> Events:
    """Return the bursts of 3 or more hits of at least 15 %, each within 0.6 s after the one before ended.

    Parameters
    ----------
    hits : Strokes
    full_travel_mm : float
    segments : tuple of (start, stop)
        No burst reaches across a gap.
    rate_hz : float

    Returns
    -------
    Events
        At the first hit's start; `value` is the least-squares slope of starting travel on index, mm a hit,
        positive = ever deeper; `weight` is the number of hits less one.
    """
    big = hits.where(hits.length_mm >= HIT_SHARE * full_travel_mm)
    if len(big) < FEWEST_HITS:
        return Events(start=np.empty(0, dtype=np.int64), value=np.empty(0), weight=np.empty(0))
    segment = np.searchsorted([start for start, _ in segments], big.start, side="right")
    pause_s = (big.start[1:] - big.stop[:-1]) / rate_hz
    parted = (pause_s > PAUSE_S + 1e-9) | (segment[1:] != segment[:-1])
    bounds = [0, *(np.flatnonzero(parted) + 1).tolist(), len(big)]
    found = [(a, b) for a, b in pairwise(bounds) if b - a >= FEWEST_HITS]
    return Events(
        start=np.array([big.start[a] for a, _ in found], dtype=np.int64),
        value=np.array([slope(big.start_mm[a:b]) for a, b in found], dtype=float),
        weight=np.array([b - a - 1 for a, b in found], dtype=float),
    )


def packing(view: EndView) -> Outcome:
    """Return the mean slope over bursts, weighted by length less one, mm a hit; positive = ever deeper."""
    if view.bursts.value.size == 0:
        return Missing("no burst of 3 or more hits of at least 15 %")
    return float(np.average(view.bursts.value, weights=view.bursts.weight))
