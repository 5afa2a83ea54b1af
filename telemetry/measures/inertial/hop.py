"""How fast a wheel hops between tyre and spring: the peak of its shaking."""

from __future__ import annotations

import math

import numpy as np

from telemetry.measures.missing import Missing, Outcome
from telemetry.model.arrays import Floats
from telemetry.model.peaks import peak_shift

LOWEST_HZ, HIGHEST_HZ = 6.0, 45.0
"""Within which wheels hop: 10 to 18 Hz of motorcycles, 18 to 35 of bicycles, common practice, with room."""
OVER_SIDES = 1.5
"""What the peak's power has to be over the power half an octave below it and above it. Own choice: it refuses a flat
spectrum, and keeps a hop with 0.4 of critical damping."""
PER_OCTAVE = 12
"""Cells in which power is averaged, to find the peak of the hump and not a spike of it; own choice."""
SMOOTHED_OVER = 5
"""Cells: five twelfths of an octave. Own choice."""


def hop_frequency(frequency_hz: Floats, power: Floats, upper_hz: float) -> Outcome:
    """Return the frequency of a wheel's hop, Hz.

    Parameters
    ----------
    frequency_hz, power : float array, shape (f,)
        Power density of the wheel's upward acceleration.
    upper_hz : float
        What the log holds.

    Returns
    -------
    float or Missing

    Notes
    -----
    Over ground whose steepness has a flat spectrum in distance (exponent 2 of [ISO8608]) a wheel between tyre and
    chassis has ``|a|^2 ~ w^2 / |K - m w^2 + i c w|^2``: the peak lies at sqrt(K/m) whatever the damping.
    """
    side = PER_OCTAVE // 2
    cells = math.floor(PER_OCTAVE * math.log2(min(HIGHEST_HZ, upper_hz) / LOWEST_HZ)) if upper_hz > LOWEST_HZ else 0
    numbers = np.arange(-side - SMOOTHED_OVER, cells + side + SMOOTHED_OVER + 1)
    centre = LOWEST_HZ * 2.0 ** (numbers / PER_OCTAVE)
    inside = centre <= upper_hz
    level = np.log(np.maximum(_smoothed(frequency_hz, power, centre[inside]), 1e-30))
    peak = side + SMOOTHED_OVER + np.arange(cells + 1)
    peak = peak[peak + side < level.size]
    tops = peak[(level[peak] >= level[peak - 1]) & (level[peak] > level[peak + 1])]
    clear = np.log(OVER_SIDES)
    tops = tops[(level[tops] - level[tops - side] > clear) & (level[tops] - level[tops + side] > clear)]
    if tops.size == 0:
        return Missing(
            f"no clear peak of the wheel's shaking between {LOWEST_HZ:g} and {min(HIGHEST_HZ, upper_hz):g} Hz"
        )
    top = int(tops[np.argmax(level[tops])])
    shift = float(peak_shift(level[top - 1], level[top], level[top + 1]))
    return float(LOWEST_HZ * 2.0 ** ((numbers[top] + shift) / PER_OCTAVE))


def _smoothed(frequency_hz: Floats, power: Floats, centre_hz: Floats) -> Floats:
    """Return mean power within `SMOOTHED_OVER` cells about each centre."""
    reach = 2.0 ** (SMOOTHED_OVER / 2 / PER_OCTAVE)
    total = np.concatenate([[0.0], np.cumsum(power)])
    first = np.searchsorted(frequency_hz, centre_hz / reach)
    stop = np.maximum(np.searchsorted(frequency_hz, centre_hz * reach), first + 1)
    stop = np.minimum(stop, power.size)
    mean: Floats = (total[stop] - total[first]) / np.maximum(stop - first, 1)
    return mean
