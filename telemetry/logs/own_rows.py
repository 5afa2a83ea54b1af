"""Rows of a sensor's own: those that name it where each row holds one reading, those with a value between blanks."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from telemetry.errors import LogError, clean_text
from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.sensor import ColumnName

from .dialect import is_number
from .numbering import kept
from .table import Table, Words

STEADY_SHARE, STEADY_WITHIN = 0.90, 0.5
"""Own choices: a sensor that logs at a rate of its own keeps to its step, within half of it, but for one step in ten;
of readings lost by chance every other step is a longer one."""
FEWEST_STEPS = 2
SELDOM_SHARE, GARBLED_LIKE, MOST_WORDS = 0.01, 0.7, 1000
"""Own choices: one letter of four may be broken; a word of more than a hundredth of the rows is a sensor's own name;
a thousand words are looked at in a moment."""
SHOWN = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRows:
    """Which rows of a table some columns have readings in.

    Attributes
    ----------
    told : str
        Whose rows they are, for messages: "sensor 'fork'"; empty of the log's own.
    keep : bool array, shape (n,), or None
        None: all rows.
    places : dict of column to int
        Where the columns stand in the table, from 0. Keys are as asked for.
    """

    told: str
    keep: Bools | None
    places: dict[ColumnName, int]

    def of(self, table: Table) -> Table:
        """Return the table of these rows alone."""
        if self.keep is None:
            return replace(table, numbers=dict(table.numbers))
        return Table(
            numbers={place: column[self.keep] for place, column in table.numbers.items()},
            words={place: column.kept(self.keep) for place, column in table.words.items()},
            rows=kept(table.rows, self.keep),
            bad_example={} if self.told else table.bad_example,
        )


def rows_of_one(rows: Sequence[tuple[str, ...]], by: int) -> tuple[tuple[str, ...], ...]:
    """Return those of some rows that name the sensor which most of them name, by its column's place."""
    names = Counter(cells[by] for cells in rows if by < len(cells))
    usual = next(iter(names.most_common(1)), ("", 0))[0]
    return tuple(cells for cells in rows if by < len(cells) and cells[by] == usual)


def rows_of_sensor(known: Words, sensor: ColumnName, where: str) -> Bools:
    """Return which rows name a sensor by its word or id.

    Parameters
    ----------
    known : Words
        The column of sensors.
    sensor : str or int
        As written, but for capitals; a number however it is written: 1 is also "01".
    where : str

    Raises
    ------
    LogError
        If no row does, or words that differ in capitals alone do.
    """
    asked = str(sensor).strip()
    words = [word for word in known.known if word]
    for same in (str.__eq__, _alike):
        found = {word for word in words if same(word, asked)}
        if len(found) > 1 and not is_number(asked):
            told = ", ".join(repr(clean_text(word)) for word in sorted(found))
            raise LogError(where, f"several sensors that {asked!r} may be: {told}", "one", "write it as the log does")
        if found:
            return known.among(found)
    shown = ", ".join(repr(clean_text(word)) for word in words[:SHOWN]) + (" and more" if len(words) > SHOWN else "")
    near = difflib.get_close_matches(asked, words, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}" if near else "name one of these as the sensor's column"
    raise LogError(where, f"no sensor {asked!r} by its rows", f"one of {shown}" if words else "words or ids", hint)


def garbled(known: Words, asked: Iterable[ColumnName]) -> tuple[str, Bools] | None:
    """Return a word that is none of a log's sensors but nearly one of those asked for, and the rows of all such.

    Parameters
    ----------
    known : Words
        The column of sensors.
    asked : iterable of str or int

    Examples
    --------
    >>> words = Words(known=("fork", "fo?k", "temp"), codes=np.array([0, 1, 2, *[0] * 300]))
    >>> word, rows = garbled(words, ["fork"])
    >>> word, int(rows.sum())
    ('fo?k', 1)
    >>> garbled(words, ["temp"]) is None
    True
    """
    names = [str(sensor).strip() for sensor in asked if not is_number(str(sensor))]
    usual = set(usual_words(known))
    seldom = [word for word in known.known[:MOST_WORDS] if word and word not in usual]
    odd = {word for word in seldom if not any(_alike(word, name) for name in names) and _nearly(word, names)}
    return (next(word for word in known.known if word in odd), known.among(odd)) if odd else None


def usual_words(known: Words) -> list[str]:
    """Return the words that more than a hundredth of the rows hold, sorted."""
    counts = np.bincount(known.codes, minlength=len(known.known))
    least = SELDOM_SHARE * len(known.codes)
    return sorted(word for word, count in zip(known.known, counts, strict=True) if word and count >= least)


def _nearly(word: str, names: Sequence[str]) -> bool:
    return bool(difflib.get_close_matches(word, names, n=1, cutoff=GARBLED_LIKE))


def _alike(word: str, asked: str) -> bool:
    if is_number(word) and is_number(asked):
        return float(word) == float(asked)
    return word.casefold() == asked.casefold()


def rows_by_sensor(table: Table, by: int, places: Mapping[ColumnName, int], where: str) -> list[OwnRows]:
    """Return each sensor's rows of a log that writes one reading a row.

    Parameters
    ----------
    table : Table
    by : int
        The place of the column that names the sensor.
    places : mapping of column to int
        Sensors by their words or ids, and where their readings stand.
    where : str

    Raises
    ------
    LogError
    """
    return [
        OwnRows(told=f"sensor {sensor!r}", keep=rows_of_sensor(table.words[by], sensor, where), places={sensor: place})
        for sensor, place in places.items()
    ]


def rows_by_blanks(
    table: Table, places: Mapping[ColumnName, int], clock: Callable[[], Floats] | None, most_bad: float
) -> list[OwnRows]:
    """Return the rows of columns that are blank between their readings, and those of all others.

    Parameters
    ----------
    table : Table
    places : mapping of column to int
    clock : callable or None
        Gives the seconds of every row, shape (n,); None without a clock.
    most_bad : float
        The share of its cells from which on a column that is no sensor of its own rate is refused.
    """
    filled = {place: np.isfinite(table.numbers[place]) for place in places.values()}
    sparse = [place for place, full in filled.items() if np.count_nonzero(full) < (1 - most_bad) * full.shape[0]]
    stamps_s = clock() if sparse and clock is not None else None
    slow = {place for place in sparse if _steady(filled[place], stamps_s, most_bad)}
    if not slow:
        return [OwnRows(told="", keep=None, places=dict(places))]
    apart = slow | {place for place, full in filled.items() if not full.all() and _steady(full, stamps_s, 0.0)}
    groups: list[tuple[Bools | None, dict[ColumnName, int]]] = []
    for column, place in places.items():
        keep = filled[place] if place in apart else None
        same = next((own for full, own in groups if _same_rows(full, keep)), None)
        if same is None:
            groups.append((keep, {column: place}))
        else:
            same[column] = place
    return [OwnRows(told=_columns(own) if keep is not None else "", keep=keep, places=own) for keep, own in groups]


def _same_rows(one: Bools | None, other: Bools | None) -> bool:
    if one is None or other is None:
        return one is other
    return bool(np.array_equal(one, other))


def _columns(places: Iterable[ColumnName]) -> str:
    names = [repr(column) for column in places]
    return f"column{'s' if len(names) > 1 else ''} {', '.join(names)}"


def _steady(full: Bools, stamps_s: Floats | None, most_lost: float) -> bool:
    """Tell whether readings come at a step of their own, by the clock or by the rows, with blanks between them.

    Blanks within steps have to be more than a share of all rows: a sensor of every row that was lost for a time has
    none there.
    """
    rows = np.flatnonzero(full)
    clocks = [rows.astype(float), *([] if stamps_s is None else [stamps_s[rows]])]
    return any(_blanks_between(clock, rows) > most_lost * full.shape[0] for clock in clocks if np.isfinite(clock).all())


def _blanks_between(clock: Floats, rows: Ints) -> int:
    """Return how many blank cells lie within a sensor's usual steps; none where it keeps to no step."""
    step = np.diff(clock)
    usual = float(np.median(step)) if step.size >= FEWEST_STEPS else 0.0
    kept = np.abs(step - usual) <= STEADY_WITHIN * usual
    if usual <= 0 or np.mean(kept) < STEADY_SHARE:
        return 0
    return int(np.sum(np.diff(rows)[kept] - 1))
