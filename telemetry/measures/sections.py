"""Trail sections: equal shares of riding time or of distance, or between marks; the same number for every run."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Floats, Ints
from telemetry.model.motion import Stretch

from .view import RunMotion

MEAN_OVER_S = 1.0


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
    return sections_at(ridden_samples(run), np.linspace(0, 1, count + 1))


def ridden_samples(run: RunMotion) -> Ints:
    """Return how many samples of riding time have passed up to and with each sample, shape (n,)."""
    return np.asarray(np.cumsum(run.time.riding), dtype=np.int64)


def sections_at(passed: Floats | Ints, shares: Floats) -> tuple[Stretch, ...]:
    """Return the sample ranges between shares of what has been passed.

    Parameters
    ----------
    passed : array, shape (n,)
        Riding time or distance up to and with each sample, in any unit, never falling.
    shares : float array, shape (count + 1,)
        From 0 to 1, never falling.

    Returns
    -------
    tuple of (start, stop)
        They touch; the first begins and the last ends with the samples.

    Examples
    --------
    >>> import numpy as np
    >>> sections_at(np.array([1.0, 2.0, 3.0, 4.0]), np.array([0.0, 0.5, 1.0]))
    ((0, 2), (2, 4))
    """
    total = float(passed[-1])
    inner = [int(np.searchsorted(passed, total * share + 1e-9 * total, side="right")) for share in shares[1:-1]]
    return tuple(pairwise([0, *inner, passed.shape[0]]))


def ridden_distance_m(run: RunMotion) -> Floats | None:
    """Return the distance ridden up to and with each sample, m, shape (n,); None where no speed is logged.

    Notes
    -----
    Ground speed summed over riding time. What a gap took is put in at the mean speed of the second before and after
    it, so that the places behind it stay where they are.
    """
    ground = run.ride.ground_speed
    if ground is None:
        return None
    rate_hz, time_s, riding = run.time.rate_hz, run.ride.time_s, run.time.riding
    speed = np.maximum(ground.speed_m_s, 0.0)
    metres = np.where(riding, speed, 0.0) / rate_hz
    near = max(1, round(MEAN_OVER_S * rate_hz))
    for start, _ in run.ride.segments[1:]:
        around = slice(max(0, start - near), start + near)
        if riding[around].all():
            metres[start] += float(speed[around].mean()) * float(time_s[start] - time_s[start - 1])
    return np.asarray(np.cumsum(metres))


def sections_between(run: RunMotion, at_s: Sequence[float]) -> tuple[Stretch, ...]:
    """Return the sample ranges from each mark to the next; what lies before the first and after the last is in none.

    Parameters
    ----------
    run : RunMotion
    at_s : sequence of float
        Seconds after the log's first row, rising; two or more.
    """
    return tuple(pairwise(np.searchsorted(run.ride.time_s, np.asarray(at_s) - 1e-9).tolist()))


def sections_with_gap(run: RunMotion, sections: Sequence[Stretch]) -> frozenset[int]:
    """Return the numbers (from 0) of the sections in which a gap breaks riding time, or nothing is ridden."""
    riding = run.time.riding
    ridden = np.flatnonzero(riding)
    if ridden.size == 0:
        return frozenset(range(len(sections)))
    broken = [start for start, _ in run.ride.segments[1:] if ridden[0] < start <= ridden[-1]]
    return frozenset(
        number
        for number, (start, stop) in enumerate(sections)
        if not riding[start:stop].any() or any(start <= sample < stop for sample in broken)
    )


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
