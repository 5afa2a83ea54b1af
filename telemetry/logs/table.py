"""Columns of a log's rows as numbers and words, and the same of several pieces in one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.arrays import joined as end_to_end

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
    rows : int array, shape (n,)
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
    rows: Ints
    bad_example: dict[int, str]
    ragged_rows: int = 0
    first_ragged_row: int | None = None
    repeated_headers: int = 0
    zeros: int = 0


def joined(tables: list[Table]) -> Table:
    """Return pieces of a log in one, in their order; each column is let go of once it is copied, for logs are large.

    Parameters
    ----------
    tables : list of Table
        One at least. Their dictionaries are emptied.
    """
    first = tables[0]
    examples: dict[int, str] = {}
    for table in reversed(tables):
        examples.update(table.bad_example)
    return Table(
        numbers={place: end_to_end([table.numbers.pop(place) for table in tables]) for place in list(first.numbers)},
        words={place: _joined_words([table.words.pop(place) for table in tables]) for place in list(first.words)},
        rows=end_to_end([table.rows for table in tables]),
        bad_example=examples,
        ragged_rows=sum(table.ragged_rows for table in tables),
        first_ragged_row=next((table.first_ragged_row for table in tables if table.ragged_rows), None),
        repeated_headers=sum(table.repeated_headers for table in tables),
        zeros=first.zeros,
    )


def _joined_words(columns: Sequence[Words]) -> Words:
    place_of: dict[str, int] = {}
    codes = []
    for words in columns:
        places = [place_of.setdefault(cell, len(place_of)) for cell in words.known]
        codes.append(np.array(places, dtype=np.int32)[words.codes])
    return Words(known=tuple(place_of), codes=end_to_end(codes))
