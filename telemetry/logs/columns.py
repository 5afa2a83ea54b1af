"""Which of a log's columns is meant, and which holds the clock."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.errors import LogError
from telemetry.model.sensor import ColumnName
from telemetry.trade_words import TIME, plain_words, reading_named

from .dialect import Dialect, is_number
from .hexadecimal import HEX_COUNT, hex_example
from .table import LARGEST_STAMP
from .time_units import named_unit, possible_units

TIME_NAME = re.compile(
    r"(^|[^a-z])(t|time|times?tamp|stamp|clock|date|datetime|elapsed|millis|micros)([^a-z]|$)", re.IGNORECASE
)
COUNT_NAME = re.compile(
    r"(sample|index|count|number|^no\.?$|^nr\.?$|^n$|^#$|row|^cnt|cnt$|^ctr|^seq|^ticks?$|frame|packet|^id$|^i$)",
    re.IGNORECASE,
)
NAMED_RANK = 3
STAMP_CELL = re.compile(r"\d{1,2}:\d{2}|^\d{8}[T ]\d{6}")


def find_column(dialect: Dialect, column: ColumnName, where: str) -> int:
    """Return the place, from 0, of a column asked for by name or by number from 1.

    Raises
    ------
    LogError
        If there is no such column, or several of that name.
    """
    names = dialect.names
    if isinstance(column, int):
        if 1 <= column <= dialect.width:
            return column - 1
        raise LogError(where, f"column {column}", f"a number from 1 to {dialect.width}", "count the log's columns")
    places = [place for place, name in enumerate(names) if name == column]
    if not places:
        places = [place for place, name in enumerate(names) if name.casefold() == column.strip().casefold()]
    if len(places) == 1:
        return places[0]
    if len(places) > 1:
        raise LogError(where, f"{len(places)} columns named {column!r}", "one", "name it by its number from 1")
    named = [name for name in names if name]
    if not named:
        raise LogError(
            where,
            f"no header, so no column {column!r}",
            f"a number from 1 to {dialect.width}",
            "name columns by number",
        )
    near = difflib.get_close_matches(column, named, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}" if near else "name one of these"
    raise LogError(where, f"no column {column!r}", "one of " + ", ".join(named[:20]), hint)


def find_columns(dialect: Dialect, columns: Iterable[ColumnName], where: str) -> dict[ColumnName, int]:
    """Return the place, from 0, of each column.

    Raises
    ------
    LogError
        Of all columns that aren't there, or are there more than once.
    """
    places: dict[ColumnName, int] = {}
    errors: list[LogError] = []
    for column in columns:
        try:
            places[column] = find_column(dialect, column, where)
        except LogError as error:
            errors.append(error)
    if not errors:
        return places
    expected, remedies = (dict.fromkeys(getattr(error, part) for error in errors) for part in ("expected", "remedy"))
    raise LogError(where, " and ".join(error.found for error in errors), "; ".join(expected), "; ".join(remedies))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """How a column grows: its usual step, how often, whether it keeps to it, in most rows, by one in every row."""

    step: float
    times: int
    steady: bool
    in_most_rows: bool
    counts_rows: bool

    @property
    def like_a_clock(self) -> bool:
        """Whether it may be a clock though nothing says so; where it just counts rows that isn't known.

        What steps seldom is a level that rises, but for whole seconds and rows of several sensors by turns; what steps
        once is a flag.
        """
        seldom = self.times > 1 and self.step.is_integer()
        return self.steady and not self.counts_rows and (self.in_most_rows or seldom)


def _runs(cells: Sequence[str], decimal: str) -> _Run | None:
    """Return how a column grows; None where it doesn't but for roll-overs."""
    numbers = (float(cell.replace(",", ".")) for cell in cells if is_number(cell, decimal))
    values = [value for value in numbers if abs(value) <= LARGEST_STAMP]
    if len(values) < 3 or len(values) < 0.9 * len(cells):
        return None
    step = np.diff(values)
    grows = step[step > 0]
    in_most_rows = grows.size > 0.5 * step.size  # a sensor at rest stays within its noise, and mostly stands still
    if grows.size == 0 or np.mean(step >= 0) < 0.95 or not (values[-1] > values[0] or in_most_rows):
        return None
    usual = float(np.median(grows))
    steady = bool(np.mean(np.abs(grows - usual) <= usual) >= 0.9)  # what only happens to rise does it unevenly
    counts_rows = bool(np.all(step == 1.0))
    return _Run(step=usual, times=int(grows.size), steady=steady, in_most_rows=in_most_rows, counts_rows=counts_rows)


def _one_second(cells: Sequence[str]) -> bool:
    """Tell whether cells are one whole number, as a fast logger's are that stamps whole seconds."""
    return len(cells) > 2 and len(set(cells)) == 1 and cells[0].isdecimal()


def find_time(dialect: Dialect, rows: Sequence[Sequence[str]]) -> int | None:
    """Return the place of the column that holds the clock, None where none does.

    Parameters
    ----------
    dialect : Dialect
    rows : sequence of cells
        Some of the log's first rows of data.
    """
    return _likeliest(dialect, rows)


def named_time(dialect: Dialect, rows: Sequence[Sequence[str]]) -> int | None:
    """Return the place of a column that by its name, unit or cells is a clock, not only by how it runs."""
    return _likeliest(dialect, rows, NAMED_RANK)


def running(dialect: Dialect, rows: Sequence[Sequence[str]]) -> Iterator[tuple[int, float]]:
    """Yield the places, from 0, of columns that run as a clock does though nothing says so, and their usual steps."""
    for place in range(dialect.width):
        runs = _runs([row[place] for row in rows if place < len(row) and row[place]], dialect.decimal)
        if runs is not None and runs.steady and runs.in_most_rows and not runs.counts_rows:
            yield place, runs.step


def _likeliest(dialect: Dialect, rows: Sequence[Sequence[str]], least: int = 1) -> int | None:
    best: tuple[int, int] | None = None
    for place in range(dialect.width):
        cells = [row[place] for row in rows if place < len(row) and row[place]]
        if hex_example(cells) is not None:
            cells = [str(int(cell, 16)) for cell in cells if HEX_COUNT.fullmatch(cell)]
        rank = _time_rank(dialect, place, cells)
        if rank >= least and (best is None or rank > best[0]):
            best = (rank, place)
    return None if best is None else best[1]


def _time_rank(dialect: Dialect, place: int, cells: Sequence[str]) -> int:
    """Return how likely a column is the clock: 0 not at all, 1 if it stands, 5 by its name."""
    name = dialect.names[place]
    if sum(STAMP_CELL.search(cell) is not None for cell in cells) > 0.9 * len(cells):
        return 4 if cells else 0
    runs = _runs(cells, dialect.decimal)
    words, unit = plain_words(name), dialect.units[place] if place < len(dialect.units) else ""
    if runs is None:
        named = TIME_NAME.search(name.replace("_", " ")) or TIME.speaks_in(words) or named_unit(unit or name) == "s"
        return 1 if named and _one_second(cells) else 0
    if TIME_NAME.search(name.replace("_", " ")) or TIME.speaks_in(words):
        return 5
    if named_unit(unit) or (len(words) == 1 and named_unit(name)):
        return NAMED_RANK
    unnamed = not name or (place == 0 and not reading_named(name, unit) and not COUNT_NAME.search(name))
    return 2 if unnamed and runs.like_a_clock and possible_units(runs.step) else 0
