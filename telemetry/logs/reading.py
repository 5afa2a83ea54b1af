"""A log's table read piece by piece, within the memory there is; what is past saving is told from a sample."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

import pyarrow as pa

from telemetry import memory
from telemetry.errors import LogError
from telemetry.model.log import Log

from .dialect import Dialect
from .parsing import RowParser, shortest_row
from .source import LogSource, too_long
from .table import Gathered, Table, Wanted
from .text import SAMPLE_BYTES, SAMPLE_PLACES, LineTooLongError

BYTES_A_ROW, BYTES_A_CELL, BYTES_A_WORD = 60, 16, 150
EMPTY_CELL = 9
MEASURED_TIMES = 2
"""Seen: 82 bytes a row of clock and two sensors while it is read, 108 while it is measured, 200 where it is noise."""
KEPT_A_CELL = 13
"""Seen: 38 bytes a row of clock and two sensors beyond what the log itself takes."""
PACKED_TIMES, PACKED_LEAST = 20, 500_000_000
"""Own choice: five letters a row, as of a single sensor without a clock, take fifteen times their size."""
SAMPLED_BYTES, ALWAYS_SAMPLED_BYTES = 1 << 23, 1 << 29
SURELY_TOO_MUCH, LIKELY_TIMES = 1.1, 1.25
"""Own choices: whatever stands in 8 MB is read in three seconds; a sample tells rows to a few per cent."""

Judge = Callable[[Table], None]


def bytes_to_read(rows: int, columns: int) -> int:
    """Return how much memory it takes to read so many rows of numbers, the clock's among the columns."""
    return rows * (BYTES_A_ROW + BYTES_A_CELL * columns)


def bytes_to_measure(log: Log) -> int:
    """Return how much memory it takes to measure what a log holds."""
    own = {id(apart): apart for apart in log.own.values()}.values()
    each = (bytes_to_read(int(one.time_s.shape[0]), 1 + len(one.columns)) for one in (log, *own))
    return MEASURED_TIMES * sum(each)


def bytes_to_keep(log: Log) -> int:
    """Return how much more memory it takes to keep a log as a ride."""
    return KEPT_A_CELL * int(log.time_s.shape[0]) * (1 + len(log.columns))


def bytes_of(table: Table) -> float:
    """Return how much memory it takes to read a table."""
    rows = bytes_to_read(len(table.rows), len(table.numbers) + len(table.words))
    words = sum(BYTES_A_WORD * len(column.known) + sum(map(len, column.known)) for column in table.words.values())
    return float(rows + words)


def read_table(source: LogSource, dialect: Dialect, wanted: Wanted, judge: Judge | None = None) -> Table:
    """Read columns of one log.

    Parameters
    ----------
    source : LogSource
    dialect : Dialect
    wanted : Wanted
    judge : callable, optional
        Raises where rows from all over a large log tell that it can't be used.

    Raises
    ------
    LogError
        If the text can't be parsed at all, holds no row, or takes more memory than there is.
    """
    table = _Pieces(source, dialect, wanted, judge).table()  # the text itself is let go of here
    pa.default_memory_pool().release_unused()
    if table is None:
        raise LogError(source.where, "no row of readings", "rows of numbers", "check the logger")
    return table


class _Pieces:
    """Tables of one log's pieces, in their order."""

    def __init__(self, source: LogSource, dialect: Dialect, wanted: Wanted, judge: Judge | None) -> None:
        self._source = source
        self._text = source.text(dialect)
        self._parser = RowParser(source.where, dialect, wanted)
        self._row = dialect.first_row
        self._room = memory.room()
        self._even = True
        self._judge = judge
        self._sampled = self._text.size < SAMPLED_BYTES
        columns = len(wanted.numbers) + len(wanted.words)
        measured = MEASURED_TIMES * bytes_to_read(1, columns) / shortest_row(dialect)
        self._at_most = self._text.size * max(EMPTY_CELL * columns, measured)

    def table(self) -> Table | None:
        if self._text.size >= ALWAYS_SAMPLED_BYTES:
            self._look_all_over()
        return self._at_once() or self._piece_by_piece()

    def _at_once(self) -> Table | None:
        """Return the table of a log that lies on disk as even rows, which is fastest; None of any other.

        Of one that lies so but for long stretches of empty lines, too, there has to be memory for.
        """
        path, room = self._text.path, self._room
        if path is None or (room is not None and self._at_most > room):
            return None
        likely = all(map(self._parser.likely_even, self._text.raw(self._row)))
        return self._parser.even(path, self._row) if likely else None

    def _piece_by_piece(self) -> Table | None:
        found, taken, done = Gathered(), 0.0, 0
        try:
            for data in self._text.pieces(self._row):
                table, done = self._piece(data), done + len(data)
                if table is not None:
                    taken += bytes_of(table)
                    self._check_room(taken)
                    found.add(table, round(LIKELY_TIMES * (found.count + len(table.rows)) * self._text.size / done))
        except LineTooLongError as error:
            raise too_long(self._source.where, self._row + error.before) from None
        return found.table(self._text.zeros) if found.count else None

    def _piece(self, data: bytes) -> Table | None:
        even = self._even and self._parser.likely_even(data)
        table = self._parser.even(data, self._row) if even else None
        if table is not None:
            self._row += len(table.rows)
            return table
        self._look_all_over()
        table, lines = self._parser.careful(data, self._row, self._text.encoding)
        self._row += lines
        self._even = table is not None and len(table.rows) == lines and not table.ragged_rows
        return table

    def _check_room(self, taken: float) -> None:
        """Refuse readings that take more memory than there is, or of what is packed, than is in reason for its size."""
        self._source.check_room(MEASURED_TIMES * taken, self._room)
        if self._source.packed:
            self._source.check_room(taken, max(PACKED_TIMES * self._text.size, PACKED_LEAST))

    def _look_all_over(self) -> None:
        """Refuse a large log early, by rows from all over it: too many of them, or hardly any that can be used."""
        if self._sampled:
            return
        self._sampled = True
        found, likely = Gathered(), 0.0
        for data in filter(None, self._text.samples()):
            with suppress(LogError):  # told with its row where it stands
                table, _ = self._parser.careful(data, None, self._text.encoding)
                if table is not None:
                    found.add(table)
                    likely += bytes_of(table) / (SAMPLE_PLACES * SAMPLE_BYTES) * self._text.size
        if found.count:
            if self._judge is not None:
                self._judge(found.table())
            self._check_room(likely / SURELY_TOO_MUCH)
