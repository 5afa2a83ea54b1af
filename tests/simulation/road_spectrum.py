"""The displacement spectrum of ISO 8608 in its closed form, apart from the program: what its roads are held against."""

from __future__ import annotations

import math

import numpy as np

N0_CYCLES_M = 0.1


def spectrum_m3(n_cycles_m: np.ndarray, level_m3: float, waviness: float = 2.0) -> np.ndarray:
    """``G(n) = G(n0) (n / n0)^-w``, one-sided, m³."""
    return level_m3 * (n_cycles_m / N0_CYCLES_M) ** -waviness


def band_rms_m(level_m3: float, waviness: float, band_cycles_m: tuple[float, float]) -> float:
    """``sqrt(G(n0) n0^w (n1^(1-w) - n2^(1-w)) / (w - 1))``, the spectrum's integral; a logarithm where w = 1."""
    low, high = band_cycles_m
    if waviness == 1:
        return math.sqrt(level_m3 * N0_CYCLES_M * math.log(high / low))
    held = (low ** (1 - waviness) - high ** (1 - waviness)) / (waviness - 1)
    return math.sqrt(level_m3 * N0_CYCLES_M**waviness * held)
