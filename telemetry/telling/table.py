"""Tables and groups as plain values: whoever shows them lays them out."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

ABSENT = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One small table.

    Attributes
    ----------
    title : str
    columns : tuple of str
    rows : tuple of tuple of str
        Each as long as `columns`; text from files isn't made safe yet.
    right_from : int
        Columns from this one on are numbers and stand to the right.
    marked : frozenset of int
        Rows that stand out, counted from 0.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right_from: int
    marked: frozenset[int]


def table(
    columns: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    title: str = "",
    right_from: int = 1,
    marked: Collection[int] = (),
) -> Table:
    """Return a table of these rows."""
    return Table(
        title=title,
        columns=tuple(columns),
        rows=tuple(tuple(row) for row in rows),
        right_from=right_from,
        marked=frozenset(marked),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What shares one reason."""

    reason: str
    what: str
