"""A log of one reading a row, sketched as if each sensor had a column."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from telemetry.model.day import LogOptions, LongRows
from telemetry.model.sensor import ColumnName
from telemetry.trade_words import bracketed_unit

from .columns import find_column
from .long_rows import MOST_SENSORS, LongForm, find_long
from .opening import OpenLog
from .own_rows import usual_words
from .table import Table

SURELY_TIMES = 4
"""Own choice: a name in a few rows may be garbled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LongSketch:
    """Which columns say whose a row's reading is, and the reading; by place from 0, and as they are named."""

    by: int
    value: int
    named: LongRows


def long_of(opened: OpenLog, numeric: Sequence[int], options: LogOptions) -> tuple[LongSketch | None, LongForm | None]:
    """Return how a log of one reading a row is read, as stated or found out; and where rows hold several, which.

    Parameters
    ----------
    opened : OpenLog
    numeric : sequence of int
        Places of the columns of numbers, the clock's not among them.
    options : LogOptions
    """
    dialect, where = opened.dialect, opened.source.where
    if options.long is not None:
        by, value = (find_column(dialect, column, where) for column in (options.long.sensor, options.long.value))
        return LongSketch(by=by, value=value, named=options.long), None
    found = find_long(dialect, opened.pieces(), numeric, range(dialect.cells))
    if found is None:
        return None, None
    if len(found.values) > 1:
        return None, found
    named = LongRows(sensor=column_name(opened, found.by), value=column_name(opened, found.values[0]))
    return LongSketch(by=found.by, value=found.values[0], named=named), None


def names_too_many(table: Table, long: LongSketch, options: LogOptions) -> bool:
    """Tell whether what was found to name sensors goes on to hold more words than a log has sensors: it's a reading."""
    return options.long is None and len(table.words[long.by].known) > SURELY_TIMES * MOST_SENSORS


def column_name(opened: OpenLog, place: int) -> ColumnName:
    """Return a column's name, or its number from 1 where it has none."""
    return opened.dialect.names[place] or place + 1


def as_wide(opened: OpenLog, table: Table, long: LongSketch) -> OpenLog:
    """Return a log as if each sensor of a hundredth of its rows had a column; its readings are put into the table.

    Parameters
    ----------
    opened : OpenLog
    table : Table
        With the sensors' column as words.
    long : LongSketch
    """
    dialect, known = opened.dialect, table.words[long.by]
    sensors = usual_words(known)
    units = [*dialect.units, *[""] * (dialect.width - len(dialect.units))]
    unit = units[long.value] or bracketed_unit(dialect.names[long.value])
    for place, sensor in enumerate(sensors, dialect.width):
        table.numbers[place] = table.numbers[long.value][known.among({sensor})]
    wide = replace(dialect, names=(*dialect.names, *sensors), units=(*units, *[unit] * len(sensors)))
    return replace(opened, dialect=wide)
