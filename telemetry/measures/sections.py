"""Trail sections: equal shares of riding time, the same number for every run of a comparison."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .view import RunMotion


def section_stretches(run: RunMotion, count: int) -> tuple[Stretch, ...]:
    """Return the sample ranges of equal shares of riding time.

    Parameters
    ----------
    run : RunMotion
    count : int
        Number of sections, >= 1.

    Returns
    -------
    tuple of (start, stop)
        They touch; the first begins and the last ends with the ride's samples.
    """
    ridden = np.cumsum(run.time.riding)
    total = int(ridden[-1])
    inner = [int(np.searchsorted(ridden, total * k / count, side="right")) for k in range(1, count)]
    bounds = [0, *inner, ridden.shape[0]]
    return tuple(pairwise(bounds))


def sections_with_gap(run: RunMotion, sections: Sequence[Stretch]) -> frozenset[int]:
    """Return the numbers (from 0) of the sections in which a gap breaks riding time."""
    riding = run.time.riding
    ridden = np.flatnonzero(riding)
    if ridden.size == 0:
        return frozenset()
    starts = [start for start, _ in sections]
    broken = [start for start, _ in run.ride.segments[1:] if ridden[0] < start <= ridden[-1]]
    return frozenset(int(np.searchsorted(starts, sample, side="right")) - 1 for sample in broken)


def section_speeds_m_s(run: RunMotion, sections: Sequence[Stretch]) -> Floats | None:
    """Return mean ground speed of the riding within each section, m/s; None without a sensor that tells it.

    Parameters
    ----------
    run : RunMotion
    sections : sequence of (start, stop)

    Returns
    -------
    float array, shape (S,), or None
        NaN where a section has no riding, or the sensor told nothing there.
    """
    sensor = run.ride.ground_speed
    if sensor is None:
        return None
    known = run.time.riding & np.isfinite(sensor.speed_m_s)
    return np.array(
        [
            sensor.speed_m_s[start:stop][known[start:stop]].mean() if known[start:stop].any() else np.nan
            for start, stop in sections
        ]
    )
