"""A log's table read piece by piece, within the memory there is; what is past saving is told from a sample."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

import pyarrow as pa

from telemetry import memory
from telemetry.errors import LogError

from .dialect import Dialect
from .parsing import RowParser, shortest_row
from .source import LogSource, too_long
from .table import Table, Wanted, joined
from .text import SAMPLE_BYTES, SAMPLE_PLACES, LineTooLongError

BYTES_A_ROW, BYTES_A_CELL, BYTES_A_WORD = 60, 16, 150
EMPTY_CELL = 9
MEASURED_TIMES = 2
"""Seen: 82 bytes a row of clock and two sensors while it is read, 108 while it is measured, 200 where it is noise."""
PACKED_TIMES, PACKED_LEAST = 20, 500_000_000
"""Own choice: five letters a row, as of a single sensor without a clock, take fifteen times their size."""
SAMPLED_BYTES, ALWAYS_SAMPLED_BYTES = 1 << 23, 1 << 29
SURELY_TOO_MUCH = 1.1
"""Own choices: whatever stands in 8 MB is read in three seconds; a sample tells rows to a few per cent."""

Judge = Callable[[Table], None]


def bytes_of(table: Table) -> float:
    """Return how much memory it takes to read a table."""
    rows = table.rows.shape[0] * (BYTES_A_ROW + BYTES_A_CELL * (len(table.numbers) + len(table.words)))
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
    tables = _Pieces(source, dialect, wanted, judge).tables()  # the text itself is let go of here
    if not any(table.rows.size for table in tables):
        raise LogError(source.where, "no row of readings", "rows of numbers", "check the logger")
    return joined(tables)


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
        measured = MEASURED_TIMES * (BYTES_A_ROW + BYTES_A_CELL * columns) / shortest_row(dialect)
        self._at_most = self._text.size * max(EMPTY_CELL * columns, measured)

    def tables(self) -> list[Table]:
        if self._text.size >= ALWAYS_SAMPLED_BYTES:
            self._look_all_over()
        whole = self._at_once()
        return [whole] if whole is not None else self._piece_by_piece()

    def _at_once(self) -> Table | None:
        """Return the table of a log that lies on disk as even rows, which is fastest; None of any other.

        Of one that lies so but for long stretches of empty lines, too, there has to be memory for.
        """
        path, room = self._text.path, self._room
        if path is None or (room is not None and self._at_most > room):
            return None
        likely = all(map(self._parser.likely_even, self._text.raw(self._row)))
        table = self._parser.even(path, self._row) if likely else None
        pa.default_memory_pool().release_unused()
        return table

    def _piece_by_piece(self) -> list[Table]:
        found, taken = [], 0.0
        try:
            for data in self._text.pieces(self._row):
                table = self._table(data)
                if table is not None:
                    found.append(table)
                    taken += bytes_of(table)
                    self._check_room(taken)
        except LineTooLongError as error:
            raise too_long(self._source.where, self._row + error.before) from None
        return [replace(table, zeros=self._text.zeros) for table in found]

    def _table(self, data: bytes) -> Table | None:
        even = self._even and self._parser.likely_even(data)
        table = self._parser.even(data, self._row) if even else None
        if table is not None:
            self._row += table.rows.shape[0]
            return table
        self._look_all_over()
        table, lines = self._parser.careful(data, self._row, self._text.encoding)
        self._row += lines
        self._even = table is not None and table.rows.shape[0] == lines and not table.ragged_rows
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
        tables = list[Table]()
        for data in filter(None, self._text.samples()):
            with suppress(LogError):  # told with its row where it stands
                table, _ = self._parser.careful(data, None, self._text.encoding)
                tables += [table] if table is not None else []
        if tables:
            likely = sum(map(bytes_of, tables)) / (SAMPLE_PLACES * SAMPLE_BYTES) * self._text.size
            if self._judge is not None:
                self._judge(joined(tables))
            self._check_room(likely / SURELY_TOO_MUCH)
