"""Natural frequency and damping from one push and what follows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.ride import EndSignal, Ride

from .missing import Missing
from .strokes import gate_mm
from .turning_points import turning_points

FEWEST_SWINGS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Decay:
    """How swings die away.

    Attributes
    ----------
    frequency_hz : float
        Undamped natural frequency.
    damping : float
        Share of critical damping.
    """

    frequency_hz: float
    damping: float


def decay(swings_mm: Floats, half_period_s: Floats) -> Decay | Missing:
    """Return frequency and damping of half-cycle swings.

    Parameters
    ----------
    swings_mm : float array, shape (n,)
        Distance between successive turning points, positive, n >= 4.
    half_period_s : float array, shape (n,)

    Returns
    -------
    Decay or Missing

    Notes
    -----
    Least squares ``a[n+1] = r a[n] - c``; ``L = -ln r``; ``damping = L / sqrt(pi^2 + L^2)``;
    ``frequency = 1 / (2 mean half-period) / sqrt(1 - damping^2)`` [Rao2011].
    """
    if swings_mm.shape[0] < FEWEST_SWINGS:
        swings = swings_mm.shape[0]
        found = f"{swings or 'no'} swing{'' if swings == 1 else 's'}"
        return Missing(f"{found} after the push, at least {FEWEST_SWINGS} needed")
    before, after = swings_mm[:-1], swings_mm[1:]
    spread = before - before.mean()
    squares = float(spread @ spread)
    ratio = float(spread @ after) / squares if squares > 0 else math.nan
    if not 0 < ratio < 1:
        return Missing(f"swings don't die away evenly (each {ratio:.2f} of the one before, 0 to 1 expected)")
    log_decrement = -math.log(ratio)
    damping = log_decrement / math.hypot(math.pi, log_decrement)
    frequency = 1 / (2 * float(np.mean(half_period_s))) / math.sqrt(1 - damping**2)
    return Decay(frequency_hz=frequency, damping=damping)


def bounce_decay(ride: Ride, signal: EndSignal) -> Decay | Missing:
    """Return frequency and damping of one end from a bounce recording.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        Filtered travel; the push is its deepest turning point, the swings those after it.
    """
    start, stop = max(ride.segments, key=lambda item: item[1] - item[0])
    travel = signal.travel_mm[start:stop]
    samples = turning_points(travel, gate_mm(signal.noise.travel_mm)).samples
    samples = samples[samples > 0]
    if samples.size == 0:
        return Missing("no push in the recording")
    after_push = samples[int(np.argmax(travel[samples])) :]
    return decay(np.abs(np.diff(travel[after_push])), np.diff(after_push) / ride.rate_hz)
