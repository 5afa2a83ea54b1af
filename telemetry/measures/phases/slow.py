"""Signals as slow as what a rider does: thinned to about 100 values a second, then low-passed."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.signal import butter, lfilter, sosfiltfilt

from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.model.stretches import stretches

THINNED_RATE_HZ = 100.0
ORDER = 2
SHORTEST = 16


class SlowClock:
    """A clock of blocks of samples, none of which reaches across a gap.

    Parameters
    ----------
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free sample ranges.

    Attributes
    ----------
    rate_hz : float
        Blocks a second: 100 to 200 where the samples allow.
    segments : tuple of (start, stop)
        The same ranges in blocks.
    """

    def __init__(self, rate_hz: float, segments: tuple[Stretch, ...]) -> None:
        self._every = max(1, int(rate_hz / THINNED_RATE_HZ))
        self._samples = tuple(item for item in segments if item[1] - item[0] >= self._every)
        self.rate_hz = rate_hz / self._every
        ends = np.cumsum([0, *((stop - start) // self._every for start, stop in self._samples)]).tolist()
        self.segments: tuple[Stretch, ...] = tuple(pairwise(ends))

    @property
    def count(self) -> int:
        """How many blocks there are."""
        return self.segments[-1][1] if self.segments else 0

    def _blocks(self, signal: Floats | Bools) -> list[Any]:
        every = self._every
        return [
            signal[start : start + (stop - start) // every * every].reshape(-1, every) for start, stop in self._samples
        ]

    def means(self, signal: Floats) -> Floats:
        """Return a signal's mean over each block, shape (count,)."""
        if not self.segments:
            return np.empty(0)
        sums = np.concatenate([np.einsum("ij->i", block) for block in self._blocks(signal)])
        return np.asarray(sums / self._every, dtype=float)

    def throughout(self, mask: Bools) -> Bools:
        """Tell in which blocks a mask of samples holds throughout."""
        if not self.segments:
            return np.empty(0, dtype=bool)
        whole: Bools = np.concatenate([block.all(axis=1) for block in self._blocks(mask)])
        return whole

    def _each(self, values: Floats, function: Callable[[Floats], Floats]) -> Floats:
        return np.concatenate([function(values[start:stop]) for start, stop in self.segments] or [np.empty(0)])

    def lowpassed(self, values: Floats, cutoff_hz: float) -> Floats:
        """Return block values without what is faster than `cutoff_hz` (order 2, both ways), gap by gap.

        Ends are mirrored: the first reading of a sensor that counts pulses says nothing by itself.
        """
        sections = butter(ORDER, min(cutoff_hz, 0.4 * self.rate_hz), fs=self.rate_hz, output="sos")
        reach = round(self.rate_hz / cutoff_hz)

        def smooth(part: Floats) -> Floats:
            if part.shape[0] < SHORTEST:
                return np.full(part.shape, part.mean())
            padded = min(reach, part.shape[0] - 1)
            return np.asarray(sosfiltfilt(sections, part, padtype="even", padlen=padded))

        return self._each(values, smooth)

    def slope(self, values: Floats) -> Floats:
        """Return the time derivative of block values, a unit a second."""
        return self._each(
            values,
            lambda part: np.gradient(part, 1.0 / self.rate_hz) if part.shape[0] > 1 else np.zeros(part.shape),
        )

    def followed(self, values: Floats, settling_s: float) -> Floats:
        """Return what follows block values by its own time constant, settled at each gap-free range's beginning."""
        if settling_s == 0:
            return values
        keeps = math.exp(-1.0 / (self.rate_hz * settling_s))

        def follow(part: Floats) -> Floats:
            return np.asarray(lfilter([1.0 - keeps], [1.0, -keeps], part, zi=[keeps * part[0]])[0])

        return self._each(values, follow)

    def stretches(self, mask: Bools) -> tuple[Stretch, ...]:
        """Return the stretches of blocks in which a mask holds, none across a gap."""
        return stretches(mask, self.segments) if mask.size else ()

    def in_samples(self, found: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
        """Return stretches of blocks as stretches of samples."""
        firsts = [start for start, _ in self.segments]
        told = []
        for start, stop in found:
            place = bisect_right(firsts, start) - 1
            base = self._samples[place][0] - firsts[place] * self._every
            told.append((base + start * self._every, base + stop * self._every))
        return tuple(told)

    def over_samples(self, values: Floats, count: int) -> Floats:
        """Return block values held over their samples, shape (count,); 0 where a sample is in no block."""
        held = np.zeros(count)
        for (start, stop), (first, _) in zip(self.segments, self._samples, strict=True):
            held[first : first + (stop - start) * self._every] = np.repeat(values[start:stop], self._every)
        return held
