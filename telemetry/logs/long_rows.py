"""Rows of one reading each (``t,sensor,value``) that aren't stated: as one signal they'd jump between sensors."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from telemetry.errors import LogError, clean_text
from telemetry.model.sensor import ColumnName

from .dialect import Dialect, is_number

MOST_SENSORS = 16
LEAST_CHANGES = 0.3
LEAST_ROWS = 40
JUMP_TIMES, JUMP_STEPS = 3.0, 10
"""Own choices: between sensors readings jump by more than three times what each moves from one of its rows to the next;
a signal that moves does so farther over two rows than over one. And by more than ten of the column's own steps:
channels at rest flicker between two neighbouring readings, often by turns."""
SHOWN = 3


def check_rows_hold_all(
    dialect: Dialect, pieces: Iterable[Sequence[Sequence[str]]], needed: Iterable[int], where: str
) -> None:
    """Refuse a log of which a needed column holds several sensors by turns.

    Parameters
    ----------
    dialect : Dialect
    pieces : iterable of rows of cells
        As `find_long` takes them.
    needed : iterable of int
        Places, from 0, of the columns asked for.
    where : str

    Raises
    ------
    LogError
    """
    readings = set(needed)
    found = find_long(dialect, pieces, readings, set(range(dialect.cells)) - readings)
    if found is None:
        return
    value, by = (dialect.names[at] or at + 1 for at in (found.values[0], found.by))
    shown = ", ".join(repr(clean_text(name)) for name in found.sensors[:SHOWN])
    raise LogError(
        f"{where}, column {value!r}",
        f"several sensors by turns, told apart by column {by!r} ({shown})",
        "a column for each sensor",
        f"state [log] long = {{ sensor = {_written(by)}, value = {_written(value)} }}, and name each sensor's column "
        "by its word there",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LongForm:
    """Places, from 0, of the column that names each row's sensor and of those of readings; the sensors it names."""

    by: int
    values: tuple[int, ...]
    sensors: tuple[str, ...]


def find_long(
    dialect: Dialect, pieces: Iterable[Sequence[Sequence[str]]], places: Iterable[int], naming: Iterable[int]
) -> LongForm | None:
    """Return which of some columns hold several sensors by turns, and by which other column; None where none does.

    Parameters
    ----------
    dialect : Dialect
    pieces : iterable of rows of cells
        Some of the log's rows of data, the first ones first; the next are looked at while levels are alike.
    places, naming : iterable of int
        Of columns that may be readings, and of those that may name a sensor, from 0.
    """
    asked, may_name = sorted(places), sorted(naming)
    for rows in pieces:
        whole = [cells for cells in rows if len(cells) == dialect.cells]
        turning = {place: words for place in may_name if (words := _turns([cells[place] for cells in whole]))}
        for turns, sensors in turning.items():
            others = [place for place in asked if place < dialect.cells and place != turns]
            values = tuple(place for place in others if _jumps(dialect, whole, place, turns))
            if values:
                return LongForm(by=turns, values=values, sensors=tuple(sensors))
        if not turning:
            return None
        may_name = list(turning)
    return None


def check_no_sensor_named(
    dialect: Dialect, rows: Sequence[Sequence[str]], needed: Iterable[ColumnName], where: str
) -> None:
    """Refuse a log of which a column holds, by turns, what is asked for as a column.

    Parameters
    ----------
    dialect, needed, where
        As `check_rows_hold_all` takes them; columns that aren't there.
    rows : sequence of cells
        Some of the log's first rows of data.

    Raises
    ------
    LogError
    """
    whole = [cells for cells in rows if len(cells) == dialect.cells]
    asked = [column for column in needed if isinstance(column, str)]
    for place in range(dialect.cells) if asked else ():
        sensors = {word.casefold() for word in _turns([cells[place] for cells in whole])}
        found = next((column for column in asked if column.strip().casefold() in sensors), None)
        if found is not None:
            by = dialect.names[place] or place + 1
            raise LogError(
                where,
                f"no column {found!r}, but rows that say so in column {by!r}",
                "a column for each sensor",
                f"state [log] long = {{ sensor = {_written(by)}, value = ... }}, the column of readings as value",
            )


def _written(column: ColumnName) -> str:
    return f'"{clean_text(column)}"' if isinstance(column, str) else str(column)


def _turns(cells: Sequence[str]) -> list[str]:
    """Return the few words or ids that a column holds by turns; none of any other column."""
    known = list(dict.fromkeys(cells))
    few = len(cells) >= LEAST_ROWS and 2 <= len(known) <= MOST_SENSORS
    changes = sum(one != other for one, other in pairwise(cells)) if few else 0
    return known if changes > LEAST_CHANGES * len(cells) else []


def _jumps(dialect: Dialect, rows: Sequence[Sequence[str]], place: int, turns: int) -> bool:
    """Tell whether readings jump where the other column turns, by far more than within each of its words."""
    known = [(cells[turns], cells[place]) for cells in rows if is_number(cells[place], dialect.decimal)]
    if len(known) < LEAST_ROWS:
        return False
    words = np.array([word for word, _ in known])
    values = np.array([float(cell.replace(dialect.decimal, ".")) for _, cell in known])
    between = np.abs(np.diff(values))[words[1:] != words[:-1]]
    within = np.concatenate([np.abs(np.diff(values[words == word])) for word in np.unique(words)])
    steps = np.diff(np.unique(values))
    if not between.size or not steps.size:
        return False
    return bool(np.median(between) > max(JUMP_TIMES * np.median(within), JUMP_STEPS * steps.min()))
