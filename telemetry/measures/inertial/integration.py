"""Acceleration to speed and movement above a corner: integrated and high-passed in one step, without delay."""

from __future__ import annotations

import math

import numpy as np
from scipy import fft

from telemetry.model.arrays import Floats

from .band import HELD_SHARE, TWO_PASS

CORNER_HZ = 0.6
"""Movement slower than this isn't told: -3 dB, both passes. Own choice."""

SLOW_ORDER = 3
"""Of the high-pass, once each way: a higher one takes longer to settle at a log's ends."""

FASTEST_HZ = 60.0
FAST_ORDER = 4
"""Low-pass as that of travel, so that speeds hold the same band."""

EDGE_S = 3.0
"""So near the ends of a stretch what came before isn't known: a speed of 1 m/s there has faded to under 2 mm."""

AVERAGED_HZ = 100.0


def kept(frequency_hz: Floats, rate_hz: float) -> Floats:
    """Return the share of each frequency that is kept, 0 to 1.

    Parameters
    ----------
    frequency_hz : float array, shape (k,)
        Not negative.
    rate_hz : float

    Returns
    -------
    float array, shape (k,)

    Notes
    -----
    Butterworth, forward and backward: a high-pass of order 3 with -3 dB of both passes at 0.6 Hz, and a low-pass of
    order 4 with -3 dB at 60 Hz, or 0.4 of the rate where that is less. Two passes of order N multiply by
    ``r / (1 + r)``, ``r = (f / design)^(2 N)``, and ``design = corner (sqrt(2) - 1)^(1 / (2 N))`` [Winter2009].
    """
    slow = (frequency_hz / (CORNER_HZ * TWO_PASS ** (0.5 / SLOW_ORDER))) ** (2 * SLOW_ORDER)
    fastest = min(FASTEST_HZ, HELD_SHARE * rate_hz)
    fast = (frequency_hz * TWO_PASS ** (0.5 / FAST_ORDER) / fastest) ** (2 * FAST_ORDER)
    share: Floats = slow / ((1 + slow) * (1 + fast))
    return share


def integrated(acceleration_m_s2: Floats, rate_hz: float, speed_m_s: Floats | None = None) -> tuple[Floats, Floats]:
    """Return movement (mm) and speed (mm/s) above the corner.

    Parameters
    ----------
    acceleration_m_s2 : float array, shape (n,)
        One gap-free stretch; a constant in it changes nothing.
    rate_hz : float
    speed_m_s : float array, shape (n,), optional
        A part of the speed that is known as such, to be added to what acceleration tells.

    Returns
    -------
    movement_mm, speed_mm_s : float arrays, shape (n,)
        About their own slow mean; within 3 s of the stretch's ends they haven't settled.

    Notes
    -----
    By Fourier transform: ``speed = kept / (i w)``, ``movement = kept / (i w)^2``, exact up to half the rate (a sum by
    trapezoids, twice, reads 15 % low at 30 Hz and 200 rows a second). The stretch is followed by 6 s of nothing, so
    that its end doesn't reach round to its start.
    """
    count = acceleration_m_s2.shape[0]
    length = fft.next_fast_len(count + math.ceil(2 * EDGE_S * rate_hz), real=True)
    frequency = fft.rfftfreq(length, 1 / rate_hz)
    frequency[0] = 1.0  # nothing of a constant is kept; it only mustn't divide by zero
    turning = 2j * np.pi * frequency
    share = kept(frequency, rate_hz)
    share[0] = 0.0
    speed = fft.rfft(acceleration_m_s2 - np.mean(acceleration_m_s2), length)
    speed *= share / turning
    if speed_m_s is not None:
        speed += fft.rfft(speed_m_s - np.mean(speed_m_s), length) * share
    speed *= 1e3
    movement = speed / turning
    return fft.irfft(movement, length)[:count], fft.irfft(speed, length)[:count]


def movement_of_white_mm(density_m2_s4_hz: float, rate_hz: float) -> float:
    """Return the standard deviation of movement that white noise in acceleration makes, mm.

    Parameters
    ----------
    density_m2_s4_hz : float
        One-sided power density of the acceleration.
    rate_hz : float

    Notes
    -----
    ``sqrt(density * integral (kept / w^2)^2 df)``; nearly all of it lies within an octave of the corner.
    """
    frequency = np.geomspace(CORNER_HZ / 50, rate_hz / 2, 2000)
    gain = kept(frequency, rate_hz) / (2 * np.pi * frequency) ** 2
    return 1e3 * math.sqrt(density_m2_s4_hz * float(np.trapezoid(gain**2, frequency)))


def averaged(signal: Floats, rate_hz: float) -> tuple[Floats, float]:
    """Return means over as many samples as leave 100 or more a second, and how many that are.

    Parameters
    ----------
    signal : float array, shape (n,)
        Without a gap; what is left over at its end is dropped.
    rate_hz : float

    Returns
    -------
    float array, shape (k,), and float
        In the signal's unit; means a second, Hz.

    Notes
    -----
    Of what is slower than 1 Hz they keep all but a ten-thousandth, and little of what shakes near 100 Hz joins it.
    """
    every = max(1, int(rate_hz / AVERAGED_HZ))
    whole = signal.shape[0] // every * every
    return signal[:whole].reshape(-1, every).mean(axis=1), rate_hz / every
