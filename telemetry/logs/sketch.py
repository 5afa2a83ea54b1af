"""What an unknown log looks like: its columns with their range, what each may be, and when it was made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Floats
from telemetry.model.day import LogOptions
from telemetry.model.finding import End
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.trade_words import bracketed_unit, end_named, ends_by_letter, plain_words, reading_named

from .axes import axis_of, axis_triples, inertial_sketches
from .columns import find_time
from .dialect import Dialect, is_number
from .hexadecimal import hex_examples, hex_numbers
from .long_sketch import LongSketch, as_wide, column_name, long_of, names_too_many
from .opening import OpenLog, open_log
from .own_rows import rows_of_one
from .preface import read_preface
from .reading import read_table
from .source import within_memory
from .stamps import Stamps, number_stamps, usual_step, word_stamps
from .table import Table, Wanted
from .time_units import named_unit, plausible_unit
from .unrolling import unroll

MOST_DISTINCT_CONSTANT = 2
BLOCK_S, FEWEST_BLOCKS, UNTIMED_BLOCKS, MOST_BLOCKS = 0.5, 20, 100, 1000
"""Own choices: a suspension that moves at all does so within half a second; an outline of an hour is short enough."""
COUNTING_SHARE = 0.95
"""A column that grows by the same step in nearly every row counts samples or time, whatever it is called."""


def _proposal(opened: OpenLog, place: int, values: Floats) -> str:
    dialect, split = opened.dialect, opened.split_clock
    name = dialect.names[place]
    if split is not None and place == split.fraction:
        return "counter"
    if axis_of(name) is not None:
        return "inertial"
    reads = reading_named(name, _unit(dialect, place))
    if reads == "" and any(place in triple for triple in axis_triples(dialect.names)):
        reads = "other"
    finite = values[np.isfinite(values)][:50_000]
    if reads == "ground_speed":
        return "ground_speed"
    if reads != "other" and np.unique(finite).size <= MOST_DISTINCT_CONSTANT:
        return "constant"
    steps = np.diff(finite)
    if steps.size and steps[0] != 0 and np.mean(steps == steps[0]) > COUNTING_SHARE:
        return "counter"
    return "unknown" if reads == "other" else "travel"


def _unit(dialect: Dialect, place: int) -> str:
    """Return a column's unit by a row of units or its name, in small letters; empty where neither tells it."""
    stated = dialect.units[place].strip("()[]{} ").lower() if place < len(dialect.units) else ""
    return stated or bracketed_unit(dialect.names[place])


def _time_unit(opened: OpenLog, place: int, values: Floats) -> str | None:
    units = opened.dialect.units
    named = opened.dialect.names[place] + (f" {units[place]}" if place < len(units) else "")
    split = opened.split_clock
    whole = "s" if split is not None and split.seconds == place else None
    return whole or named_unit(named) or plausible_unit(usual_step(values))


def _is_text(opened: OpenLog, place: int) -> bool:
    cells = [row[place] for row in opened.rows if place < len(row) and row[place]]
    return sum(is_number(cell, opened.dialect.decimal) for cell in cells) < 0.5 * max(1, len(cells))


def sketch_log(path: Path, options: LogOptions | None = None) -> LogSketch:
    """Sketch an unknown log for a first draft of a ride day.

    Parameters
    ----------
    path : Path
    options : LogOptions, optional
        What is pinned of how it is written.

    Returns
    -------
    LogSketch

    Raises
    ------
    LogError
        If it can't be read.
    """
    with within_memory(path.name):
        pinned = options or LogOptions()
        return _sketch(path, open_log(path, path.name, pinned), pinned)


def _when(stamps: Stamps | None) -> tuple[float | None, datetime | None]:
    """Return how long a log is, s, and when it began, as far as its clock tells."""
    if stamps is None:
        return None, None
    seconds = unroll(stamps.seconds[np.isfinite(stamps.seconds)], stamps.unit_s).seconds
    return (float(seconds.max() - seconds.min()) if seconds.size else None), stamps.first


def _stamps(opened: OpenLog, table: Table, time: int) -> Stamps | None:
    where, named = opened.source.where, f"{opened.dialect.names[time]} {_unit(opened.dialect, time)}"
    try:
        if time in table.words:
            return word_stamps(table.words[time], where, day_first=None)
        return number_stamps(table.numbers[time], named, None, where)
    except LogError:  # it is told when the log is read
        return None


def _column(opened: OpenLog, place: int, time: int | None, table: Table, blocks: int, end: End | None) -> ColumnSketch:
    dialect = opened.dialect
    name, values = dialect.names[place] or place + 1, table.numbers.get(place)
    unit, own_end = _unit(dialect, place), end or end_named(plain_words(dialect.names[place]))
    if values is None:
        return ColumnSketch(
            name=name,
            number=place + 1,
            lowest=None,
            highest=None,
            empty_share=0.0,
            proposal="time" if place == time else "text",
            time_unit="date_time" if place == time else None,
            unit=unit,
            named_travel=place != time and reading_named(dialect.names[place], unit) == "position",
            end=own_end,
            example=next((row[place] for row in opened.rows if place < len(row) and row[place]), ""),
        )
    finite = values[np.isfinite(values)]
    return ColumnSketch(
        name=name,
        number=place + 1,
        lowest=float(finite.min()) if finite.size else None,
        highest=float(finite.max()) if finite.size else None,
        empty_share=1.0 - finite.size / values.size,
        proposal="time" if place == time else _proposal(opened, place, values),
        time_unit=_time_unit(opened, place, values) if place == time else None,
        unit=unit,
        named_travel=place != time and reading_named(dialect.names[place], unit) == "position",
        end=own_end,
        outline=outline_of(finite, blocks),
    )


def outline_of(values: Floats, blocks: int) -> tuple[tuple[float, float], ...]:
    """Return lowest and highest of so many equal parts of a signal, in order; of fewer where it is shorter.

    Parameters
    ----------
    values : float array, shape (n,)
        Finite.
    blocks : int

    Examples
    --------
    >>> outline_of(np.array([1.0, 5.0, 2.0, 3.0]), 2)
    ((1.0, 5.0), (2.0, 3.0))
    """
    starts = np.unique(np.linspace(0, values.size, blocks, endpoint=False).astype(int))
    if not values.size:
        return ()
    lows, highs = np.minimum.reduceat(values, starts), np.maximum.reduceat(values, starts)
    return tuple(zip(lows.tolist(), highs.tolist(), strict=True))


def _sketch(path: Path, opened: OpenLog, options: LogOptions, *, may_be_long: bool = True) -> LogSketch:
    dialect = opened.dialect
    hexed = hex_examples(opened.rows)
    numeric = [place for place in range(dialect.width) if place not in hexed and not _is_text(opened, place)]
    split = opened.split_clock
    time = split.seconds if split is not None else find_time(dialect, opened.rows)
    readings = [place for place in numeric if place != time]
    long, several = long_of(opened, readings, options) if may_be_long else (None, None)
    if long is not None:
        time = find_time(dialect, rows_of_one(opened.rows, long.by))
        numeric = [place for place in numeric if place != long.by]
    hexed = {place: example for place, example in hexed.items() if long is None or place != long.by}
    as_words = time is not None and time not in numeric and time not in hexed
    words = (*([time] if time is not None and as_words else []), *([] if long is None else [long.by]))
    table = read_table(opened.source, dialect, Wanted(numbers=tuple(numeric), words=(*words, *hexed), clock=time))
    if long is not None and names_too_many(table, long, options):
        return _sketch(path, opened, options, may_be_long=False)
    table.numbers.update({place: hex_numbers(table.words[place])[0] for place in hexed})
    stamps = None if time is None else _stamps(opened, table, time)
    duration_s, started_at = _when(stamps)
    opened = opened if long is None else as_wide(opened, table, long)
    dialect, narrow = opened.dialect, dialect
    blocks = UNTIMED_BLOCKS if duration_s is None else round(min(max(duration_s / BLOCK_S, FEWEST_BLOCKS), MOST_BLOCKS))
    ends = ends_by_letter([plain_words(name) for name in dialect.names])
    columns = [_column(opened, place, time, table, blocks, ends.get(place)) for place in range(dialect.width)]
    return LogSketch(
        path=path,
        rows=len(table.rows),
        dialect=dialect.words,
        columns=tuple(_of_rows(own, narrow.width, long) for own in columns),
        hex_example=next(iter(hexed.values()), None),
        inertial=inertial_sketches(dialect.names, dialect.units, _equally_long(table.numbers)),
        duration_s=duration_s,
        started_at=started_at,
        preface=read_preface(opened.preface),
        long=None if long is None else long.named,
        many_values=() if several is None else tuple(column_name(opened, place) for place in several.values),
        first_s=None if stamps is None else stamps.first_s,
    )


def _equally_long(columns: Mapping[int, Floats]) -> dict[int, Floats]:
    """Return columns as far as the shortest reaches: sensors with rows of their own have unlike numbers of them."""
    least = min(map(len, columns.values()), default=0)
    return {place: column[:least] for place, column in columns.items()}


def _of_rows(column: ColumnSketch, width: int, long: LongSketch | None) -> ColumnSketch:
    """Return a column of a log of one reading a row: a sensor's, or what tells sensors and readings."""
    if long is not None and column.number - 1 in (long.by, long.value):
        return replace(column, proposal="text" if column.number - 1 == long.by else "unknown", named_travel=False)
    return replace(column, of_rows=column.number > width)
