"""Which way is up by slow gravity alone: what is left to a sensor without a gyroscope."""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfiltfilt

from telemetry.model.arrays import Floats

from .attitude import WITHIN_PCT, UpAlong
from .directions import angles_deg, unit

SLOW_HZ = 0.05
"""Below it a bike's own movement along the ground evens out."""

LIVELY_HZ = 0.5
"""What is felt up to here swings about the slow direction: slopes, brakes and drive, which nothing tells apart."""

LEAST_DEG = 30.0
"""A bike leans so far into a turn, and what acts in its own plane then doesn't tell a lean from none."""


def _lowpassed(force: Floats, rate_hz: float, cutoff_hz: float) -> Floats:
    """Return what is slower, of the second order both ways; a stretch too short for it gives its mean."""
    sections = butter(2, cutoff_hz, fs=rate_hz, output="sos")
    pad = round(rate_hz / cutoff_hz)
    if force.shape[1] <= pad:
        return np.repeat(force.mean(axis=1, keepdims=True), force.shape[1], axis=1)
    return np.asarray(sosfiltfilt(sections, force, axis=1, padtype="even", padlen=pad), dtype=float)


def slow_up(force: Floats, rate_hz: float) -> UpAlong:
    """Return the way up along one gap-free stretch from the slow part of the specific force.

    Parameters
    ----------
    force : float array, shape (3, k)
        Means over blocks, m/s2.
    rate_hz : float
        Blocks a second, 2 or more.
    """
    up = unit(_lowpassed(force, rate_hz, SLOW_HZ))
    swing = angles_deg(unit(_lowpassed(force, rate_hz, LIVELY_HZ)), up)
    bound = max(LEAST_DEG, float(np.percentile(swing, WITHIN_PCT)))
    edges = np.concatenate([up[:, :1], unit(up[:, 1:] + up[:, :-1]), up[:, -1:]], axis=1)
    return UpAlong(up=edges, apart_deg=np.full(edges.shape[1], bound))
