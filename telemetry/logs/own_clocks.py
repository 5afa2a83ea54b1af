"""Sensors with rows of their own, each on the clock of its rows, all counted from the log's first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Floats, read_only
from telemetry.model.log import Log
from telemetry.model.sensor import MarkerSensor

from .numbering import as_array, as_floats
from .one_log import Reading, TimePlace, clocked, whole_rows
from .own_rows import OwnRows, rows_of_sensor
from .presses import pressed_cells, presses_s
from .stamps import Stamps
from .table import Table
from .time_units import LEAST_RATE_HZ, SECONDS_PER
from .timed import Rows
from .unrolling import unroll

ROLLED_WITHIN_S = 1.0
"""Own choice: rows that stand beside each other were written within a second."""


def each_clocked(reading: Reading, table: Table, parts: Sequence[OwnRows], time: TimePlace | None) -> tuple[Log, ...]:
    """Return the log of each part's rows.

    Parameters
    ----------
    reading : Reading
    table : Table
    parts : sequence of OwnRows
        One or more.
    time : TimePlace or None

    Raises
    ------
    LogError
    """
    own = [reading.of(part) for part in parts]
    named = reading.named(time)
    rate_hz = reading.options.rate_hz
    if rate_hz is not None or time is None:
        first = int(table.rows[0])
        read = [whole_rows(one, part.of(table), part.places, time) for one, part in zip(own, parts, strict=True)]
        return tuple(
            _at_rate(one, rows, stamps, part, named, first)
            for one, part, (rows, stamps) in zip(own, parts, read, strict=True)
        )
    whole = reading.stamps(table, time)
    time = _with_unit(time, whole)
    read = [whole_rows(one, part.of(table), part.places, time) for one, part in zip(own, parts, strict=True)]
    rows = [found for found, _ in read]
    moved = _from_first_row(rows, [stamps for _, stamps in read if stamps is not None], table, whole)
    logs = (
        clocked(one, found, stamps, part.places, named)
        for one, found, stamps, part in zip(own, rows, moved, parts, strict=True)
    )
    return tuple(_seldom(log) if log.rate_hz < LEAST_RATE_HZ else log for log in logs)


def _seldom(log: Log) -> Log:
    """Return the log of a sensor that is read less often than any logger's rows come, as of positions: no odd rate."""
    return replace(log, findings=tuple(found for found in log.findings if found.code != "odd_rate"))


def _with_unit(time: TimePlace, whole: Stamps) -> TimePlace:
    """Return where the clock stands with the unit that all rows tell: those of a slow sensor alone might tell none."""
    if time.by_words:
        return time
    return replace(time, unit=next(unit for unit, seconds in SECONDS_PER.items() if seconds == whole.unit_s))


def _at_rate(reading: Reading, rows: Rows, stamps: Stamps | None, part: OwnRows, named: str, first_row: int) -> Log:
    """Return a part's log by the stated rate of the file's rows, of which its own are every so manyth."""
    numbers = as_array(rows.numbers)
    every = max(1, round(float(np.median(np.diff(numbers)))))
    rate_hz = reading.options.rate_hz or 1.0
    reading.options = replace(reading.options, rate_hz=rate_hz / every)
    places = np.rint((numbers - numbers[0]) / every).astype(np.int64)
    log = clocked(reading, replace(rows, places=places), stamps, part.places, named)
    return replace(log, time_s=read_only(log.time_s + (int(numbers[0]) - first_row) / rate_hz))


def _from_first_row(rows: Sequence[Rows], own: Sequence[Stamps], table: Table, whole: Stamps) -> list[Stamps]:
    """Return parts' stamps, each counted from its own first, as seconds after the table's first row.

    A counter may have rolled over before a part's first row: then the rows around it tell.
    """
    numbers = as_array(table.rows)
    starts_s = [float(whole.seconds[np.searchsorted(numbers, found.numbers[0])]) for found in rows]
    first = min(range(len(rows)), key=lambda place: int(rows[place].numbers[0]))
    stands = own[first].seconds + starts_s[first]
    unrolled = unroll(own[first].seconds, own[first].unit_s).seconds + starts_s[first]
    moved = []
    for found, stamps, start_s in zip(rows, own, starts_s, strict=True):
        beside = np.interp(float(found.numbers[0]), as_floats(rows[first].numbers), unrolled)
        rolled_s = float(beside - np.interp(float(found.numbers[0]), as_floats(rows[first].numbers), stands))
        late_s = rolled_s if abs(start_s + rolled_s - float(beside)) <= ROLLED_WITHIN_S else 0.0
        seconds = stamps.seconds + (start_s + late_s)
        moved.append(replace(stamps, seconds=seconds, first=whole.first, first_s=whole.first_s))
    return moved


def presses_by_rows(
    reading: Reading, table: Table, by: int, markers: Mapping[MarkerSensor, int], time: TimePlace | None
) -> dict[str, Floats]:
    """Return when markers with rows of their own were pressed, seconds after the table's first row.

    Parameters
    ----------
    reading : Reading
    table : Table
    by : int
        The place of the column that names each row's sensor.
    markers : mapping of MarkerSensor to int
        And where its readings stand. One without a row was never pressed; where every row is a press, each begins one.
    time : TimePlace or None
    """
    found: dict[str, Floats] = dict.fromkeys((marker.name for marker in markers), np.empty(0))
    if not markers or time is None:
        return found
    whole = reading.stamps(table, time)
    for marker, place in markers.items():
        with suppress(LogError):
            keep = rows_of_sensor(table.words[by], marker.column, reading.where)
            found[marker.name] = _pressed_s(
                _down(table, place, marker, reading)[keep], whole.seconds[keep], whole.unit_s
            )
    return found


def _down(table: Table, place: int, marker: MarkerSensor, reading: Reading) -> Bools:
    if isinstance(marker.equals, str):
        return pressed_cells(table.words[place], marker.equals, reading.opened.dialect.decimal)
    down: Bools = table.numbers[place] == marker.equals
    return down


def _pressed_s(down: Bools, stamps_s: Floats, unit_s: float) -> Floats:
    seconds = unroll(stamps_s, unit_s).seconds
    if not down.all():
        return presses_s(down, seconds)
    return presses_s(np.tile([False, True], down.shape[0]), np.repeat(seconds, 2))
