"""An uneven clock brought to an even rate, each gap-free segment by itself."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Floats, Ints, joined
from telemetry.model.log import Log

from .smoothing import SHORTEST


def even_times(first_s: float, last_s: float, rate_hz: float) -> Floats:
    """Return times from `first_s` in steps of 1 / rate, none later than `last_s`.

    Examples
    --------
    >>> even_times(1.0, 1.5, 10.0)
    array([1. , 1.1, 1.2, 1.3, 1.4, 1.5])
    """
    count = int(np.floor((last_s - first_s) * rate_hz + 1e-9)) + 1
    return first_s + np.arange(count) / rate_hz


class EvenClock:
    """A log's segments on one even clock, joined end to end.

    Parameters
    ----------
    log : Log
        A segment too short for the low-pass at the log's mean rate is left out.

    Attributes
    ----------
    time_s : float array, shape (n,)
    rate_hz : float
    segments : tuple of (start, stop)
        They cover all n samples.
    sources : tuple of (start, stop)
        The same stretches as the log's samples.
    """

    def __init__(self, log: Log) -> None:
        self._log = log
        self.rate_hz = log.rate_hz
        self._whole = log.even and log.segments == ((0, log.time_s.shape[0]),)
        every = [(self._times(start, stop), (start, stop)) for start, stop in log.segments]
        parts = [times for times, _ in every if times.shape[0] >= SHORTEST]
        self.sources = tuple(source for times, source in every if times.shape[0] >= SHORTEST)
        self.time_s = joined(parts)
        bounds = np.concatenate([[0], np.cumsum([part.shape[0] for part in parts])]).tolist()
        self.segments: tuple[tuple[int, int], ...] = tuple(pairwise(bounds))

    @property
    def keeps_readings(self) -> bool:
        """Whether samples are readings of the log, not what lies between them."""
        return self._log.even

    def _times(self, start: int, stop: int) -> Floats:
        stamps = self._log.time_s[start:stop]
        return stamps if self._log.even else even_times(stamps[0], stamps[-1], self._log.rate_hz)

    def values(self, readings: Floats) -> Floats:
        """Return a log column on the even clock: as it stands, or linearly interpolated, shape (n,)."""
        if self._whole:
            return readings
        if self._log.even:
            return joined([readings[start:stop] for start, stop in self.sources])
        parts = [
            np.interp(self.time_s[first:last], self._log.time_s[start:stop], readings[start:stop])
            for (start, stop), (first, last) in zip(self.sources, self.segments, strict=True)
        ]
        return joined(parts)

    def samples_at(self, sources: Ints) -> Ints:
        """Return the samples of the even clock at, or first after, samples of the log that lie within its stretches."""
        if self._whole:
            return sources
        after: Ints = np.searchsorted(self.time_s, self._log.time_s[sources])
        return np.clip(after, 0, self.time_s.shape[0] - 1)

    def source_sample(self, sample: int) -> int:
        """Return the log's sample at, or last before, a sample of the even clock."""
        if self._whole:
            return sample
        return max(0, int(np.searchsorted(self._log.time_s, self.time_s[sample], side="right")) - 1)

    def row_of(self, sample: int) -> int:
        """Return the log's row, from 1, at or last before a sample of the even clock."""
        return self._log.row_of(self.source_sample(sample))
