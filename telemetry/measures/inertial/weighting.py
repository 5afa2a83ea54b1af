"""How vibration counts for people: frequency weightings for whole body and hands, and weighted root mean squares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.fft import next_fast_len, rfft

from telemetry.model.arrays import Floats

from .band import HELD_SHARE
from .third_octaves import bands_between, centre_hz

SHORTEST_S = 5.0
"""Shorter stretches aren't counted: the slowest band of the whole-body weighting takes 2.5 s a swing. Own choice."""
CELL_HZ = 0.02
"""In cells of this width the gain counts as one: at 0.4 Hz, where it climbs fastest, 5 % of the frequency."""
_PADDED_S = 5.0
"""Of nothing after a stretch, in which its last swings die away instead of running into its start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighting:
    """One frequency weighting as the standard defines it: corner frequencies in Hz, and the resonances' quality.

    Attributes
    ----------
    lower_hz, upper_hz : float
        Band limits, second-order Butterworth.
    level_hz, level_q : float
        From here acceleration counts as speed.
    step_hz, step_q : pair of float or None
        The step upward between two frequencies.
    nominal_hz : pair of float
        The bands the standard asks for.
    needed_to_hz : float
        A log that holds less gives no value.
    """

    name: str
    lower_hz: float
    upper_hz: float
    level_hz: float
    level_q: float
    step_hz: tuple[float, float] | None
    step_q: float
    nominal_hz: tuple[float, float]
    needed_to_hz: float


WHOLE_BODY = Weighting(
    name="Wk",
    lower_hz=0.4,
    upper_hz=100.0,
    level_hz=12.5,
    level_q=0.63,
    step_hz=(2.37, 3.35),
    step_q=0.91,
    nominal_hz=(0.5, 80.0),
    needed_to_hz=80.0,
)
"""Vertical, standing or seated [ISO2631], the design goal of [ISO8041]; every nominal band is needed."""
HAND_ARM = Weighting(
    name="Wh",
    lower_hz=10**0.8,
    upper_hz=10**3.1,
    level_hz=100 / (2 * math.pi),
    level_q=0.64,
    step_hz=None,
    step_q=1.0,
    nominal_hz=(8.0, 1000.0),
    needed_to_hz=80.0,
)
"""Each axis of the hand alike [ISO5349], the design goal of [ISO8041]. No log of a bike holds 1000 Hz; 80 Hz is needed:
of shaking with a flat spectrum the bands above would add 6 % to the value, within the filters' tolerance of 11 %. Own
choice."""


def squared_gain(weighting: Weighting, frequency_hz: Floats) -> Floats:
    """Return the square of a weighting's gain at frequencies, Hz, shape (f,); 0 at 0 Hz.

    Examples
    --------
    >>> import numpy as np
    >>> np.sqrt(squared_gain(WHOLE_BODY, np.array([0.0, 1.0, 6.31]))).round(3)
    array([0.   , 0.482, 1.054])
    """
    square = frequency_hz * frequency_hz
    fourth = square * square
    gain = fourth / (fourth + weighting.lower_hz**4)
    gain *= weighting.upper_hz**4 / (fourth + weighting.upper_hz**4)
    gain *= (1 + square / weighting.level_hz**2) / _resonance(square, weighting.level_hz, weighting.level_q)
    if weighting.step_hz is not None:
        first, second = weighting.step_hz
        gain *= _resonance(square, first, weighting.step_q) / _resonance(square, second, weighting.step_q)
        gain *= (first / second) ** 4
    return gain


def _resonance(square_hz2: Floats, at_hz: float, quality: float) -> Floats:
    bounced: Floats = (1 - square_hz2 / at_hz**2) ** 2 + square_hz2 / (quality * at_hz) ** 2
    return bounced


def needed_rate_hz(weighting: Weighting) -> float:
    """Return the rate a log needs for a weighting, Hz."""
    return centre_hz(round(10 * math.log10(weighting.needed_to_hz))) / HELD_SHARE


def is_held(weighting: Weighting, rate_hz: float) -> bool:
    """Tell whether a log of this rate holds the bands that the weighting needs."""
    return rate_hz >= needed_rate_hz(weighting)


def bands_lacking(weighting: Weighting, rate_hz: float) -> tuple[int, ...]:
    """Return the numbers of the standard's nominal bands that a log of this rate can't hold."""
    return tuple(number for number in bands_between(*weighting.nominal_hz) if centre_hz(number) > HELD_SHARE * rate_hz)


def weighted_rms(weighting: Weighting, parts: Sequence[Floats], rate_hz: float) -> float:
    """Return the weighted root mean square over stretches, each sample counted once.

    Parameters
    ----------
    weighting : Weighting
    parts : sequence of float arrays, each of shape (n,)
        Gap-free stretches, m/s2.
    rate_hz : float

    Returns
    -------
    float
        m/s2; NaN without any sample.

    Notes
    -----
    Each stretch, its mean taken out, is filtered by its transform: the analogue design goal itself up to half the
    rate, which no recursive filter keeps near there. The sum of squares is taken from the transform (Parseval).
    """
    count = sum(part.size for part in parts)
    energy = 0.0
    for part in parts:
        size = next_fast_len(part.size + round(_PADDED_S * rate_hz), real=True)
        found = rfft(part - part.mean(), size)
        power = found.view(np.float64)  # real and imaginary parts by turns
        power *= power
        step_hz = rate_hz / size
        together = max(1, int(CELL_HZ / step_hz))
        cells = np.add.reduceat(power, np.arange(0, power.size, 2 * together))
        middle = np.arange(cells.size, dtype=np.float64) * (together * step_hz) + (together - 1) / 2 * step_hz
        energy += 2.0 * float(cells @ squared_gain(weighting, middle)) / size
    return math.sqrt(energy / count) if count else math.nan
