"""Steps no wheel makes and despiking leaves: a plug or wire that loses contact for longer than a spike lasts."""

from __future__ import annotations

import math

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.stretches import stretches

from .despiking import SPEED_LIMIT_MM_S

LEAST_MM = 5.0
"""Own choice: fast loggers are judged over as many samples as 5 mm take at the limit, far above their noise."""


def _alone(moved: Floats, start: int, stop: int) -> bool:
    """Tell whether a run of fast steps one way stands alone: a wheel takes longer to reach such a speed and to lose it.

    Just before and after, travel moves the same way at less than half the speed.
    """
    way = np.sign(moved[start])
    peak = np.abs(moved[start:stop]).max()
    outside = [moved[place] * way for place in (start - 1, stop) if 0 <= place < moved.shape[0]]
    return all(speed < peak / 2 for speed in outside)


def find_broken_contact(wheel_mm: Floats, rate_hz: float, fast: Ints | None = None) -> Ints:
    """Return the samples at which travel, spikes taken out, steps faster than a wheel can move.

    Parameters
    ----------
    wheel_mm : float array, shape (n,)
        One gap-free stretch of wheel travel.
    rate_hz : float
    fast : int array, shape (m,), optional
        The samples before every step over 10 m/s, and maybe others: where known, only they are looked at.

    Returns
    -------
    int array, shape (k,)
        The sample after each step over 10 m/s at the wheel (common practice, no source) that lasts no longer than
        two samples and stands alone; on a clock that was resampled one step may lie over two.

    Examples
    --------
    >>> import numpy as np
    >>> find_broken_contact(np.array([50.0, 51.0, 120.0, 121.0, 122.0, 123.0, 54.0, 55.0]), 500.0)
    array([2, 6])
    """
    over = max(1, math.ceil(LEAST_MM * rate_hz / SPEED_LIMIT_MM_S))
    limit = over * SPEED_LIMIT_MM_S / rate_hz
    if over == 1 and fast is not None and not np.any(np.abs(wheel_mm[fast + 1] - wheel_mm[fast]) > limit):
        return np.empty(0, dtype=np.int64)
    moved = wheel_mm[over:] - wheel_mm[:-over]
    if moved.size == 0 or (moved.max() <= limit and moved.min() >= -limit):
        return np.empty(0, dtype=np.int64)
    steps = np.abs(np.diff(wheel_mm))
    runs = [run for way in (1.0, -1.0) for run in stretches(way * moved > limit)]
    alone = [(a, b) for a, b in runs if b - a <= over + 1 and _alone(moved, a, b)]
    return np.array(sorted(a + 1 + np.argmax(steps[a : b - 1 + over]) for a, b in alone), dtype=np.int64)


def lasting_steps(wheel_mm: Floats, steps: Ints, within: int) -> Bools:
    """Tell which steps aren't undone within so many samples, before or after: those are what is left of a spike.

    Parameters
    ----------
    wheel_mm : float array, shape (n,)
    steps : int array, shape (k,)
        The sample after each step.
    within : int
    """

    def at(places: Ints) -> Floats:
        return np.asarray(wheel_mm[np.clip(places, 0, wheel_mm.shape[0] - 1)])

    half = np.abs(at(steps) - at(steps - 1)) / 2
    undone_after = np.abs(at(steps + within) - at(steps - 2)) < half
    undone_before = np.abs(at(steps - 1 - within) - at(steps + 1)) < half
    return ~(undone_after | undone_before)
