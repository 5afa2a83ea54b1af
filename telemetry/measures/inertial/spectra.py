"""Power and cross spectra of one or two signals over ridden stretches, by one transform of each window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from scipy.fft import rfft
from scipy.signal import get_window

from telemetry.model.arrays import Complexes, Floats
from telemetry.model.motion import Stretch

WINDOW_S = 8.0
FEWEST_WINDOWS = 8
"""Half-overlapping windows of 8 s: from so many on (36 s) two signals that have nothing to do with each other reach a
coherence of 0.8 about once in 1000 frequencies. Own choice, from the distribution of coherence [BendatPiersol2010]."""
HIGHEST_HZ = 100.0
"""Frequencies above aren't kept: nothing asks for them."""
_AT_A_TIME = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Spectra:
    """Mean spectra of a first and a second signal.

    Attributes
    ----------
    frequency_hz : float array, shape (f,)
    first, second : float array, shape (f,)
        Power density, the signals' unit squared a hertz, one-sided.
    cross : complex array, shape (f,)
        Conjugate of the first times the second.
    windows : int
    """

    frequency_hz: Floats
    first: Floats
    second: Floats
    cross: Complexes
    windows: int

    @property
    def coherence(self) -> Floats:
        """How far the second follows the first, 0 to 1; 0 where either holds nothing."""
        power = self.first * self.second
        squared: Floats = np.abs(self.cross) ** 2
        return np.divide(squared, power, out=np.zeros_like(power), where=power > 0)

    @property
    def response(self) -> Complexes:
        """What the second makes of the first (H1): cross spectrum over the first's power; 0 where that is none."""
        return np.divide(self.cross, self.first, out=np.zeros_like(self.cross), where=self.first > 0)


def mean_spectra(first: Floats, second: Floats, ridden: Sequence[Stretch], rate_hz: float) -> Spectra:
    """Return spectra of two signals, averaged over windows that lie wholly in what was ridden.

    Parameters
    ----------
    first, second : float array, shape (n,)
        One sample each at the same moment; the same array twice for the power of one signal.
    ridden : sequence of (start, stop)
    rate_hz : float

    Returns
    -------
    Spectra
        With no window, `windows` is 0 and all is zero.

    Notes
    -----
    Welch: Hann window, 8 s, half overlap, mean of each window taken out [Welch1967].
    """
    length = round(WINDOW_S * rate_hz)
    step = max(1, length - length // 2)
    taper = get_window("hann", length)
    kept = np.arange(length // 2 + 1) * rate_hz / length <= HIGHEST_HZ
    count = int(kept.sum())
    power, other, cross = np.zeros(count), np.zeros(count), np.zeros(count, dtype=np.complex128)
    windows = 0
    for start, stop in ridden:
        if stop - start < length:
            continue
        views = [sliding_window_view(signal[start:stop], length)[::step] for signal in (first, second)]
        for at in range(0, views[0].shape[0], _AT_A_TIME):
            one = _transformed(views[0][at : at + _AT_A_TIME], taper, count)
            two = one if second is first else _transformed(views[1][at : at + _AT_A_TIME], taper, count)
            power += np.einsum("ij,ij->j", one.real, one.real) + np.einsum("ij,ij->j", one.imag, one.imag)
            other += np.einsum("ij,ij->j", two.real, two.real) + np.einsum("ij,ij->j", two.imag, two.imag)
            cross += np.einsum("ij,ij->j", one.conj(), two)
            windows += one.shape[0]
    scale = 2.0 / (rate_hz * float(taper @ taper) * max(windows, 1))
    frequency = np.arange(count) * rate_hz / length
    return Spectra(
        frequency_hz=frequency, first=scale * power, second=scale * other, cross=scale * cross, windows=windows
    )


def _transformed(windows: Floats, taper: Floats, count: int) -> Complexes:
    level = windows - windows.mean(axis=1, keepdims=True)
    level *= taper
    found: Complexes = rfft(level, axis=1)[:, :count]
    return found
