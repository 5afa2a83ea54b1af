"""Read one log: its dialect, the needed columns, its clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from telemetry.model.day import LogOptions
from telemetry.model.finding import Step
from telemetry.model.log import Log
from telemetry.model.sensor import ColumnName, MarkerSensor

from .columns import find_columns
from .hexadecimal import check_decimal, hex_numbers
from .long_rows import check_rows_hold_all
from .numbering import as_array
from .one_log import Reading, TimePlace, whole_rows, with_clock
from .opening import open_log
from .presses import marker_places, pressed_cells, presses_of
from .reading import read_table
from .source import within_memory
from .table import Table, Wanted
from .ticks import check_running

SURELY_BAD_SHARE = 0.30
"""Of a column's cells in 64 places of a large log: so far above what is refused that the rest can't save it."""


def read_log(
    path: Path,
    *,
    needed: Sequence[ColumnName],
    options: LogOptions,
    shown_as: str | None = None,
    markers: Sequence[MarkerSensor] = (),
    one_of_two: bool = False,
) -> Log:
    """Read the needed columns of one log and make sense of its clock.

    Parameters
    ----------
    path : Path
        Delimited text, plain or gzip.
    needed : sequence of str or int
        Columns by name, or by number from 1.
    options : LogOptions
        What is pinned; the rest is found out.
    shown_as : str, optional
        The log's name in messages; its file name by default.
    markers : sequence of MarkerSensor, optional
        Whose presses to find.
    one_of_two : bool
        Whether another logger ran along, so that a marker may be without a column here.

    Returns
    -------
    Log
        Findings and history say what was found and done.

    Raises
    ------
    LogError
        If the log is missing, empty, binary or unparsable, a needed column or a marker's is absent, more than 20 % of
        a needed column's cells are no numbers, or its clock is constant or descends throughout.
    """
    where = shown_as or path.name
    with within_memory(where):
        reading = Reading(open_log(path, where, options), options)
        dialect = reading.opened.dialect
        places = find_columns(dialect, needed, where)
        return _read(reading, places, marker_places(dialect, markers, where, one_of_two=one_of_two))


def _read(reading: Reading, places: dict[ColumnName, int], markers: dict[MarkerSensor, int]) -> Log:
    options, where, dialect = reading.options, reading.where, reading.opened.dialect
    time = reading.time_place()
    check_rows_hold_all(dialect, reading.opened.rows, places.values(), where)
    if not options.hex_counts:
        check_decimal(reading.opened.rows, places.values(), dialect.names, where)
    wanted, hexed = _wanted(places.values(), time, hexed=bool(options.hex_counts))
    wanted = replace(wanted, words=tuple(dict.fromkeys([*wanted.words, *markers.values()])))

    def judge(sample: Table) -> None:
        trial = Reading(reading.opened, options, SURELY_BAD_SHARE)
        _, stamps = whole_rows(trial, _with_hexed(sample, hexed), places, time)
        if time is not None and stamps is not None and options.rate_hz is None:
            check_running(stamps.seconds, f"{where}, column {reading.label(time)!r}")

    table = read_table(reading.opened.source, dialect, wanted, judge)
    pressed = {
        marker.name: pressed_cells(table.words[place], marker.equals, dialect.decimal)
        for marker, place in markers.items()
    }
    table = _with_hexed(table, hexed)
    reading.judge_rows(table)
    names = ", ".join(map(str, places))
    reading.history.append(
        Step(
            stage="read",
            words=f"{where}: {len(table.rows)} rows read; {dialect.words}; columns {names}",
            parameters={"rows": len(table.rows), "dialect": dialect.words},
        )
    )
    log = with_clock(reading, table, places, time)
    return replace(log, presses={name: presses_of(down, as_array(table.rows), log) for name, down in pressed.items()})


def _wanted(needed: Iterable[int], time: TimePlace | None, *, hexed: bool) -> tuple[Wanted, list[int]]:
    """Return which columns to read and how, and which of them hold hexadecimal counts."""
    clock = None if time is None else time.place
    counts = sorted(set(needed) - {clock}) if hexed else []
    clocks = set() if clock is None else {clock}
    words = clocks if time is not None and time.by_words else set[int]()
    fractions = set() if time is None or time.split is None else {time.split.fraction}
    numbers = (set(needed) | fractions | (clocks - words)) - set(counts)
    return Wanted(numbers=tuple(sorted(numbers)), words=(*words, *counts), clock=clock), counts


def _with_hexed(table: Table, hexed: Sequence[int]) -> Table:
    """Return a table with hexadecimal counts as numbers."""
    for place in hexed:
        table.numbers[place], example = hex_numbers(table.words.pop(place))
        table.bad_example.update({} if example is None else {place: example})
    return table
