"""The strongest slow frequency of ridden travel: trail, speed and cadence make it, not the bike alone."""

from __future__ import annotations

import numpy as np
from scipy.signal import welch

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch
from telemetry.model.peaks import peak_shift

from .missing import Missing, Outcome

LOWEST_HZ, HIGHEST_HZ = 0.7, 4.0
WINDOW_S = 8.0
THINNED_RATE_HZ = 240.0


def without_line(windows: Floats) -> Floats:
    """Return windows (along the last axis) less their least-squares lines."""
    index = np.arange(windows.shape[-1]) - (windows.shape[-1] - 1) / 2
    slope = windows @ index / (index @ index)
    centred = windows - windows.mean(axis=-1, keepdims=True)
    straight: Floats = centred - slope[..., None] * index
    return straight


def mean_spectrum(travel_mm: Floats, ridden: tuple[Stretch, ...], rate_hz: float) -> tuple[Floats, Floats] | None:
    """Return frequency (Hz) and power density (mm2/Hz) of travel over stretches of 8 s or more; None without any.

    Notes
    -----
    Welch: Hann window, 8 s, half overlap, linear detrend [Welch1967]; stretches weighted by their windows.
    """
    every = max(1, int(rate_hz / THINNED_RATE_HZ))
    rate = rate_hz / every
    length = round(WINDOW_S * rate)
    parts = [part for part in (travel_mm[start:stop:every] for start, stop in ridden) if part.shape[0] >= length]
    if not parts:
        return None
    spectra = [welch(part, rate, nperseg=length, noverlap=length // 2, detrend=without_line) for part in parts]
    windows = [(part.shape[0] - length // 2) // (length - length // 2) for part in parts]
    return spectra[0][0], np.average([density for _, density in spectra], axis=0, weights=windows)


def strongest_peak_hz(frequency_hz: Floats, power: Floats, lowest_hz: float, highest_hz: float) -> Outcome:
    """Return the strongest local peak within bounds, refined by a parabola on log power, Hz."""
    inner = np.arange(1, frequency_hz.shape[0] - 1)
    peak = (power[inner] > power[inner - 1]) & (power[inner] >= power[inner + 1])
    inside = (frequency_hz[inner] >= lowest_hz) & (frequency_hz[inner] <= highest_hz)
    places = inner[peak & inside]
    if places.size == 0 or power[places].max() <= 0:
        return Missing(f"no peak between {lowest_hz:g} and {highest_hz:g} Hz")
    place = int(places[np.argmax(power[places])])
    if power[place - 1] <= 0 or power[place + 1] <= 0:
        return float(frequency_hz[place])
    shift = peak_shift(*np.log(power[place - 1 : place + 2]))
    return float(frequency_hz[place] + shift * (frequency_hz[1] - frequency_hz[0]))


def strongest_slow_frequency(travel_mm: Floats, ridden: tuple[Stretch, ...], rate_hz: float) -> Outcome:
    """Return the strongest frequency of filtered travel in 0.7-4 Hz while riding, Hz.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
    ridden : tuple of (start, stop)
        Riding time without a break.
    rate_hz : float
    """
    spectrum = mean_spectrum(travel_mm, ridden, rate_hz)
    if spectrum is None:
        return Missing(f"no {WINDOW_S:g} s of riding without a break")
    return strongest_peak_hz(*spectrum, LOWEST_HZ, HIGHEST_HZ)
