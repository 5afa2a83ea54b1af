"""What acceleration tells slowly: between two rests it has to come to nothing, so that what is left is error."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy import fft

from telemetry.model.arrays import Complexes, Floats
from telemetry.model.motion import Stretch

from .integration import CORNER_HZ, averaged

SLOW_SHARE = 0.25
"""Below this share of the corner an end's movement takes next to no acceleration, so that what is seen is error."""

SHORTEST_S = 30.0
"""Less holds too few slow periods."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A gap-free stretch of a ride, from the middle of one rest to that of the next where it lies between two.

    Attributes
    ----------
    start, stop : int
    rests : ((start, stop), (start, stop)) or None
    """

    start: int
    stop: int
    rests: tuple[Stretch, Stretch] | None


def pieces(rests: tuple[Stretch, ...], segments: tuple[Stretch, ...], rate_hz: float) -> tuple[Piece, ...]:
    """Return what lies between rests, of 30 s or more; without any, whole gap-free stretches of 30 s or more.

    Parameters
    ----------
    rests : tuple of (start, stop)
        Stretches in which the bike stands, in order.
    segments : tuple of (start, stop)
        Gap-free.
    rate_hz : float
    """
    fewest = SHORTEST_S * rate_hz
    between = tuple(
        Piece(start=sum(before) // 2, stop=sum(after) // 2, rests=(before, after))
        for before, after in pairwise(rests)
        if after[0] - before[1] >= fewest and any(start <= before[0] and after[1] <= stop for start, stop in segments)
    )
    whole = tuple(Piece(start=start, stop=stop, rests=None) for start, stop in segments if stop - start >= fewest)
    return between or whole


def slow_spectrum(signal: Floats, piece: Piece, rate_hz: float, *, of_speed: bool = False) -> Complexes:
    """Return the slow Fourier terms of a piece, below a quarter of the corner; their mean square is power density.

    Parameters
    ----------
    signal : float array, shape (n,)
        Over the whole ride.
    piece : Piece
    rate_hz : float
    of_speed : bool
        Whether to return those of its derivative.

    Notes
    -----
    From one rest to the next an end comes back to where it was and to speed 0, and slow movement takes next to no
    acceleration, ``(2 pi f)^2`` of itself: what starts and ends at rest leaks nothing into the slow terms. The straight
    line between the means of both rests, a sensor's bias, is taken off. Without rests a Hann window keeps the
    leaks small [Welch1967].
    """
    own, rate = averaged(signal[piece.start : piece.stop], rate_hz)
    count = own.shape[0]
    if of_speed:
        own = np.gradient(own, 1 / rate)
    if piece.rests is None:
        window = np.hanning(count)
        own = (own - np.mean(own)) * window
        power = float(window @ window)
    else:
        level, later = (0.0, 0.0) if of_speed else (float(np.mean(signal[start:stop])) for start, stop in piece.rests)
        own = own - np.linspace(level, later, count)
        power = float(count)
    highest = int(SLOW_SHARE * CORNER_HZ * count / rate)
    terms: Complexes = fft.rfft(own)[1 : highest + 1] * np.sqrt(2 / (rate * power))
    return terms
