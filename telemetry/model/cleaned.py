"""One end as it was cleaned: its signal, how that came about, and the readings that are judged once more."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from .arrays import Floats, Ints
from .finding import Step
from .ride import EndSignal
from .sensor import DisplacementSensor


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The even clock an end is cleaned on. `row_of` gives the log's row of a sample."""

    name: str
    time_s: Floats
    rate_hz: float
    segments: tuple[tuple[int, int], ...]
    row_of: Callable[[int], int]
    cutoff_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanedEnd:
    """One end's signals, and what was seen and done on the way.

    Attributes
    ----------
    readings : float array, shape (n,)
        On the even clock, spikes taken out.
    spikes : int array, shape (k,)
        The samples that were in spikes.
    lost, lasting : int array, shape (l,) and int
        The samples after each step no wheel makes, and how many of these steps last.
    reading_step : float
        The converter's, in readings; 0 where it isn't known.
    off_line_mm, measured_mm : float
        How far a calibration point lies off the line, and full travel, both as the sensor measures.
    wheel_mm : callable
        Returns wheel travel of readings, mm.
    mm_a_reading : float
        At the wheel, by the mean leverage.
    """

    grid: Grid
    sensor: DisplacementSensor
    signal: EndSignal
    history: tuple[Step, ...]
    readings: Floats
    spikes: Ints
    lost: Ints
    lasting: int
    reading_step: float
    off_line_mm: float
    measured_mm: float
    wheel_mm: Callable[[Floats], Floats]
    mm_a_reading: float
