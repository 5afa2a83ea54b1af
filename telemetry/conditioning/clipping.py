"""Readings that ran out of range: flat at the converter's end while the wheel was still moving."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats

FEWEST = 3
SPEED_LIMIT_MM_S = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatEnd:
    """One stretch of equal readings at an end of the range: samples [start, stop)."""

    start: int
    stop: int
    reading: float


def _stretches(mask: Bools) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def find_clipped(readings: Floats, slope_mm: float, rate_hz: float, ends: tuple[float, ...]) -> tuple[FlatEnd, ...]:
    """Find stretches of three or more equal readings at an end of the range, entered or left at speed.

    Parameters
    ----------
    readings : float array, shape (n,)
        One gap-free stretch without spikes, else as logged.
    slope_mm : float
        Millimetres at the wheel per reading.
    rate_hz : float
    ends : tuple of float
        Readings at which the range ends.

    Returns
    -------
    tuple of FlatEnd
        Those entered or left faster than 200 mm/s (common practice, no source).
    """
    limit = SPEED_LIMIT_MM_S / rate_hz / max(abs(slope_mm), 1e-300)
    found = []
    for end in ends:
        for start, stop in _stretches(readings == end):
            if stop - start < FEWEST:
                continue
            into = abs(readings[start - 1] - end) if start > 0 else 0.0
            away = abs(readings[stop] - end) if stop < readings.shape[0] else 0.0
            if max(into, away) > limit:
                found.append(FlatEnd(start=start, stop=stop, reading=end))
    return tuple(sorted(found, key=lambda flat: flat.start))
