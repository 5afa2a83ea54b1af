"""Columns of numbers out of a log's text; broken rows and cells are kept track of, none is lost silently."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Floats, Ints

from .dialect import BLANKS, Dialect, is_number, split
from .grouping import grouped_pattern, ungrouped
from .source import LogSource, blank_rows

EMPTY_WORDS = ["", "nan", "NaN", "NAN", "NA", "N/A", "null", "NULL", "None", "-", "--", "inf", "-inf", "Inf", "INF"]
_NUMBER_PATTERN = r"^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?$"
_AROUND_CELLS = ' \t"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Ragged:
    """One row with more or fewer cells than the rest: how many other rows stand before it, and its cells."""

    others_before: int
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


def _cell(cells: Sequence[str], place: int) -> str:
    return cells[place] if place < len(cells) else ""


class TableReader:
    """Reads columns of one log by the fastest way its text allows.

    Parameters
    ----------
    source : LogSource
    dialect : Dialect
    """

    def __init__(self, source: LogSource, dialect: Dialect) -> None:
        self._source = source
        self._dialect = dialect
        self._ragged: list[Ragged] = []
        self._bad_example: dict[int, str] = {}
        self._echoes: dict[int, Bools] = {}
        self._named: dict[int, Bools] = {}
        self._data: bytes | None = None if source.plain(dialect) else source.text_bytes(dialect)

    def read(self, number_places: Sequence[int], word_places: Sequence[int] = ()) -> Table:
        """Read columns, counted from 0, as numbers or as words.

        Raises
        ------
        LogError
            If the text can't be parsed at all or holds no row.
        """
        if 0 not in (*number_places, *word_places):
            self._drop_comments()  # nothing else would show one whose cells look like numbers
        table = self._parsed(number_places, word_places)
        irregular = self._irregular(table, number_places)
        if irregular and self._drop_comments():
            table = self._parsed(number_places, word_places)
        total = table.num_rows + len(self._ragged)
        pool = pa.default_memory_pool()
        words = {place: self._words(table, place) for place in word_places}
        numbers = {}
        for place in number_places:  # each let go of in the table once it is copied
            pool.release_unused()
            numbers[place] = self._column(table, place)
            table = table.select([name for name in table.column_names if name != f"c{place}"])
        pool.release_unused()
        if self._ragged:
            numbers, words = self._merged(numbers, words)
        ragged = self._ragged_mask(total)
        header = self._header_mask(total, ragged)
        self._refuse_other_order(total, ragged, header, (*number_places, *word_places))
        out = header | self._blank_mask(total, numbers) if irregular else header
        rows = np.arange(total, dtype=np.int64) + self._dialect.first_row
        if out.any():
            keep = ~out
            numbers = {place: column[keep] for place, column in numbers.items()}
            words = {place: list(compress(column, keep.tolist())) for place, column in words.items()}
            rows, ragged = rows[keep], ragged[keep]
        if rows.shape[0] == 0:
            raise LogError(self._source.where, "no row of readings", "rows of numbers", "check the logger")
        return Table(
            numbers=numbers,
            words=words,
            rows=rows,
            bad_example=self._bad_example,
            ragged_rows=int(ragged.sum()),
            first_ragged_row=int(rows[int(np.argmax(ragged))]) if ragged.any() else None,
            repeated_headers=int(header.sum()),
        )

    def _drop_comments(self) -> bool:
        """Take the text into memory without its comments, where a plain file holds any; tell whether it was done."""
        if self._data is not None or not self._source.holds_comments(self._dialect):
            return False
        self._data = self._source.text_bytes(self._dialect)
        return True

    def _irregular(self, table: pa.Table, number_places: Sequence[int]) -> bool:
        """Tell whether some row is ragged or empty, or some cell no number."""
        places = [place for place in number_places if place < self._dialect.cells]
        as_text = any(pa.types.is_string(table[f"c{place}"].type) for place in places)
        return bool(self._ragged) or as_text or any(column.null_count for column in table.columns)

    def _parsed(self, number_places: Sequence[int], word_places: Sequence[int]) -> pa.Table:
        places = [place for place in (*number_places, *word_places) if place < self._dialect.cells]
        number = pa.float64() if self._dialect.thousands is None else pa.string()
        types = {f"c{place}": number if place in number_places else pa.string() for place in places}
        try:
            return self._parse(types)
        except pa.ArrowInvalid:
            pass  # some cell is no number: read the columns as text and sort it out cell by cell
        try:
            return self._parse(dict.fromkeys(types, pa.string()))
        except (pa.ArrowInvalid, ValueError) as error:
            found = f"text that can't be parsed ({str(error).splitlines()[0]})"
            raise LogError(self._source.where, found, "delimited text", "check the file, or pin [log]") from None

    def _parse(self, types: dict[str, pa.DataType]) -> pa.Table:
        irregular = False

        def note(_: csv.InvalidRow) -> str:
            nonlocal irregular
            irregular = True
            return "skip"

        self._ragged = []
        table = self._parse_once(types, note, threads=True)
        if not irregular:
            return table
        found: list[Ragged] = []
        delimiter = "\t" if self._dialect.delimiter == BLANKS else self._dialect.delimiter

        def keep(row: csv.InvalidRow) -> str:
            before = row.number - self._dialect.first_row - len(found)
            found.append(Ragged(others_before=before, cells=tuple(split(row.text, delimiter))))
            return "skip"

        table = self._parse_once(types, keep, threads=False)
        self._ragged = found
        return table

    def _parse_once(self, types: dict[str, pa.DataType], handler: object, *, threads: bool) -> pa.Table:
        dialect = self._dialect
        name = os.fsencode(self._source.path)  # as bytes: a folder's name need be no text
        file: object = pa.OSFile(name) if self._data is None else pa.BufferReader(self._data)
        return csv.read_csv(
            file,
            read_options=csv.ReadOptions(
                column_names=[f"c{place}" for place in range(dialect.cells)],
                skip_rows=dialect.first_row - 1,
                use_threads=threads,
                block_size=1 << 20,
            ),
            parse_options=csv.ParseOptions(
                delimiter="\t" if dialect.delimiter == BLANKS else dialect.delimiter,
                invalid_row_handler=handler,
                ignore_empty_lines=False,  # so that row numbers hold
            ),
            convert_options=csv.ConvertOptions(
                include_columns=list(types),
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
        return self._decoded(table[f"c{place}"])

    def _decoded(self, column: pa.ChunkedArray) -> list[str]:
        """Return cells as text, whatever bytes they hold; empty where there is none."""
        encoding = self._dialect.encoding if self._source.keeps_bytes(self._dialect) else "utf-8"
        cells = pc.cast(column, pa.binary()).to_pylist()
        return [cell.decode(encoding, errors="replace").strip(_AROUND_CELLS) if cell else "" for cell in cells]

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
        text = pc.ascii_trim(column, characters=_AROUND_CELLS)
        sign = self._dialect.thousands
        if sign is not None:
            grouped = pc.match_substring_regex(text, f"^{grouped_pattern(sign, self._dialect.decimal)}$")
            text = pc.if_else(grouped, pc.replace_substring(text, sign, ""), text)
        if self._dialect.decimal == ",":
            text = pc.replace_substring(text, ",", ".")
        good = pc.fill_null(pc.match_substring_regex(text, _NUMBER_PATTERN), fill_value=False)
        wrong = np.flatnonzero(pc.and_(pc.invert(good), pc.is_valid(text)).to_numpy())
        cells = self._decoded(column.take(pa.array(wrong)))
        name = self._dialect.names[place]
        self._echoes[place] = np.zeros(len(column), dtype=bool)
        self._echoes[place][wrong[[cell == name for cell in cells]]] = bool(name)
        self._named[place] = np.zeros(len(column), dtype=bool)
        self._named[place][wrong[[bool(cell) and cell in self._dialect.names for cell in cells]]] = True
        example = next((cell for cell in cells if cell and cell != name), None)
        if example is not None:
            self._bad_example[place] = example
        return pc.cast(pc.if_else(good, text, pa.scalar(None, pa.string())), pa.float64())

    def _number(self, cell: str) -> float:
        text = ungrouped(cell, self._dialect.thousands, self._dialect.decimal)
        return float(text.replace(",", ".")) if is_number(text, self._dialect.decimal) else float("nan")

    def _merged(
        self, numbers: dict[int, Floats], words: dict[int, list[str]]
    ) -> tuple[dict[int, Floats], dict[int, list[str]]]:
        """Put the ragged rows back where they stood."""
        where = np.array([item.others_before for item in self._ragged])
        merged_numbers = {
            place: np.insert(
                column,
                where,
                [self._number(_cell(r.cells, place)) for r in self._ragged],
            )
            for place, column in numbers.items()
        }
        merged_words = {}
        for place, column in words.items():
            kept = np.insert(
                np.array(column, dtype=object),
                where,
                [_cell(r.cells, place) for r in self._ragged],
            )
            merged_words[place] = kept.tolist()
        return merged_numbers, merged_words

    def _ragged_mask(self, total: int) -> Bools:
        mask = np.zeros(total, dtype=bool)
        mask[[item.others_before + place for place, item in enumerate(self._ragged)]] = True
        return mask

    def _header_mask(self, total: int, ragged: Bools) -> Bools:
        """Tell which rows repeat the header, as a restarted logger writes it."""
        mask = np.zeros(total, dtype=bool)
        if not self._dialect.header_row:
            return mask
        if self._echoes:
            mask[~ragged] = np.logical_and.reduce(list(self._echoes.values()))
        names = tuple(name for name in self._dialect.names if name)
        mask[ragged] = [tuple(cell for cell in item.cells if cell) == names for item in self._ragged]
        return mask

    def _refuse_other_order(self, total: int, ragged: Bools, header: Bools, places: Sequence[int]) -> None:
        """Refuse a log whose header comes again with a needed column elsewhere: its rows would be read as others."""
        moved = np.zeros(total, dtype=bool)
        if self._dialect.header_row and self._named:
            moved[~ragged] = np.logical_and.reduce(list(self._named.values()))
        names = self._dialect.names
        moved[ragged] = [
            {names[place] for place in places} <= set(item.cells)
            and any(names[place] and names[place] != _cell(item.cells, place) for place in places)
            for item in self._ragged
        ]
        moved &= ~header
        if moved.any():
            row = int(np.argmax(moved)) + self._dialect.first_row
            raise LogError(
                f"{self._source.where}, row {row}",
                "the header again, with the columns in another order",
                "one order throughout",
                "split the log at that row: it is two logs",
            )

    def _blank_mask(self, total: int, numbers: dict[int, Floats]) -> Bools:
        """Tell which rows are empty lines."""
        mask = np.zeros(total, dtype=bool)
        data = self._source.everything() if self._data is None else self._data
        blank = blank_rows(data, self._dialect.first_row)
        mask[blank[blank < total]] = True
        for column in numbers.values():
            mask &= np.isnan(column)
        return mask
