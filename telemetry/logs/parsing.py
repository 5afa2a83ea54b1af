"""Columns of numbers and words out of some of a log's rows; broken cells are kept track of, none is lost silently."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import csv

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Floats

from .dialect import BLANKS, Dialect, split
from .grouping import grouped_pattern
from .lines import Lines, delimiter_of, fitted, unquoted, written_lines
from .numbering import Numbers, kept
from .table import Table, Wanted, Words
from .text import LONGEST_LINE

BLOCK_BYTES, LOOKED_AT = 1 << 20, 1 << 12
EMPTY_WORDS = ["", "nan", "NaN", "NAN", "NA", "N/A", "null", "NULL", "None", "-", "--", "inf", "-inf", "Inf", "INF"]
_NUMBER_PATTERN = r"^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?$"
_AROUND_CELLS = ' \t"'


class RowParser:
    """Takes the wanted columns out of whole lines of one log.

    Parameters
    ----------
    where : str
        The log's name, for messages.
    dialect : Dialect
    wanted : Wanted
    """

    def __init__(self, where: str, dialect: Dialect, wanted: Wanted) -> None:
        self._where = where
        self._dialect = dialect
        self._wanted = wanted
        self._numbers = [place for place in wanted.numbers if place < dialect.cells]
        self._words = [place for place in wanted.words if place < dialect.cells]
        comment = [] if 0 in self._numbers else [dialect.comment.encode("utf-8")]  # else one is no number there
        self._marks = [b'"', *comment]

    def likely_even(self, data: bytes) -> bool:
        """Tell whether some bytes of the text may be of rows of numbers one and all, as far as a glance tells."""
        dialect = self._dialect
        if not self._numbers or dialect.delimiter == BLANKS or dialect.thousands is not None:
            return False
        if not data.isascii() or any(mark in data for mark in self._marks):
            return False
        if len(data) > LONGEST_LINE and b"\n" not in data and b"\r" not in data:
            return False
        some = data[:LOOKED_AT]
        ends = max(some.count(b"\n"), some.count(b"\r"))
        return ends * shortest_row(dialect) <= len(some) + shortest_row(dialect)

    def even(self, text: Path | bytes, first_row: int) -> Table | None:
        """Return the table of text whose rows hold numbers one and all, else None.

        Parameters
        ----------
        text : Path or bytes
            The whole log as it lies on disk, or whole lines below its header, all likely even.
        first_row : int
            File row of the first row.
        """
        found = self._typed(text, first_row - 1 if isinstance(text, Path) else 0)
        if found is None or any(found[_name(place)].null_count for place in self._numbers):
            return None  # an empty line has no cell at all
        return self._table(found, range(first_row, first_row + found.num_rows), self._texts(found))

    def careful(self, data: bytes, first_row: int | None, encoding: str) -> tuple[Table | None, int]:
        """Return the table of whatever rows lines hold, None where they hold none, and how many lines they are.

        Parameters
        ----------
        data : bytes
            Whole lines below the header.
        first_row : int or None
            File row of the first of them, None where it isn't known.
        encoding : str
            Of the bytes.

        Raises
        ------
        LogError
            If the lines can't be parsed at all, or the header stands among them in another order.
        LineTooLongError
            If one is over 256 kB long.
        """
        lines = written_lines(data, self._dialect, encoding)
        if not lines.data:
            return None, lines.count
        rows = _file_rows(lines.places, first_row)
        found = self._typed(lines.data) if self._dialect.thousands is None else None
        if found is None:
            return self._sorted_out(lines, rows), lines.count
        return self._table(found, rows, self._texts(found)), lines.count

    def _typed(self, text: Path | bytes, skipped: int = 0) -> pa.Table | None:
        """Return the columns, None where a row has more or fewer cells, or a cell of a number's column is none."""
        if not set(self._numbers).isdisjoint(self._words):
            return None  # asked for as both
        kinds = dict.fromkeys(self._numbers, pa.float64()) | dict.fromkeys(self._words, pa.string())
        try:
            return self._read(text, kinds, BLOCK_BYTES, skipped)
        except (pa.ArrowInvalid, ValueError):
            return None

    def _as_text(self, data: bytes) -> pa.Table:
        kinds = dict.fromkeys([*self._numbers, *self._words], pa.string())
        try:
            return self._read(data, kinds, len(data) + 1)
        except (pa.ArrowInvalid, ValueError):
            pass  # a quote within a cell, maybe
        delimiter = delimiter_of(self._dialect).encode("utf-8")
        bare = b"\n".join(unquoted(row, delimiter) for row in data.split(b"\n"))
        try:
            return self._read(bare, kinds, len(bare) + 1)
        except (pa.ArrowInvalid, ValueError) as error:
            found = f"text that can't be parsed ({str(error).splitlines()[0]})"
            raise LogError(self._where, found, "delimited text", "check the file, or pin [log]") from None

    def _read(
        self, text: Path | bytes, kinds: Mapping[int, pa.DataType], block_bytes: int, skipped: int = 0
    ) -> pa.Table:
        types = {_name(place): kind for place, kind in kinds.items()} or {_name(0): pa.string()}
        return csv.read_csv(
            pa.BufferReader(text)
            if isinstance(text, bytes)
            else pa.OSFile(os.fsencode(text)),  # its name may be no text
            read_options=csv.ReadOptions(
                column_names=[_name(place) for place in range(self._dialect.cells)],
                skip_rows=skipped,
                block_size=block_bytes,
            ),
            parse_options=csv.ParseOptions(delimiter=delimiter_of(self._dialect), ignore_empty_lines=False),
            convert_options=csv.ConvertOptions(
                include_columns=list(types),
                column_types=types,
                null_values=EMPTY_WORDS,
                strings_can_be_null=True,
                decimal_point=self._dialect.decimal,
                check_utf8=False,
            ),
        )

    def _table(self, found: pa.Table, rows: Numbers, words: dict[int, Words]) -> Table:
        examples: dict[int, str] = {}
        numbers = {}
        for place in self._wanted.numbers:  # each let go of once it is copied, for logs are large
            numbers[place] = self._floats(found, place, examples)
            found = found.select([name for name in found.column_names if name != _name(place)])
        return Table(numbers=numbers, words=words, rows=rows, bad_example=examples)

    def _floats(self, found: pa.Table, place: int, examples: dict[int, str]) -> Floats:
        """Return a column of numbers; NaN where a cell holds none or one beyond all sense, and where no row reaches."""
        if place not in self._numbers:
            return np.full(found.num_rows, np.nan)
        column, largest = found[_name(place)], self._wanted.largest(place)
        values = np.empty(len(column))
        start = 0
        for chunk in column.chunks:
            part = values[start : start + len(chunk)]
            part[:] = np.from_dlpack(_bare(chunk))
            if chunk.null_count:
                part[np.from_dlpack(chunk.is_null().cast(pa.uint8())).view(bool)] = np.nan
            start += len(chunk)
            if not (part.max() <= largest and part.min() >= -largest):
                good = np.abs(part) <= largest
                beyond = part[~good & ~np.isnan(part)]
                if beyond.size:
                    examples.setdefault(place, f"{beyond[0]:g}")
                part[~good] = np.nan
        return values

    def _texts(self, found: pa.Table) -> dict[int, Words]:
        """Return the columns of text; empty where there is none, and where no row reaches."""
        none = Words(known=("",), codes=np.zeros(found.num_rows, dtype=np.int32))
        return {place: _words_of(found[_name(place)]) if place in self._words else none for place in self._wanted.words}

    def _sorted_out(self, lines: Lines, rows: Numbers) -> Table:
        """Return the table of rows of which some are ragged, or some cells no numbers: cell by cell."""
        wide, ragged = fitted(lines, self._dialect)
        self._refuse_wider_header(lines, ragged, rows)
        found = self._as_text(wide.data)
        words = self._texts(found)  # before those that are wanted as numbers, too, are made such
        strange: dict[int, Words] = {}
        for place in self._numbers:
            numbers, strange[place] = _numbers_of(found[_name(place)], self._dialect)
            found = found.set_column(found.column_names.index(_name(place)), _name(place), numbers)
        table = self._table(found, rows, words)
        header = self._headers(strange | {place: words[place] for place in self._words}, rows)
        return _without(table, header, ragged, self._examples(strange))

    def _examples(self, strange: Mapping[int, Words]) -> dict[int, str]:
        """Return the first cell of each column that is neither empty nor a number nor the column's name."""
        names = self._dialect.names
        odd = {
            place: next((cell for cell in words.known if cell and cell != names[place]), "")
            for place, words in strange.items()
        }
        return {place: cell for place, cell in odd.items() if cell}

    def _headers(self, strange: Mapping[int, Words], rows: Numbers) -> Bools:
        """Tell which rows repeat the header, as a restarted logger writes it; refuse one in another order."""
        named = {place: self._dialect.names[place] for place in strange if self._dialect.header_row}
        if not any(named.values()):
            return np.zeros(len(rows), dtype=bool)
        known = frozenset(filter(None, self._dialect.names))
        header: Bools = np.logical_and.reduce([strange[place].among({name} & known) for place, name in named.items()])
        moved = np.logical_and.reduce([strange[place].among(known) for place in named]) & ~header
        if moved.any():
            raise self._other_order(int(rows[int(np.argmax(moved))]))
        return header

    def _refuse_wider_header(self, lines: Lines, ragged: Bools, rows: Numbers) -> None:
        """Refuse the header in another order where it has more or fewer cells than the rows."""
        places = [*self._numbers, *self._words]
        names = {self._dialect.names[place] for place in places if self._dialect.header_row} - {""}
        if not names or not all(name.encode("utf-8") in lines.data for name in names):
            return
        sign = delimiter_of(self._dialect)
        for place, row in zip(np.flatnonzero(ragged).tolist(), lines.only(ragged), strict=True):
            cells = split(row.decode("utf-8"), sign)
            if names <= set(cells) and any(self._dialect.names[at] not in ("", *cells[at : at + 1]) for at in places):
                raise self._other_order(int(rows[place]))

    def _other_order(self, row: int) -> LogError:
        return LogError(
            f"{self._where}, row {row}" if row else self._where,
            "the header again, with the columns in another order",
            "one order throughout",
            "split the log at that row: it is two logs",
        )


def shortest_row(dialect: Dialect) -> int:
    """Return how long a row is that has a digit in each cell."""
    return 2 * dialect.cells


def _file_rows(places: Numbers, first_row: int | None) -> Numbers:
    if first_row is None:
        return np.zeros(len(places), dtype=np.int64)
    if isinstance(places, range):
        return range(places.start + first_row, places.stop + first_row)
    return places + first_row


def _name(place: int) -> str:
    return f"c{place}"


def _numbers_of(column: pa.ChunkedArray, dialect: Dialect) -> tuple[pa.ChunkedArray, Words]:
    """Return a column of text as numbers, and its cells that are none."""
    import pyarrow.compute as pc  # noqa: PLC0415 - takes a tenth of a second that logs of numbers alone can do without

    text = pc.ascii_trim(column, characters=_AROUND_CELLS)
    if dialect.thousands is not None:
        grouped = pc.match_substring_regex(text, f"^{grouped_pattern(dialect.thousands, dialect.decimal)}$")
        text = pc.if_else(grouped, pc.replace_substring(text, dialect.thousands, ""), text)
    if dialect.decimal == ",":
        text = pc.replace_substring(text, ",", ".")
    good = pc.match_substring_regex(text, _NUMBER_PATTERN)  # null where there is no cell, as what comes of it
    nothing = pa.nulls(len(column), pa.string())
    return pc.cast(pc.if_else(good, text, nothing), pa.float64()), _words_of(pc.if_else(good, nothing, column))


def _bare(chunk: pa.Array) -> pa.Array:
    """Return numbers as they lie in memory, cells that hold none too.

    Arrow's own ways from there to numpy take pandas along: 60 MB, and longer to load than a log takes to read.
    """
    return pa.Array.from_buffers(chunk.type, len(chunk), [None, chunk.buffers()[1]], offset=chunk.offset)


def _words_of(column: pa.ChunkedArray) -> Words:
    cells = column.combine_chunks().dictionary_encode(null_encoding="encode")
    known = [cell or b"" for cell in cells.dictionary.cast(pa.binary()).to_pylist()]
    return Words(
        known=tuple(cell.decode("utf-8", errors="replace").strip(_AROUND_CELLS) for cell in known),
        codes=np.asarray(np.from_dlpack(cells.indices), dtype=np.int32),
    )


def _without(table: Table, header: Bools, ragged: Bools, examples: dict[int, str]) -> Table:
    """Return a table without the rows that repeat its header."""
    keep = ~header
    rows, ragged = kept(table.rows, keep), ragged[keep]
    return Table(
        numbers={place: column[keep] for place, column in table.numbers.items()},
        words={place: column.kept(keep) for place, column in table.words.items()},
        rows=rows,
        bad_example=table.bad_example | examples,
        ragged_rows=int(ragged.sum()),
        first_ragged_row=int(rows[int(np.argmax(ragged))]) if ragged.any() else None,
        repeated_headers=int(header.sum()),
    )
