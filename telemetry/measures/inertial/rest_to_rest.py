"""What acceleration is wrong by, slowly: what doesn't add up from one rest to the next."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy import fft

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .integration import CORNER_HZ

SLOW_SHARE = 0.25
"""Below this share of the corner an end's movement takes next to no acceleration, so that what is seen is error."""

SHORTEST_S = 30.0
"""Between two rests: less holds too few slow periods."""


def _between(
    rests: tuple[Stretch, ...], segments: tuple[Stretch, ...], rate_hz: float
) -> list[tuple[Stretch, Stretch]]:
    """Return neighbouring rests of one gap-free stretch with 30 s or more between them."""
    long_enough = []
    for before, after in pairwise(rests):
        together = any(start <= before[0] and after[1] <= stop for start, stop in segments)
        if together and after[0] - before[1] >= SHORTEST_S * rate_hz:
            long_enough.append((before, after))
    return long_enough


def slow_density(
    acceleration_m_s2: Floats, rests: tuple[Stretch, ...], segments: tuple[Stretch, ...], rate_hz: float
) -> float | None:
    """Return the power density of what relative acceleration is slowly wrong by, (m/s2)2/Hz; None without two rests.

    Parameters
    ----------
    acceleration_m_s2 : float array, shape (n,)
        Of the wheel against the chassis.
    rests : tuple of (start, stop)
        Stretches in which the bike stands, in order.
    segments : tuple of (start, stop)
        Gap-free.
    rate_hz : float

    Notes
    -----
    From one rest to the next an end comes back to where it was and to speed 0, and slow movement takes next to no
    acceleration, ``(2 pi f)^2`` of itself: what starts and ends at rest leaks nothing more. The straight line between
    the means of both rests, the bias, is taken off; the periodogram of what is left, below a quarter of the corner, is
    error: of bias, mounting, scale and gravity. It is taken as even up to the corner.
    """
    powers: list[Floats] = []
    for before, after in _between(rests, segments, rate_hz):
        first, last = sum(before) // 2, sum(after) // 2
        piece = acceleration_m_s2[first:last]
        level, later = (float(np.mean(acceleration_m_s2[start:stop])) for start, stop in (before, after))
        count = piece.shape[0]
        spectrum = fft.rfft(piece - np.linspace(level, later, count))
        highest = int(SLOW_SHARE * CORNER_HZ * count / rate_hz)
        powers.append(np.abs(spectrum[1 : highest + 1]) ** 2 * 2 / (rate_hz * count))
    return float(np.mean(np.concatenate(powers))) if powers else None
