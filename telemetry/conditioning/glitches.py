"""Glitches: one to three readings of a slow log that jump away and back, where 10 m/s is no limit any more.

At 100 rows a second a reading may fly off by two thirds of a fork's travel and stay below 10 m/s. What tells it then is
how the readings around it go on: as if nothing had been.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints

from .despiking import LONGEST, SPEED_LIMIT_MM_S, find_spikes

LEAST_SHARE = 0.2
"""Of full travel: how far both steps go at least, and how far off the readings around it lies. Own choice."""
FLAT_SHARE, FLAT_READINGS = 0.02, 3
"""So many readings on either side within so much of full travel: nothing happened. Own choices."""
COURSE_SHARE, COURSE_READINGS = 0.15, 2
BRIDGED_SHARE = 0.5
"""Where the wheel moves: so many readings on either side lie on one line within so much of how far off it lies, and the
two next to it differ by no more than this of that. Own choices."""
FASTEST_MM_S, FASTEST_PER_S, FLAT_STEP_SHARE = 4000.0, 30.0, 0.6
"""No damped leg extends faster, nor further in a time t than 1 - exp(-30 t/s) of its travel: at a third of the usual
rebound damping, simulated legs stay below. No leg that is at rest again right afterwards comes back by so much of that
within one row. Own choices."""


def is_slow(rate_hz: float, full_mm: float) -> bool:
    """Tell whether 10 m/s is over a fifth of full travel from one row to the next.

    Examples
    --------
    >>> is_slow(130.0, 150.0), is_slow(500.0, 150.0)
    (True, False)
    """
    return SPEED_LIMIT_MM_S / rate_hz > LEAST_SHARE * full_mm


def _furthest_extension_mm(rate_hz: float, full_mm: float) -> float:
    """Return how far a leg extends at most from one row to the next."""
    return min(FASTEST_MM_S / rate_hz, full_mm * -float(np.expm1(-FASTEST_PER_S / rate_hz)))


def _around(before: Ints, after: Ints, readings: int, count: int) -> Ints:
    """Return the places of so many readings on either side, shape (k, 2 readings); beyond an end the last one's."""
    steps = np.arange(readings)
    return np.clip(np.hstack([before[:, None] - steps, after[:, None] + steps]), 0, count - 1)


def _off_line(places: Ints, values: Floats) -> Floats:
    """Return how far the furthest value of each row lies off that row's least-squares line."""
    x = places - places.mean(axis=1, keepdims=True)
    y = values - values.mean(axis=1, keepdims=True)
    slope = (x * y).sum(axis=1, keepdims=True) / (x * x).sum(axis=1, keepdims=True)
    return np.asarray(np.abs(y - slope * x).max(axis=1))


def _least_off(wheel_mm: Floats, before: Ints, length: int) -> Floats:
    """Return how far the nearest of `length` readings lies off the line from the one before to the one after, mm.

    Positive on the side to which the first of them went.
    """
    first, last = wheel_mm[before], wheel_mm[before + length + 1]
    side = np.sign(wheel_mm[before + 1] - first)
    off = [side * (wheel_mm[before + k] - first - (last - first) * k / (length + 1)) for k in range(1, length + 1)]
    return np.asarray(np.min(off, axis=0))


def _goes_on(wheel_mm: Floats, before: Ints, length: int, least_off: Floats, full_mm: float) -> tuple[Bools, Bools]:
    """Tell whether the readings around each lie flat, and whether they lie on one course."""
    after, count = before + length + 1, wheel_mm.shape[0]
    beside = wheel_mm[_around(before, after, FLAT_READINGS, count)]
    flat = np.ptp(beside, axis=1) <= FLAT_SHARE * full_mm
    places = _around(before, after, COURSE_READINGS, count)
    course = _off_line(places, wheel_mm[places]) <= COURSE_SHARE * least_off
    bridged = np.abs(wheel_mm[after] - wheel_mm[before]) <= BRIDGED_SHARE * least_off
    return flat, course & bridged


def find_glitches(wheel_mm: Floats, rate_hz: float, full_mm: float) -> Ints:
    """Find glitches in one gap-free stretch of a slow log.

    Parameters
    ----------
    wheel_mm : float array, shape (n,)
        Wheel travel of the rows as they were logged.
    rate_hz : float
        Mean rate of the rows.
    full_mm : float
        Full travel.

    Returns
    -------
    int array, shape (k,)
        The samples in glitches, in order; none where the log isn't slow (`is_slow`).

    Notes
    -----
    Up to 3 neighbouring samples whose steps into and out of them have opposite signs, both over a fifth of full travel,
    and which all lie over a fifth off the line from the reading before to the reading after, are a glitch where either

    - the two readings on either side lie on one line within 15 % of how far off the glitch is, those next to it differ
      by no more than half of that, and the step by which the leg would have extended is longer than a leg extends; or
    - it is a single one, the three readings on either side agree within 2 % of full travel, and the step by which the
      leg would have extended is over 0.6 of what a leg extends.

    A real hit ends otherwise: the leg needs time to come back, so the readings after it aren't where they were before.

    Examples
    --------
    >>> import numpy as np
    >>> find_glitches(np.array([50.0, 51.0, 52.0, 170.0, 54.0, 55.0, 56.0]), 100.0, 170.0)
    array([3])
    """
    found = np.zeros(wheel_mm.shape[0], dtype=bool)
    step = np.diff(wheel_mm)
    fast = np.abs(step) > LEAST_SHARE * full_mm
    if not is_slow(rate_hz, full_mm) or np.count_nonzero(fast) < 2:
        return np.flatnonzero(found)
    for length in range(1, LONGEST + 1):
        before = np.flatnonzero(fast[:-length] & fast[length:] & (step[:-length] * step[length:] < 0))
        least_off = _least_off(wheel_mm, before, length)
        flat, on_course = _goes_on(wheel_mm, before, length, least_off, full_mm)
        extended = np.maximum(-step[before], -step[before + length]) / _furthest_extension_mm(rate_hz, full_mm)
        told = (on_course & (extended > 1)) | (flat & (extended > FLAT_STEP_SHARE) & (length == 1))
        taken = before[told & (least_off > LEAST_SHARE * full_mm)]
        for later in range(1, length + 1):
            found[taken + later] = True
    return np.flatnonzero(found)


def mended_rows(
    readings: Floats, wheel: Callable[[Floats], Floats], rate_hz: float, full_mm: float
) -> tuple[Floats, Ints, Ints]:
    """Return a slow log's readings mended: glitches replaced by the line around them, other spikes by their medians.

    Parameters
    ----------
    readings : float array, shape (n,)
        One gap-free stretch, as logged.
    wheel : callable
        Returns wheel travel of readings, mm.
    rate_hz, full_mm : float
        Mean rate of the rows, and full travel.

    Returns
    -------
    float array, shape (n,), and int arrays, shape (k,) and (g,)
        The readings (the same array where nothing is wrong), and the samples that were in spikes and in glitches; one
        that steps faster than 10 m/s may be both.
    """
    travel = wheel(readings)
    spikes = find_spikes(readings, travel, rate_hz)
    mended = readings
    if spikes.samples.size:
        mended = readings.copy()
        mended[spikes.samples] = spikes.values
    glitches = find_glitches(travel, rate_hz, full_mm)
    if spikes.samples.size:
        glitches = np.union1d(glitches, find_glitches(wheel(mended), rate_hz, full_mm))
    if glitches.size:
        kept = np.setdiff1d(np.arange(mended.shape[0]), glitches)
        between = np.interp(glitches, kept, mended[kept])
        mended = readings.copy() if mended is readings else mended
        mended[glitches] = between
    return mended, spikes.samples, glitches
