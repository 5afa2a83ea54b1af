"""Columns of numbers out of a log's text; broken rows and cells are kept track of, none is lost silently."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Floats, Ints

from .dialect import BLANKS, Dialect, is_number, split
from .source import LogSource

EMPTY_WORDS = ["", "nan", "NaN", "NAN", "NA", "N/A", "null", "NULL", "None", "-", "--", "inf", "-inf", "Inf", "INF"]
_NUMBER_PATTERN = r"^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?$"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ragged:
    """One row with more or fewer cells than the rest: how many good rows stand before it, and its cells."""

    good_before: int
    row: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Needed columns of a log.

    Attributes
    ----------
    numbers : dict of column place to float array, shape (n,)
        NaN where a cell holds no number.
    words : dict of column place to list of str
        Columns asked for as text.
    rows : int array, shape (n,)
        File rows, from 1.
    bad_example : dict of column place to str
        A cell that is neither empty nor a number.
    ragged_rows : int
    first_ragged_row : int or None
    repeated_headers : int
    """

    numbers: dict[int, Floats]
    words: dict[int, list[str]]
    rows: Ints
    bad_example: dict[int, str]
    ragged_rows: int
    first_ragged_row: int | None
    repeated_headers: int


class TableReader:
    """Reads columns of one log by the fastest way its text allows.

    Parameters
    ----------
    source : LogSource
    dialect : Dialect
    thousands : str or None
        A sign to take out of numbers.
    """

    def __init__(self, source: LogSource, dialect: Dialect, thousands: str | None) -> None:
        self._source = source
        self._dialect = dialect
        self._thousands = thousands
        self._fields = [f"c{place}" for place in range(dialect.cells)]
        self._ragged: list[Ragged] = []
        self._bad_example: dict[int, str] = {}
        self._data: bytes | None = None

    def read(self, number_places: Sequence[int], word_places: Sequence[int] = ()) -> Table:
        """Read columns, counted from 0, as numbers or as words.

        Raises
        ------
        LogError
            If the text can't be parsed at all or holds no row.
        """
        table = self._parsed(number_places, word_places)
        numbers = {place: self._column(table, place) for place in number_places}
        words = {place: self._words(table, place) for place in word_places}
        count = table.num_rows
        del table
        rows = np.arange(count, dtype=np.int64)
        if self._ragged:
            numbers, words, rows = self._merged(numbers, words, count)
        else:
            rows += self._dialect.first_row
        header = self._header_rows(numbers, rows)
        if header.any():
            numbers = {place: column[~header] for place, column in numbers.items()}
            words = {p: [w for w, out in zip(col, header.tolist(), strict=True) if not out] for p, col in words.items()}
            rows = rows[~header]
        if rows.shape[0] == 0:
            raise LogError(self._source.where, "no row of readings", "rows of numbers", "check the logger")
        return Table(
            numbers=numbers,
            words=words,
            rows=rows,
            bad_example=self._bad_example,
            ragged_rows=len(self._ragged),
            first_ragged_row=self._ragged[0].row if self._ragged else None,
            repeated_headers=int(header.sum()),
        )

    def _parsed(self, number_places: Sequence[int], word_places: Sequence[int]) -> pa.Table:
        places = [place for place in (*number_places, *word_places) if place < self._dialect.cells]
        types = {f"c{place}": pa.float64() for place in number_places} | {
            f"c{place}": pa.string() for place in word_places
        }
        if self._thousands is not None:
            types |= {f"c{place}": pa.string() for place in number_places}
        try:
            return self._parse(places, types)
        except pa.ArrowInvalid:
            pass  # some cell is no number: read the columns as text and sort it out cell by cell
        try:
            return self._parse(places, {f"c{place}": pa.string() for place in places})
        except (pa.ArrowInvalid, ValueError) as error:
            found = f"text that can't be parsed ({str(error).splitlines()[0]})"
            raise LogError(self._source.where, found, "delimited text", "check the file, or pin [log]") from None

    def _parse(self, places: Sequence[int], types: dict[str, pa.DataType]) -> pa.Table:
        irregular = False

        def note(_: csv.InvalidRow) -> str:
            nonlocal irregular
            irregular = True
            return "skip"

        table = self._parse_once(places, types, note, threads=True)
        if not irregular:
            self._ragged = []
            return table
        found: list[Ragged] = []
        comments = 0

        def keep(row: csv.InvalidRow) -> str:
            nonlocal comments
            if row.text.lstrip().startswith(self._dialect.comment):
                comments += 1
            else:
                good = row.number - self._dialect.first_row - len(found) - comments
                delimiter = "\t" if self._dialect.delimiter == BLANKS else self._dialect.delimiter
                cells = tuple(split(row.text, delimiter))
                found.append(Ragged(good_before=good, row=row.number, cells=cells))
            return "skip"

        table = self._parse_once(places, types, keep, threads=False)
        self._ragged = found
        return table

    def _parse_once(
        self, places: Sequence[int], types: dict[str, pa.DataType], handler: object, *, threads: bool
    ) -> pa.Table:
        dialect = self._dialect
        if self._source.plain(dialect):
            file: object = str(self._source.path)
        else:
            if self._data is None:
                self._data = self._source.text_bytes(dialect)
            file = pa.BufferReader(self._data)
        return csv.read_csv(
            file,
            read_options=csv.ReadOptions(
                column_names=self._fields, skip_rows=dialect.first_row - 1, use_threads=threads, block_size=4 << 20
            ),
            parse_options=csv.ParseOptions(
                delimiter="\t" if dialect.delimiter == BLANKS else dialect.delimiter, invalid_row_handler=handler
            ),
            convert_options=csv.ConvertOptions(
                include_columns=[f"c{place}" for place in places],
                column_types=types,
                null_values=EMPTY_WORDS,
                strings_can_be_null=True,
                decimal_point=dialect.decimal,
                check_utf8=False,
            ),
        )

    def _column(self, table: pa.Table, place: int) -> Floats:
        """Return a column of numbers; all NaN where the usual row doesn't reach it."""
        if place >= self._dialect.cells:
            return np.full(table.num_rows, np.nan)
        return self._floats(table[f"c{place}"], place)

    def _words(self, table: pa.Table, place: int) -> list[str]:
        if place >= self._dialect.cells:
            return [""] * table.num_rows
        return [str(word) if word else "" for word in table[f"c{place}"].to_pylist()]

    def _floats(self, column: pa.ChunkedArray, place: int) -> Floats:
        if pa.types.is_string(column.type):
            column = self._numbers_of(column, place)
        if column.null_count == 0 and column.num_chunks == 1:
            return np.asarray(column.chunk(0).to_numpy(zero_copy_only=False), dtype=float)
        values = np.empty(len(column))
        start = 0
        for chunk in column.chunks:
            stop = start + len(chunk)
            values[start:stop] = chunk.to_numpy(zero_copy_only=False)
            start = stop
        values[~np.isfinite(values)] = np.nan
        return values

    def _numbers_of(self, column: pa.ChunkedArray, place: int) -> pa.ChunkedArray:
        text = pc.utf8_trim_whitespace(column)
        if self._thousands is not None:
            text = pc.replace_substring(text, self._thousands, "")
        if self._dialect.decimal == ",":
            text = pc.replace_substring(text, ",", ".")
        good = pc.fill_null(pc.match_substring_regex(text, _NUMBER_PATTERN), fill_value=False)
        wrong = pc.and_(pc.invert(good), pc.is_valid(text))
        if pc.any(wrong).as_py():
            self._bad_example[place] = str(pc.filter(text, wrong)[0].as_py())
        return pc.cast(pc.if_else(good, text, pa.scalar(None, pa.string())), pa.float64())

    def _number(self, cell: str) -> float:
        text = cell.replace(self._thousands, "") if self._thousands else cell
        return float(text.replace(",", ".")) if is_number(text, self._dialect.decimal) else float("nan")

    def _merged(
        self, numbers: dict[int, Floats], words: dict[int, list[str]], count: int
    ) -> tuple[dict[int, Floats], dict[int, list[str]], Ints]:
        """Put the ragged rows back where they stood."""
        where = np.array([item.good_before for item in self._ragged])
        rows = np.insert(np.arange(count), where, -1)
        total = rows.shape[0]
        merged_numbers = {
            place: np.insert(
                column,
                where,
                [self._number(r.cells[place]) if place < len(r.cells) else np.nan for r in self._ragged],
            )
            for place, column in numbers.items()
        }
        merged_words = {}
        for place, column in words.items():
            kept = np.insert(
                np.array(column, dtype=object),
                where,
                [r.cells[place] if place < len(r.cells) else "" for r in self._ragged],
            )
            merged_words[place] = kept.tolist()
        return merged_numbers, merged_words, np.arange(total, dtype=np.int64) + self._dialect.first_row

    def _header_rows(self, numbers: dict[int, Floats], rows: Ints) -> Bools:
        """Tell which rows repeat the header, as a restarted logger writes it."""
        repeated = np.zeros(rows.shape[0], dtype=bool)
        names = {place: self._dialect.names[place] for place in numbers}
        echoed = [place for place, cell in self._bad_example.items() if cell == names.get(place)]
        if not echoed or not self._dialect.header_row:
            return repeated
        blank: Bools = np.logical_and.reduce([np.isnan(column) for column in numbers.values()])
        return blank
