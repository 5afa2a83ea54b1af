"""Readings that ran out of range: flat at the converter's end while the wheel was still moving."""

from __future__ import annotations

from dataclasses import dataclass

from telemetry.model.arrays import Floats
from telemetry.model.stretches import stretches

FEWEST = 3
SPEED_LIMIT_MM_S = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatEnd:
    """One stretch of equal readings at an end of the range: samples [start, stop)."""

    start: int
    stop: int
    reading: float


def _distance(readings: Floats, sample: int, end: float) -> float:
    return abs(float(readings[sample]) - end) if 0 <= sample < readings.shape[0] else 0.0


def find_clipped(readings: Floats, least: float, sensor_step: float, ends: tuple[float, ...]) -> tuple[FlatEnd, ...]:
    """Find stretches of three or more equal readings at an end of the range, entered or left at speed.

    Parameters
    ----------
    readings : float array, shape (n,)
        One gap-free stretch without spikes, else as logged.
    least : float
        Step into or out of the stretch, in readings, that 200 mm/s exceeds.
    sensor_step : float
        The converter's step, in readings; 0 where it isn't known.
    ends : tuple of float
        Readings at which the range ends.

    Returns
    -------
    tuple of FlatEnd
        In time order.

    Notes
    -----
    A single step of the converter tells no speed, however fast the log: the least motion shows as one. It counts where
    the reading beyond it lies more than that off. 200 mm/s is common practice, no source.
    """

    def at_speed(near: int, beyond: int, end: float) -> bool:
        step = _distance(readings, near, end)
        return step > least and max(step, _distance(readings, beyond, end)) > 1.5 * sensor_step

    found = []
    for end in ends:
        for start, stop in stretches(readings == end):
            if stop - start >= FEWEST and (at_speed(start - 1, start - 2, end) or at_speed(stop, stop + 1, end)):
                found.append(FlatEnd(start=start, stop=stop, reading=end))
    return tuple(sorted(found, key=lambda flat: flat.start))
