"""One log being read: where its clock stands, which of its rows are whole, and their clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from telemetry.errors import LogError, clean_text
from telemetry.model.arrays import Bools, Floats, read_only
from telemetry.model.day import LogOptions
from telemetry.model.finding import Finding, Step
from telemetry.model.log import Log
from telemetry.model.sensor import ColumnName
from telemetry.words import counted, percent, size_words

from .columns import find_column, find_time, named_time, running
from .dialect import is_number
from .hexadecimal import HEX_COUNT, hex_example
from .numbering import Numbers, as_array
from .opening import OpenLog
from .own_rows import OwnRows, garbled, rows_of_one
from .split_clock import SplitClock, with_fraction
from .stamps import Stamps, number_stamps, word_stamps
from .table import Table
from .time_units import rates_in_words
from .timed import Rows, Timing

MOST_BAD_SHARE = 0.20
"""Of a column's cells."""
FEWEST_ROWS = 2
COLUMNS_SHOWN = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class TimePlace:
    """Where a clock stands: its column's place from 0, whether as words, its unit as stated, its fraction's column."""

    place: int
    by_words: bool
    unit: str | None
    split: SplitClock | None = None
    in_hex: bool = False
    """Whether its cells can be nothing but hexadecimal counts."""


class Reading:
    """One log being read; findings and history grow with each step."""

    def __init__(self, opened: OpenLog, options: LogOptions, most_bad: float = MOST_BAD_SHARE) -> None:
        self.most_bad = most_bad
        self.opened = opened
        self.options = options
        self.where = opened.source.where
        self.findings: list[Finding] = []
        self.history: list[Step] = []

    def of(self, rows: OwnRows) -> Reading:
        """Return the reading of some rows alone, with findings and history of its own."""
        own = Reading(self.opened, self.options, self.most_bad)
        own.where = f"{self.where}, {rows.told}" if rows.told else self.where
        return own

    def time_place(self) -> TimePlace | None:
        """Return where the clock stands; None where there is none and a rate is stated.

        Raises
        ------
        LogError
        """
        dialect, time, split, long = self.opened.dialect, self.options.time, self.opened.split_clock, self.options.long
        rows = self.opened.rows
        if long is not None:
            rows = rows_of_one(rows, find_column(dialect, long.sensor, self.where))
        if time is not None:
            place = find_column(dialect, time.column, self.where)
        elif split is not None:
            place = split.seconds
        else:
            stated = self.options.rate_hz is not None  # a clock beside it only questions it
            found = named_time(dialect, rows) if stated else find_time(dialect, rows)
            if found is None and stated:
                return None
            if found is None:
                raise LogError(
                    self.where,
                    f"no column that runs like a clock among {_listed(dialect.names)}",
                    "a time column, or a stated rate",
                    self._clock_remedy(rows),
                )
            place = found
        cells = [row[place] for row in rows if place < len(row) and row[place]]
        numbers = sum(is_number(cell, dialect.decimal) for cell in cells)
        unit = time.unit if time is not None else None
        in_hex = hex_example(cells) is not None
        by_words = unit == "date_time" or (numbers < 0.5 * len(cells) and not in_hex)
        if split is None or place != split.seconds or unit not in (None, "s", "date_time"):
            stated_unit = unit if unit != "date_time" else None
            return TimePlace(place=place, by_words=by_words, unit=stated_unit, in_hex=in_hex)
        return TimePlace(place=place, by_words=by_words, unit=None if by_words else "s", split=split)

    def _clock_remedy(self, rows: Sequence[Sequence[str]]) -> str:
        """Return what to do about a log in which no column says that it is the clock: one may run as clocks do."""
        usual = "name it in [log] time = { column = ... }, or state rate_hz"
        names = self.opened.dialect.names
        for place, step in running(self.opened.dialect, rows):
            rates = rates_in_words(step)
            if rates:
                column = repr(names[place] or place + 1)
                stated = f"[log] time = {{ column = {column}, unit = {rates} }}"
                return f"if {column} is one, state it: {stated}; else state rate_hz"
        return usual

    def judge_names(self, table: Table, by: int, asked: Iterable[ColumnName]) -> None:
        """Tell of rows that name nearly a sensor."""
        found = garbled(table.words[by], asked)
        if found is None:
            return
        word, rows = found
        row = int(as_array(table.rows)[int(np.argmax(rows))])
        message = (
            f"{self.where}: {counted(int(np.count_nonzero(rows)), 'row')} of {rows.shape[0]} name no sensor, but "
            f"nearly one ({clean_text(word, longest=40)!r}, row {row}); left out; check plug and card"
        )
        self.findings.append(Finding(code="missing_values", message=message, row=row))

    def label(self, place: TimePlace) -> ColumnName:
        """Return the clock's column by name, or by number from 1 where it has none."""
        return self.opened.dialect.names[place.place] or place.place + 1

    @property
    def other_clock(self) -> str:
        """Another column than the stated one that runs like a clock, for messages; empty where there is none."""
        dialect, time = self.opened.dialect, self.options.time
        found = None if time is None else find_time(dialect, self.opened.rows)
        if time is None or found is None or found == find_column(dialect, time.column, self.where):
            return ""
        return repr(dialect.names[found] or found + 1)

    def named(self, place: TimePlace | None) -> str:
        """Return the clock's column for messages; empty where there is none."""
        return "" if place is None else repr(self.label(place))

    def stamps(self, table: Table, place: TimePlace) -> Stamps:
        """Return the clock's stamps, with their fraction where it stands in another column."""
        found, split = self._stamps(table, place), place.split
        return found if split is None else with_fraction(found, table.numbers[split.fraction], split.unit)

    def _stamps(self, table: Table, place: TimePlace) -> Stamps:
        name = self.opened.dialect.names[place.place]
        where = f"{self.where}, column {self.label(place)!r}"
        if place.by_words:
            return word_stamps(table.words[place.place], where, day_first=self.options.day_first)
        units = self.opened.dialect.units
        named = f"{name} {units[place.place]}" if place.place < len(units) else name
        return number_stamps(table.numbers[place.place], named, place.unit, where)

    def judge_cells(
        self, column: ColumnName, values: Floats, rows: Numbers, example: str | None, *, clock: bool = False
    ) -> Bools:
        """Return which cells hold a number; refuse a column of which over a fifth don't."""
        good: Bools = np.isfinite(values)
        bad = int(good.shape[0] - np.count_nonzero(good))
        if bad == 0:
            return good
        share = bad / good.shape[0]
        row = int(rows[int(np.argmin(good))])
        what = _shown(example)
        if share > self.most_bad:
            raise LogError(
                f"{self.where}, column {column!r}" + (f", row {row}" if row else ", in 64 places all over it"),
                f"{100 * share:.0f} % of cells that are no numbers{f', {_lying(good, rows)}' if row else ''} ({what})",
                "at most 20 % such cells",
                self._remedy(None if clock else example),
            )
        message = (
            f"{self.where}: column {column!r} lacks {bad} of {good.shape[0]} readings ({percent(share)} %, refused "
            f"above 20 %), {_lying(good, rows)} ({what}); those rows are left out; check plug and card"
        )
        self.findings.append(Finding(code="missing_values", message=message, row=row))
        return good

    def _remedy(self, example: str | None) -> str:
        """Return what to do about a column of which a bad cell is known; of hexadecimal counts, to state them."""
        usual = "check the column's name in ride_day.toml; or state the decimal or thousands sign in [log]"
        hexed = example is not None and HEX_COUNT.fullmatch(example) is not None and not self.options.hex_counts
        return f"state hex_counts = true in [log] if these are hexadecimal counts; else {usual}" if hexed else usual

    def judge_rows(self, table: Table) -> None:
        """Tell of zero bytes at the end, ragged rows and the header standing again."""
        if table.zeros:
            row = int(table.rows[-1]) + 1
            message = (
                f"{self.where}: from row {row} on there are zero bytes only, {size_words(table.zeros)} of them: the "
                "logger lost power before it closed the file; the rows before are used, what was ridden after them is "
                "lost; check battery, plug and card"
            )
            self.findings.append(Finding(code="zeros_at_end", message=message, row=row))
        if table.ragged_rows:
            message = (
                f"{self.where}: {_rows(table.ragged_rows)} more or fewer cells than the others "
                f"({self.opened.dialect.cells}), the first is row {table.first_ragged_row}; their needed cells are "
                "used where they stand; check the logger's card; where they are rows of another kind, state what they "
                "begin with in [log] comment"
            )
            first = table.first_ragged_row
            self.findings.append(Finding(code="ragged_rows", message=message, row=first))
        if table.repeated_headers:
            message = (
                f"{self.where}: the header stands again {counted(table.repeated_headers, 'time')}: the logger restarted"
            )
            self.findings.append(Finding(code="repeated_header", message=message))


def _listed(names: Sequence[str]) -> str:
    """Return a log's columns, by name or by number from 1 where they have none."""
    shown = [repr(name) if name else str(place) for place, name in enumerate(names[:COLUMNS_SHOWN], 1)]
    return ", ".join(shown) + (" and more" if len(names) > COLUMNS_SHOWN else "")


def _lying(good: Bools, rows: Numbers) -> str:
    """Return where the bad cells of a column lie: at the log's end or start, in one piece, or scattered.

    Examples
    --------
    >>> _lying(np.array([True, True, False, False]), range(2, 6))
    'all at the end, from row 4 on'
    >>> _lying(np.array([True, False, True, False, True]), range(2, 7))
    'between other rows, from row 3 to row 5'
    """
    bad = np.flatnonzero(~good)
    first, last = int(bad[0]), int(bad[-1])
    if last - first + 1 > bad.shape[0]:
        return f"between other rows, from row {rows[first]} to row {rows[last]}"
    if last == good.shape[0] - 1:
        return f"all at the end, from row {rows[first]} on"
    if first == 0:
        return f"all at the start, up to row {rows[last]}"
    return f"in row {rows[first]}" if first == last else f"in one piece, from row {rows[first]} to row {rows[last]}"


def _shown(example: str | None) -> str:
    """Return a bad cell for a person."""
    if not example:
        return "empty, or no finite number"
    beyond = ", beyond what any sensor or clock gives" if is_number(example) else ""
    return f"{clean_text(example, longest=40)!r}{beyond}"


def _rows(count: int) -> str:
    return "1 row has" if count == 1 else f"{count} rows have"


def _clock_example(table: Table, time: TimePlace, stamps: Stamps) -> str | None:
    """Return a cell of the clock that can't be read."""
    if time.by_words and not np.isfinite(stamps.seconds).all():
        words = table.words[time.place]
        return words.known[int(words.codes[int(np.argmin(np.isfinite(stamps.seconds)))])]
    numbers = table.numbers.get(time.place)
    far = None if numbers is None else numbers[np.isfinite(numbers) & np.isnan(stamps.seconds)]
    known = table.bad_example.get(time.place)
    return f"{far[0]:g}" if known is None and far is not None and far.size else known


def whole_rows(
    reading: Reading, table: Table, places: dict[ColumnName, int], time: TimePlace | None
) -> tuple[Rows, Stamps | None]:
    """Return the rows of which every needed cell holds a number, and their stamps where a clock is read."""
    columns = {place: table.numbers[place] for place in places.values()}
    good = np.ones(len(table.rows), dtype=bool)
    for column, place in places.items():
        good &= reading.judge_cells(column, columns[place], table.rows, table.bad_example.get(place))
    stamps = None
    if time is not None and reading.options.rate_hz is not None:
        with suppress(LogError):  # a clock beside a stated rate may be beyond reading
            stamps = reading.stamps(table, time)
    elif time is not None:
        stamps = reading.stamps(table, time)
        example = _clock_example(table, time, stamps)
        good &= reading.judge_cells(reading.label(time), stamps.seconds, table.rows, example, clock=True)
    for place in set() if time is None else {time.place, *([] if time.split is None else [time.split.fraction])}:
        if place not in columns:
            table.numbers.pop(place, None)  # the stamps hold it all; logs are large
    rows = Rows(columns=columns, numbers=table.rows, places=range(len(table.rows)))
    if not good.all():
        rows = rows.kept(good)
        stamps = None if stamps is None else replace(stamps, seconds=stamps.seconds[good])
    if len(rows.numbers) < FEWEST_ROWS:
        found = counted(len(rows.numbers), "whole row")
        raise LogError(reading.where, found, "rows of readings", "check the logger")
    return rows, stamps


def clocked(reading: Reading, rows: Rows, stamps: Stamps | None, places: dict[ColumnName, int], named: str) -> Log:
    """Return the log of whole rows on their clock.

    Parameters
    ----------
    reading : Reading
    rows : Rows
    stamps : Stamps or None
        Theirs, where a clock is read.
    places : dict of column to int
    named : str
        The clock's column, for messages.

    Raises
    ------
    LogError
    """
    timing = Timing(where=reading.where, findings=reading.findings, other=reading.other_clock)
    rate_hz = reading.options.rate_hz
    if stamps is None or rate_hz is not None:
        clock = timing.stated(rows, rate_hz or 1.0)
        words = f"{reading.where}: no clock; {clock.rate_hz:g} rows a second as stated"
        if stamps is not None and rate_hz is not None:
            timing.compare(stamps, rate_hz, named)
            stamps = None
    else:
        clock, rows = timing.stamped(rows, stamps, named)
        words = f"{stamps.words}, {clock.rate_hz:.2f} rows a second, {len(clock.segments)} stretches without a gap"
    reading.history.append(Step(stage="clock", words=words, parameters={"rate_hz": clock.rate_hz}))
    numbers = rows.numbers
    steady = bool(numbers[-1] - numbers[0] == len(numbers) - 1)
    return Log(
        path=reading.opened.source.path,
        time_s=read_only(clock.time_s),
        columns={column: read_only(rows.columns[place]) for column, place in places.items()},
        rate_hz=clock.rate_hz,
        even=clock.even,
        segments=clock.segments,
        gap_s=clock.gap_s,
        stamp_resolution_s=None if stamps is None else stamps.resolution_s,
        first_row=int(numbers[0]),
        source_rows=None if steady else as_array(numbers),
        first_stamp=None if stamps is None else stamps.first,
        first_s=None if stamps is None else stamps.first_s,
        findings=tuple(reading.findings),
        history=tuple(reading.history),
    )
