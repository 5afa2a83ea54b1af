"""How fast a trail is ridden where turns, brakes and legs set the limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import convolve1d

from telemetry.model.arrays import Floats

STEP_M = 0.01
SLOWEST_M_S = 1.5
"""At both ends of a trail."""
ONSET_M = 3.0
"""Along which brakes and drive come on and go; own choice."""
GRADED_M = 20.0
"""Along which a trail's gradient comes and goes at its ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What a rider does along a trail, at steps of 0.01 m.

    Attributes
    ----------
    speed_m_s : float array, shape (n,)
    curvature_1_m : float array, shape (n,)
        Of the path seen from above, left positive.
    gradient : float array, shape (n,)
        Rise over run that the trail's heights don't hold, uphill positive.
    pedal_hz : float
        Mean turns of the cranks a second where the rider pedals; 0 where an engine drives.
    """

    speed_m_s: Floats
    curvature_1_m: Floats
    gradient: Floats
    pedal_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a rider allows himself, m/s and m/s²."""

    speed_m_s: float
    braking_m_s2: float
    accelerating_m_s2: float
    cornering_m_s2: float


def limited(limits: Limits, curvature_1_m: Floats, flown_m: tuple[tuple[float, float], ...] = ()) -> Floats:
    """Return the fastest speed along a trail that keeps all limits, m/s.

    Parameters
    ----------
    limits : Limits
    curvature_1_m : float array, shape (n,)
    flown_m : tuple of (first, last)
        Stretches ridden at one speed: who is in the air neither brakes nor drives.

    Notes
    -----
    The square of speed is bounded by ``a / |curvature|``, rises by ``2 a`` a metre at most and falls so, and is then
    smoothed along 3 m, so that brakes take a third of a second to come on.
    """
    bound = np.full(curvature_1_m.shape, limits.speed_m_s**2)
    bound = np.minimum(bound, limits.cornering_m_s2 / np.maximum(np.abs(curvature_1_m), 1e-6))
    bound = np.maximum(bound, SLOWEST_M_S**2)
    bound[0] = bound[-1] = SLOWEST_M_S**2
    square = _reached(bound, limits)
    spans = [slice(round((first - ONSET_M) / STEP_M), round((last + ONSET_M) / STEP_M)) for first, last in flown_m]
    for span in spans:
        bound[span] = square[span].min()
    square = _reached(bound, limits) if spans else square
    window = np.hanning(round(ONSET_M / STEP_M) + 2)[1:-1]
    smooth = convolve1d(square, window / window.sum(), mode="nearest")
    return np.asarray(np.sqrt(smooth), dtype=float)


def _reached(bound: Floats, limits: Limits) -> Floats:
    """Return the largest square of speed below a bound that neither rises nor falls faster than allowed."""
    x_m = STEP_M * np.arange(bound.shape[0])
    down, up = 2 * limits.braking_m_s2 * x_m, 2 * limits.accelerating_m_s2 * x_m
    braked = np.minimum.accumulate((bound + down)[::-1])[::-1] - down
    return np.asarray(np.minimum.accumulate(braked - up) + up)


def graded(gradient: float, count: int) -> Floats:
    """Return a gradient that comes within the first 20 m of a trail and goes within the last, shape (count,)."""
    length = min(round(GRADED_M / STEP_M), count // 2)
    rise = (1 - np.cos(np.pi * np.arange(length) / length)) / 2
    found = np.full(count, gradient)
    found[:length] *= rise
    found[count - length :] *= rise[::-1]
    return found
