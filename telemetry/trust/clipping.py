"""Readings that ran out of range: flat at the converter's end while the wheel was still moving."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.stretches import stretches

FEWEST = 3
SPEED_LIMIT_MM_S = 200.0
REST_SHARE = 0.03
STOP_SHARE = 0.01
"""A leg stops by itself where it is topped out and where it has used its full travel: own choices, of full travel."""
SURE_TIMES = 2
"""Visits to one and the same extreme: noise or friction can make three readings at one turn equal, not those of two
turns. Own choice."""
LOST_SHARE, LOST_TIMES = 0.02, 3
"""From how much lost travel on, and how many such stretches, compared depths are false: 2 points are their smallest
change, and fewer stretches move neither a 95th percentile nor the tenth deepest of a minute. Own choices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatEnd:
    """One stretch of equal readings at an end of the range: samples [start, stop)."""

    start: int
    stop: int
    reading: float


def _distance(readings: Floats, sample: int, end: float) -> float:
    return abs(float(readings[sample]) - end) if 0 <= sample < readings.shape[0] else 0.0


def own_ends(readings: Floats, travel_mm: Floats, full_mm: float) -> tuple[float, ...]:
    """Return which of a log's own extreme readings count as ends of the range: those where no leg stops by itself.

    Parameters
    ----------
    readings, travel_mm : float array, shape (2,)
        The lowest and the highest reading, and wheel travel there.
    full_mm : float
        Full travel.
    """
    topped_out = np.abs(travel_mm) <= REST_SHARE * full_mm
    bottomed = np.abs(travel_mm - full_mm) <= STOP_SHARE * full_mm
    return tuple(float(value) for value in readings[~(topped_out | bottomed)])


def false_depths(travel_mm: Floats, full_mm: float) -> bool:
    """Tell whether readings that ran out of range at these depths make compared depths false."""
    lost = np.where(travel_mm > full_mm / 2, full_mm - travel_mm, travel_mm)
    return bool(np.count_nonzero(lost > LOST_SHARE * full_mm) >= LOST_TIMES)


def find_clipped(
    readings: Floats, least: float, sensor_step: float, ends: tuple[float, ...], *, turns: bool = False
) -> tuple[FlatEnd, ...]:
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
    turns : bool
        Whether wheels may turn at these readings, too: what an even turn explains is then left out.

    Returns
    -------
    tuple of FlatEnd
        In time order.

    Notes
    -----
    A single step of the converter tells no speed, however fast the log: the least motion shows as one. It counts where
    the reading beyond it lies more than that off. The last step into the end of a range may be short, wherever that is:
    with the step before it, it tells the speed, too. 200 mm/s is common practice, no source. A wheel that turns evenly
    rests within one step of the converter for n samples; it is then no more than ((n + 1) / (n - 1))^2 steps off, one
    sample later ((n + 3) / (n - 1))^2.
    """

    def at_speed(near: int, beyond: int, end: float, steps: tuple[float, float]) -> bool:
        step, further = _distance(readings, near, end), _distance(readings, beyond, end)
        return (step > least or further > 2 * least) and (step > steps[0] or further > steps[1])

    found = []
    for end in ends:
        for start, stop in stretches(readings == end):
            if stop - start < FEWEST:
                continue
            near, far = _turning_steps(stop - start) if turns else (1.5, 1.5)
            steps = near * sensor_step, far * sensor_step
            entered, left = at_speed(start - 1, start - 2, end, steps), at_speed(stop, stop + 1, end, steps)
            if entered or left:
                found.append(FlatEnd(start=start, stop=stop, reading=end))
    return tuple(sorted(found, key=lambda flat: flat.start))


def _turning_steps(count: int) -> tuple[float, float]:
    """Return how many steps off the next two samples of an even turn are that rests on one for so many samples."""
    return max(1.5, ((count + 1) / (count - 1)) ** 2), max(1.5, ((count + 3) / (count - 1)) ** 2)


def find_clipped_at_own(
    readings: Floats, segments: Sequence[tuple[int, int]], least: float, sensor_step: float, own: tuple[float, ...]
) -> tuple[FlatEnd, ...]:
    """Find readings cut at the log's own extremes, whatever range is stated.

    Parameters
    ----------
    readings : float array, shape (n,)
    segments : sequence of (start, stop)
        Its gap-free stretches.
    least, sensor_step : float
        As for `find_clipped`.
    own : tuple of float
        The extremes that may be ends of the range (`own_ends`).

    Returns
    -------
    tuple of FlatEnd
        In time order.

    Notes
    -----
    An extreme that is met so once only is no end of a range: every log has a deepest reading, friction may hold a turn
    there and noise make readings equal. It is one where readings come back to that very value and stay there again.
    """
    flats: list[FlatEnd] = []
    for end in own:
        cut = [
            replace(flat, start=start + flat.start, stop=start + flat.stop)
            for start, stop in segments
            for flat in find_clipped(readings[start:stop], least, sensor_step, (end,), turns=True)
        ]
        flats.extend(cut if len(cut) >= SURE_TIMES else ())
    return tuple(sorted(flats, key=lambda flat: flat.start))
