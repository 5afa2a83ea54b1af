"""Read one log: its dialect, the needed columns, its clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry.model.day import LogOptions
from telemetry.model.finding import Step
from telemetry.model.log import Log
from telemetry.model.sensor import ColumnName, MarkerSensor

from .columns import find_columns
from .hexadecimal import check_decimal, hex_numbers
from .long_rows import check_no_sensor_named, check_rows_hold_all
from .numbering import as_array
from .one_log import Reading, TimePlace, clocked, whole_rows
from .opening import open_log
from .own_clocks import each_clocked, presses_by_rows
from .own_rows import OwnRows, rows_by_blanks, rows_by_sensor
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
    (log,) = read_logs(path, needed=needed, options=options, shown_as=shown_as, markers=markers, one_of_two=one_of_two)
    return log


def read_logs(
    path: Path,
    *,
    needed: Sequence[ColumnName],
    options: LogOptions,
    shown_as: str | None = None,
    markers: Sequence[MarkerSensor] = (),
    one_of_two: bool = False,
) -> tuple[Log, ...]:
    """Read as `read_log` does; several logs, on one clock, where sensors have rows of their own.

    Where rows hold one reading each (`options.long`), columns and markers are sensors' words or ids.
    """
    where = shown_as or path.name
    with within_memory(where):
        reading = Reading(open_log(path, where, options), options)
        dialect = reading.opened.dialect
        if options.long is not None:
            by, value = find_columns(dialect, (options.long.sensor, options.long.value), where).values()
            asked = _Asked(places=dict.fromkeys(needed, value), markers=dict.fromkeys(markers, value), by=by)
        else:
            check_no_sensor_named(dialect, reading.opened.rows, set(needed).difference(dialect.names), where)
            pressed = marker_places(dialect, markers, where, one_of_two=one_of_two)
            asked = _Asked(places=find_columns(dialect, needed, where), markers=pressed)
        return _read(reading, asked)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """Places of what is asked for, and of the column that names each row's sensor where one does."""

    places: dict[ColumnName, int]
    markers: dict[MarkerSensor, int]
    by: int | None = None

    @property
    def words(self) -> Iterable[int]:
        """Places of the columns that are needed as text."""
        if self.by is None:
            return self.markers.values()
        return (self.by, *(place for marker, place in self.markers.items() if isinstance(marker.equals, str)))

    def rows(self, reading: Reading, table: Table, time: TimePlace | None) -> list[OwnRows]:
        """Return which rows of a table each column's readings stand in."""
        if self.by is not None:
            reading.judge_names(table, self.by, self.places)
            return rows_by_sensor(table, self.by, self.places, reading.where)
        clocked = time is not None and reading.options.rate_hz is None
        stamps = (lambda: reading.stamps(table, time).seconds) if time is not None and clocked else None
        return rows_by_blanks(table, self.places, stamps, reading.most_bad)


def _read(reading: Reading, asked: _Asked) -> tuple[Log, ...]:
    options, where, dialect, places = reading.options, reading.where, reading.opened.dialect, asked.places
    time = reading.time_place()
    if asked.by is None:
        check_rows_hold_all(dialect, reading.opened.pieces(), places.values(), where)
    if not options.hex_counts:
        clocks = [] if time is None or not time.in_hex else [time.place]
        check_decimal(reading.opened.rows, [*clocks, *places.values()], dialect.names, where)
    wanted, hexed = _wanted(places.values(), time, hexed=bool(options.hex_counts))
    wanted = replace(wanted, words=tuple(dict.fromkeys([*wanted.words, *asked.words])))

    def judge(sample: Table) -> None:
        trial = Reading(reading.opened, options, SURELY_BAD_SHARE)
        sample = _with_hexed(sample, hexed)
        for own in asked.rows(trial, sample, time):
            _, stamps = whole_rows(trial, own.of(sample), own.places, time)
            if time is not None and stamps is not None and options.rate_hz is None:
                check_running(stamps.seconds, f"{where}, column {reading.label(time)!r}", reading.other_clock)

    table = read_table(reading.opened.source, dialect, wanted, judge if asked.by is None else None)
    pressed = {
        marker.name: pressed_cells(table.words[place], marker.equals, dialect.decimal)
        for marker, place in (asked.markers.items() if asked.by is None else ())
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
    parts = asked.rows(reading, table, time)
    if len(parts) == 1 and parts[0].keep is None:
        rows, stamps = whole_rows(reading, table, places, time)
        logs = [clocked(reading, rows, stamps, places, reading.named(time))]
    else:
        first, *others = each_clocked(reading, table, parts, time)
        findings, history = (*reading.findings, *first.findings), (*reading.history, *first.history)
        logs = [replace(first, findings=findings, history=history), *others]
    finest = max(logs, key=lambda log: len(log.time_s))
    presses = {name: presses_of(down, as_array(table.rows), finest) for name, down in pressed.items()}
    if asked.by is not None:
        presses = presses_by_rows(reading, table, asked.by, asked.markers, time)
    return (replace(logs[0], presses=presses), *logs[1:])


def _wanted(needed: Iterable[int], time: TimePlace | None, *, hexed: bool) -> tuple[Wanted, list[int]]:
    """Return which columns to read and how, and which of them hold hexadecimal counts."""
    clock = None if time is None else time.place
    clocks = set() if clock is None else {clock}
    decimal = clocks if time is None or not time.in_hex else set[int]()
    counts = sorted((set(needed) | clocks) - decimal) if hexed else []
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
