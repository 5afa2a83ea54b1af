"""Columns of a log's rows as numbers and words, and the same of several pieces in one."""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from telemetry.model.arrays import Bools, Floats, Ints

from .numbering import Numbers, end_to_end

LARGEST_READING = 1e15
"""Own choice: a double tells whole numbers apart up to 9e15, and no converter or counter of a logger goes so far."""
LARGEST_STAMP = 2.0**64
"""Clocks run further: nanoseconds since 1970 are 1.8e18. None counts beyond 64 bits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which columns are needed, by place from 0: as numbers and as words, and which of them is the clock."""

    numbers: tuple[int, ...]
    words: tuple[int, ...] = ()
    clock: int | None = None

    def largest(self, place: int) -> float:
        """Return the largest number a column can hold."""
        return LARGEST_STAMP if place == self.clock else LARGEST_READING


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A column of text.

    Attributes
    ----------
    known : tuple of str
        Different cells, in the order they first stand.
    codes : int array, shape (n,)
        Which of them each row holds.
    """

    known: tuple[str, ...]
    codes: Ints

    def kept(self, keep: Bools) -> Words:
        """Return some of the rows."""
        return Words(known=self.known, codes=self.codes[keep])

    def among(self, cells: AbstractSet[str]) -> Bools:
        """Tell which rows hold one of some cells."""
        return np.array([cell in cells for cell in self.known], dtype=bool)[self.codes]

    def numbers(self, work: Callable[[str], float]) -> Floats:
        """Return a number for each row, worked out once for each different cell."""
        return np.array([work(cell) for cell in self.known], dtype=float)[self.codes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Needed columns of a log, or of a piece of it.

    Attributes
    ----------
    numbers : dict of column place to float array, shape (n,)
        NaN where a cell holds no number.
    words : dict of column place to Words
        Columns asked for as text.
    rows : range or int array, shape (n,)
        File rows, from 1; 0 where they aren't known.
    bad_example : dict of column place to str
        A cell that is neither empty nor a number.
    ragged_rows : int
    first_ragged_row : int or None
    repeated_headers : int
    zeros : int
        Zero bytes at the log's end.
    """

    numbers: dict[int, Floats]
    words: dict[int, Words]
    rows: Numbers
    bad_example: dict[int, str]
    ragged_rows: int = 0
    first_ragged_row: int | None = None
    repeated_headers: int = 0
    zeros: int = 0


class Gathered:
    """Pieces of a log's table end to end, taken one by one so that each can be let go of: logs are large."""

    def __init__(self) -> None:
        self._numbers: dict[int, _Column] = {}
        self._codes: dict[int, _Column] = {}
        self._known: dict[int, dict[str, int]] = {}
        self._rows: list[Numbers] = []
        self._examples: dict[int, str] = {}
        self._ragged_rows = self._repeated_headers = 0
        self._first_ragged_row: int | None = None

    @property
    def count(self) -> int:
        """Rows so far."""
        return sum(map(len, self._rows))

    def add(self, table: Table, likely: int = 0) -> None:
        """Take the next piece.

        Parameters
        ----------
        table : Table
        likely : int
            How many rows there may be in the end.
        """
        for place, column in table.numbers.items():
            self._numbers.setdefault(place, _Column(column)).add(column, likely)
        for place, words in table.words.items():
            place_of = self._known.setdefault(place, {})
            codes = np.array([place_of.setdefault(cell, len(place_of)) for cell in words.known], dtype=np.int32)
            self._codes.setdefault(place, _Column(codes)).add(codes[words.codes], likely)
        self._rows.append(table.rows)
        self._examples = table.bad_example | self._examples
        self._ragged_rows += table.ragged_rows
        self._repeated_headers += table.repeated_headers
        if self._first_ragged_row is None:
            self._first_ragged_row = table.first_ragged_row

    def table(self, zeros: int = 0) -> Table:
        """Return all that was taken, one piece at least; `zeros` is how many zero bytes follow."""
        return Table(
            numbers={place: column.values for place, column in self._numbers.items()},
            words={
                place: Words(known=tuple(self._known[place]), codes=codes.values)
                for place, codes in self._codes.items()
            },
            rows=end_to_end(self._rows),
            bad_example=self._examples,
            ragged_rows=self._ragged_rows,
            first_ragged_row=self._first_ragged_row,
            repeated_headers=self._repeated_headers,
            zeros=zeros,
        )


class _Column:
    """Values that grow in number; what room is left over was never written to, and takes no memory."""

    def __init__(self, like: npt.NDArray[Any]) -> None:
        self._held = np.empty(0, dtype=like.dtype)
        self._count = 0

    def add(self, part: npt.NDArray[Any], likely: int) -> None:
        stop = self._count + part.shape[0]
        if stop > self._held.shape[0]:
            wider = np.empty(max(stop + stop // 8, likely), dtype=self._held.dtype)
            wider[: self._count] = self.values
            self._held = wider
        self._held[self._count : stop] = part
        self._count = stop

    @property
    def values(self) -> npt.NDArray[Any]:
        return self._held[: self._count]
