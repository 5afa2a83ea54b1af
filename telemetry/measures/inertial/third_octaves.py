"""Thirds of an octave: where they lie, and what they are called."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats

_OF_A_DECADE = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)


def centre_hz(number: int) -> float:
    """Return the true centre frequency of a band, Hz: number 0 lies at 1 Hz, ten of them to a decade (IEC 61260-1)."""
    return float(10 ** (number / 10))


def name_of(number: int) -> str:
    """Return what a band is called: its nominal centre frequency in Hz.

    Examples
    --------
    >>> [name_of(number) for number in (-1, 0, 5, 12, 15)]
    ['0.8', '1', '3.15', '16', '31.5']
    """
    decade, place = divmod(number, 10)
    return f"{_OF_A_DECADE[place] * 10.0**decade:.4g}"


def bands_between(lowest_hz: float, highest_hz: float) -> tuple[int, ...]:
    """Return the numbers of the bands whose centres lie within bounds, Hz; nominal bounds count as their band's own."""
    slack = 0.013  # a nominal centre lies up to 1.2 % off the true one
    first = int(np.ceil(10 * np.log10(lowest_hz * (1 - slack))))
    last = int(np.floor(10 * np.log10(highest_hz * (1 + slack))))
    return tuple(range(first, last + 1))


def within(frequency_hz: Floats, number: int) -> Bools:
    """Tell which frequencies, Hz, shape (f,), lie in a band."""
    centre = centre_hz(number)
    inside: Bools = (frequency_hz >= centre * 10**-0.05) & (frequency_hz < centre * 10**0.05)
    return inside
