"""A log after its clock has been made sense of, still in the file's own readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from types import MappingProxyType

from .arrays import Floats, Ints
from .day import LongRows
from .finding import End, Finding, Step
from .sensor import ColumnName


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """Needed columns of one log file on one clock.

    Attributes
    ----------
    time_s : float array, shape (n,)
        Seconds after the log's first row; strictly increasing. Where `even`, the times of the straight line.
    columns : mapping of column to float array, shape (n,)
        Readings as they stand in the file, no cell empty. Keys are as asked for.
    rate_hz : float
        (rows - 1) / time span within stretches free of gaps.
    even : bool
        True: nothing needs resampling. False: interpolate to `rate_hz` within each segment.
    segments : tuple of (start, stop)
        Sample ranges free of gaps, in order; samples outside every segment count as gap.
    gap_s : float
        Time inside the log's span that no segment covers.
    stamp_resolution_s : float or None
        None where the log has no clock.
    source_rows : int array, shape (n,), or None
        File row (from 1) of each sample; None: sample i stands in row ``first_row + i``.
    first_stamp : datetime or None
        The first row's absolute stamp.
    first_s : float or None
        The first row's stamp as it stands, s: since the clock's own zero, midnight or 1970; None without a clock.
    presses : mapping of marker's name to float array, shape (k,)
        When it was pressed, in `time_s`.
    own : mapping of column to Log
        Where a sensor has rows of its own, these, on the same clock; `columns` holds them brought onto `time_s`.
    """

    path: Path
    time_s: Floats
    columns: Mapping[ColumnName, Floats]
    rate_hz: float
    even: bool
    segments: tuple[tuple[int, int], ...]
    gap_s: float
    stamp_resolution_s: float | None
    first_row: int
    source_rows: Ints | None
    first_stamp: datetime | None
    findings: tuple[Finding, ...]
    history: tuple[Step, ...]
    first_s: float | None = None
    presses: Mapping[str, Floats] = field(default_factory=lambda: MappingProxyType({}))
    own: Mapping[ColumnName, Log] = field(default_factory=lambda: MappingProxyType({}))

    def row_of(self, sample: int) -> int:
        """Return the file row, counted from 1, in which a sample stands."""
        return self.first_row + sample if self.source_rows is None else int(self.source_rows[sample])


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnSketch:
    """What one column of an unknown log looks like, for a first draft of a ride day."""

    name: ColumnName
    number: int  # counted from 1
    lowest: float | None
    highest: float | None
    empty_share: float
    proposal: str  # "time", "travel", "inertial", "ground_speed", "counter", "constant", "text", "unknown"
    time_unit: str | None = None  # with proposal "time"
    unit: str = ""  # as its name or a row of units tells it, in small letters
    named_travel: bool = False  # whether it is an end's position by its name
    end: End | None = None  # which its name speaks of
    outline: tuple[tuple[float, float], ...] = ()
    """Lowest and highest reading of each half second or so, in order; where all is empty none."""
    example: str = ""  # a cell, of a column that holds no numbers
    of_rows: bool = False  # whether it is the readings of the rows that name it


GRAVITY = {"g": (0.8, 1.25), "m/s2": (7.8, 12.3), "milli-g": (800.0, 1250.0)}
"""Own choice: the length of acceleration's means is gravity's in that unit, within a fifth or so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InertialSketch:
    """What looks like one inertial sensor of an unknown log.

    Attributes
    ----------
    words : tuple of str
        What its columns' names say besides the axis: ("fork",).
    columns : mapping of axis to int
        ``ax`` to ``gz`` as far as they are there, by the column's number from 1.
    acceleration_unit, rotation_unit : str or None
        As the names or a row of units tell them.
    acceleration : float
        Median length of acceleration's mean over a second or so, in the log's own unit: about gravity.
    rotation : float
        Largest reading of rotation but for one in a hundred; NaN without any.
    in_steps, rotation_in_steps : bool
        Whether acceleration, or rotation, reads whole numbers alone, as a converter's counts are.
    """

    words: tuple[str, ...]
    columns: Mapping[str, int]
    acceleration_unit: str | None
    rotation_unit: str | None
    acceleration: float
    rotation: float
    in_steps: bool = False
    rotation_in_steps: bool = False

    @property
    def whole(self) -> bool:
        """Whether acceleration is there along all three axes."""
        return {"ax", "ay", "az"} <= self.columns.keys()


@dataclass(frozen=True, slots=True, kw_only=True)
class Preface:
    """What a log says of itself above its readings.

    Attributes
    ----------
    days : tuple of date
        The day it was made; both where day and month may be the other way round; empty where it tells none.
    rate_hz : float or None
        Rows a second.
    rate_is_sure : bool
        Whether nothing else in it may be that rate, and it comes with its unit.
    """

    days: tuple[date, ...] = ()
    rate_hz: float | None = None
    rate_is_sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LogSketch:
    """What an unknown log looks like."""

    path: Path
    rows: int
    dialect: str  # in words: "comma, decimal point, header in row 1, utf-8"
    columns: tuple[ColumnSketch, ...]
    inertial: tuple[InertialSketch, ...] = ()
    duration_s: float | None = None  # None where it has no clock that can be read
    started_at: datetime | None = None  # by its own clock, where that tells a day
    preface: Preface = Preface()
    hex_example: str | None = None  # a cell that only hexadecimal counts explain
    long: LongRows | None = None  # where each row holds one reading
    many_values: tuple[ColumnName, ...] = ()  # columns of readings of which rows of one sensor each hold several
    first_s: float | None = None  # its first stamp as it stands
