"""Steps no wheel makes and despiking leaves: a plug or wire that loses contact for longer than a spike lasts."""

from __future__ import annotations

import math

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints

from .despiking import SPEED_LIMIT_MM_S

LEAST_MM = 5.0
"""Own choice: fast loggers are judged over as many samples as 5 mm take at the limit, far above their noise."""
LEFT_SPIKE = 5
"""Samples within which a step is undone where it is what despiking left of a spike, between rows or in fast motion."""


def _alone(forward: Floats, limit: float, longest: int) -> tuple[Ints, Ints]:
    """Return where runs of fast steps forward start and stop that are short and stand alone.

    A wheel takes longer to reach such a speed and to lose it: just before and after, travel moves the same way at less
    than half the speed.
    """
    edges = np.flatnonzero(np.diff(forward > limit, prepend=False, append=False))
    start, stop = edges[::2], edges[1::2]
    short = stop - start <= longest
    start, stop = start[short], stop[short]
    peak = np.full(start.shape[0], -np.inf)
    for later in range(longest):
        peak = np.maximum(peak, forward[np.minimum(start + later, stop - 1)])
    before = np.where(start > 0, forward[start - 1], -np.inf)
    after = np.where(stop < forward.shape[0], forward[np.minimum(stop, forward.shape[0] - 1)], -np.inf)
    alone = np.maximum(before, after) < peak / 2
    return start[alone], stop[alone]


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
    found = []
    for forward in (moved, -moved):
        for start, stop in zip(*_alone(forward, limit, over + 1), strict=True):
            steps = np.abs(np.diff(wheel_mm[start : stop + over]))
            found.append(start + 1 + int(np.argmax(steps)))
    return np.array(sorted(found), dtype=np.int64)


def lasting_steps(wheel_mm: Floats, steps: Ints) -> Bools:
    """Tell which steps aren't undone within five samples, before or after: those are what is left of a spike.

    Parameters
    ----------
    wheel_mm : float array, shape (n,)
    steps : int array, shape (k,)
        The sample after each step.
    """

    def at(places: Ints) -> Floats:
        return np.asarray(wheel_mm[np.clip(places, 0, wheel_mm.shape[0] - 1)])

    half = np.abs(at(steps) - at(steps - 1)) / 2
    undone_after = np.abs(at(steps + LEFT_SPIKE) - at(steps - 2)) < half
    undone_before = np.abs(at(steps - 1 - LEFT_SPIKE) - at(steps + 1)) < half
    return ~(undone_after | undone_before)
