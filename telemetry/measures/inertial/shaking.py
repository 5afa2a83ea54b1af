"""How hard a place is shaken: root mean square, and the peaks that come ten times a minute."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.signal import find_peaks

from telemetry.measures.fixed_rate import PER_MINUTE
from telemetry.model.arrays import Floats, joined

APART_S = 0.1
"""Peaks lie at least so far apart: a wheel rings on at 10 to 30 Hz after a hit, and one hit is one peak. Own choice."""
OVER_RMS = 2.0
"""Peaks are first looked for above so many times the root mean square: that ten a minute reach is far above. Speed
only; where it finds too few, all are looked for."""


def root_mean_square(parts: Sequence[Floats]) -> float:
    """Return the root mean square over several stretches, each sample counted once; NaN without any.

    Parameters
    ----------
    parts : sequence of float arrays, each of shape (n,)

    Returns
    -------
    float
        In their unit.
    """
    count = sum(part.size for part in parts)
    return math.sqrt(sum(float(part @ part) for part in parts) / count) if count else math.nan


def minutes_of(parts: Sequence[Floats], rate_hz: float) -> float:
    """Return how long several stretches last together, min."""
    return sum(part.size for part in parts) / rate_hz / 60.0


def peaks(parts: Sequence[Floats], rate_hz: float, *, above: float = 0.0) -> Floats:
    """Return the peaks of a signal's size: its local maxima that have no higher one within `APART_S`.

    Parameters
    ----------
    parts : sequence of float arrays, each of shape (n,)
        Gap-free stretches of a band-passed signal.
    rate_hz : float
    above : float
        Peaks below aren't looked for; the others are the same whatever it is.

    Returns
    -------
    float array, shape (k,)
        Positive, in the signal's unit, in the order of time.

    Examples
    --------
    >>> import numpy as np
    >>> peaks([np.array([0.0, 3.0, -7.0, 2.0, 0.0])], 100.0)
    array([7.])
    """
    found = []
    for part in parts:
        size = np.abs(part)
        places, _ = find_peaks(size, height=above, distance=max(1.0, APART_S * rate_hz))
        found.append(size[places])
    return joined(found) if found else np.empty(0)


def foremost_peaks(parts: Sequence[Floats], rate_hz: float, minutes: float) -> Floats:
    """Return at least the peaks that ten a minute need, and all where there are no more; as `peaks`."""
    some = peaks(parts, rate_hz, above=OVER_RMS * root_mean_square(parts))
    return some if some.size > PER_MINUTE * minutes else peaks(parts, rate_hz)
