"""How much of travel and speed is noise."""

from __future__ import annotations

import math

import numpy as np

from telemetry.model.arrays import Floats

FEW_STEPS = 500


def _smallest(step: Floats, floor: float) -> float:
    """Return the smallest of steps over `floor`, infinite where there is none; `step` is used up."""
    step[step <= floor] = np.inf
    return float(np.min(step, initial=np.inf))


def sensor_step(readings: Floats) -> float:
    """Return the converter's step, in readings: the smallest between readings that differ; 0 where none do.

    Parameters
    ----------
    readings : float array, shape (n,)

    Returns
    -------
    float

    Notes
    -----
    Successive readings show it in all but a short and lively log. Where theirs is over 1/500 of the range, all readings
    are put in order to find smaller ones.
    """
    if readings.shape[0] < 2:
        return 0.0
    lowest, highest = float(np.min(readings)), float(np.max(readings))
    floor = 1e-9 * max(-lowest, highest, 1e-300)
    smallest = _smallest(np.abs(np.diff(readings)), floor)
    if highest - lowest < FEW_STEPS * smallest < math.inf:
        smallest = _smallest(np.diff(np.sort(readings)), floor)
    return smallest if math.isfinite(smallest) else 0.0


def travel_noise_mm(step_mm: float, rate_hz: float, cutoff_hz: float) -> float:
    """Return the standard deviation of filtered travel that rounding to `step_mm` leaves, mm.

    Notes
    -----
    ``q / sqrt(12) * sqrt(2 fc / rate)``: rounding error is white over half the rate, the filter keeps fc.
    """
    return step_mm / math.sqrt(12) * math.sqrt(2 * cutoff_hz / rate_hz)


def speed_noise_mm_s(step_mm: float, rate_hz: float, cutoff_hz: float) -> float:
    """Return the standard deviation of speed that rounding to `step_mm` leaves, mm/s.

    Notes
    -----
    ``sqrt(2 q^2 / 12 / rate * 4 pi^2 fc^3 / 3)``: the same white error, differentiated, up to fc.
    """
    return math.sqrt(2 * step_mm**2 / 12 / rate_hz * 4 * math.pi**2 * cutoff_hz**3 / 3)
