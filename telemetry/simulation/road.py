"""Rough ground: the displacement spectrum of ISO 8608 and roads drawn from it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from scipy.fft import irfft, next_fast_len

from telemetry.model.arrays import Floats

REFERENCE_CYCLES_M = 0.1
"""The spatial frequency n0 at which classes are told."""

GEOMETRIC_MEAN_M3: Mapping[str, float] = MappingProxyType({c: 16e-6 * 4**i for i, c in enumerate("ABCDEFGH")})
"""Level at n0 of each class's geometric mean, m³ [ISO8608]: what a road "of class C" means here."""

BAND_CYCLES_M = (0.02, 10.0)
"""Waves of 50 m to 0.1 m. Shorter ones disappear under a tyre's contact patch; common practice, no source."""

WAVES_AT_LEAST = 8
"""Longest waves in a repeat of a road; own choice."""


def _held_m2(level_m3: float, waviness: float, low: Floats, high: Floats) -> Floats:
    """Return the spectrum's integral from each lower to each higher frequency, m²."""
    power = 1 - waviness
    integral = np.log(high / low) if abs(power) < 1e-9 else (high**power - low**power) / power
    return np.asarray(level_m3 * REFERENCE_CYCLES_M**waviness * integral)


def rough_road(
    rng: np.random.Generator,
    length_m: float,
    step_m: float,
    *,
    level_m3: float,
    waviness: float = 2.0,
    band_cycles_m: tuple[float, float] = BAND_CYCLES_M,
) -> Floats:
    """Return heights of a rough road at 0, `step_m`, ... short of `length_m`, m.

    Parameters
    ----------
    rng : numpy.random.Generator
        Draws the phases.
    length_m, step_m : float
        Length and spacing, m, above 0.
    level_m3 : float
        Level at 0.1 cycle/m, m³, 0 or more: a class's geometric mean, from `GEOMETRIC_MEAN_M3`.
    waviness : float, optional
        The exponent w, 1.5 to 3 on real ground (from memory); above 2 long waves weigh more.
    band_cycles_m : tuple of float
        Lowest and highest frequency the road holds, cycles/m; the highest at most half of ``1 / step_m``.

    Returns
    -------
    float array, shape (round(length_m / step_m),)

    Raises
    ------
    ValueError
        If length or step isn't above 0, or if the band is empty, starts at 0 or lies above what the step can hold.

    Notes
    -----
    One-sided spectrum ``G(n) = G(n0) (n / n0)^-w`` [ISO8608]. Tables for angular spatial frequency at 1 rad/m print
    1e-6, 4e-6, ... for the same classes: taken for levels at n0 they give a road 16 times too smooth. Upper limits
    taken for the class make it twice too rough.

    Harmonics with phases uniform over a turn, added by an inverse Fourier transform; each holds what the spectrum does
    half-way to its neighbours, ``amplitude² / 2 = integral of G(n) dn``, so the whole band's variance is exact at any
    length. They repeat after the road's length or eight of the longest waves, whichever is more: a short road isn't a
    closed loop. Heights are nearly normal; their mean over one repeat is zero, over a shorter road it isn't.
    """
    low, high = band_cycles_m
    if not (step_m > 0 and length_m > 0):
        raise ValueError(f"a road needs a length and a step above 0 m, not {length_m:g} and {step_m:g}")
    if not 0 < low < high <= 0.5 / step_m * (1 + 1e-9):
        raise ValueError(f"a band of {low:g} to {high:g} cycles/m doesn't fit steps of {step_m:g} m")
    count = round(length_m / step_m)
    whole = next_fast_len(max(count, math.ceil(WAVES_AT_LEAST / (low * step_m))), real=True)
    spacing = 1 / (whole * step_m)
    first, last = max(round(low / spacing), 1), min(round(high / spacing), (whole - 1) // 2)
    between = np.clip(spacing * (np.arange(first, last + 2) - 0.5), low, high)
    amplitude = np.sqrt(2 * _held_m2(level_m3, waviness, between[:-1], between[1:]))
    turns = np.zeros(last + 1, dtype=complex)
    turns[first:] = whole / 2 * amplitude * np.exp(2j * math.pi * rng.random(amplitude.shape[0]))
    return np.asarray(irfft(turns, n=whole)[:count], dtype=float)
