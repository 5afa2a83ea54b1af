"""Sheets: lines and small tables as plain values, and how a result shows itself at a prompt and in a notebook."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from html import escape
from itertools import zip_longest
from textwrap import wrap
from typing import TypeAlias

from .errors import clean_text

ABSENT = "–"
LONGEST_LINE = 4000
NARROWEST = 12
"""Letters that a column of words is given at least; own choice."""


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


Sheet: TypeAlias = tuple[str | Table, ...]
"""Lines and tables from top to bottom; text from files isn't made safe yet."""


def plain_table(shown: Table, width: int | None = None) -> str:
    """Return a table as aligned text without control characters, a line a row.

    Parameters
    ----------
    shown : Table
    width : int, optional
        Letters that a line is to have at most: heads and cells of words are broken into lines for it, numbers aren't.
    """
    rows = [[clean_text(cell) for cell in row] for row in (shown.columns, *shown.rows)]
    widths = [max(len(row[place]) for row in rows) for place in range(len(shown.columns))]
    if width is not None:
        widths = _narrowed(rows, widths, shown.right_from, width)
    lines = [clean_text(shown.title)] if shown.title else []
    for row in rows:
        broken = [_broken(cell, most) for cell, most in zip(row, widths, strict=True)]
        for cells in zip_longest(*broken, fillvalue=""):
            sides = [
                cell.rjust(most) if place >= shown.right_from else cell.ljust(most)
                for place, (cell, most) in enumerate(zip(cells, widths, strict=True))
            ]
            lines.append("  ".join(sides).rstrip())
    return "\n".join(lines)


def _broken(cell: str, most: int) -> list[str]:
    """Return a cell in lines, those after its first set in."""
    if len(cell) <= most:
        return [cell]
    return wrap(cell, most, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)


def _narrowed(rows: Sequence[Sequence[str]], widths: Sequence[int], right_from: int, width: int) -> list[int]:
    """Return columns' widths within a line: heads of numbers give way first, then the widest column of words."""
    found = list(widths)
    if sum(found) + 2 * (len(found) - 1) <= width:
        return found
    words = [max((len(word) for row in rows for word in row[place].split()), default=0) for place in range(len(found))]
    for place in range(right_from, len(found)):
        found[place] = max(words[place] + 2, *(len(row[place]) for row in rows[1:]), 0)
    least = [max(NARROWEST, longest + 2) for longest in words]
    while sum(found) + 2 * (len(found) - 1) > width:
        wide = [place for place in range(min(right_from, len(found))) if found[place] > least[place]]
        if not wide:
            break
        found[max(wide, key=lambda place: found[place])] -= 1
    return found


def _html(text: str) -> str:
    return escape(clean_text(text, longest=LONGEST_LINE))


def _html_row(shown: Table, cells: Sequence[str], tag: str) -> str:
    sides = ("right" if place >= shown.right_from else "left" for place in range(len(cells)))
    return "".join(
        f'<{tag} style="text-align: {side}">{_html(cell)}</{tag}>' for side, cell in zip(sides, cells, strict=True)
    )


def _html_table(shown: Table) -> str:
    body = "".join(f"<tr>{_html_row(shown, row, 'td')}</tr>" for row in shown.rows)
    caption = f"<caption>{_html(shown.title)}</caption>" if shown.title else ""
    return (
        f"<table>{caption}<thead><tr>{_html_row(shown, shown.columns, 'th')}</tr></thead><tbody>{body}</tbody></table>"
    )


class Shown:
    """A result that says what it is: on one line, as text, in a notebook."""

    __slots__ = ()

    @property
    def in_short(self) -> str:
        """What it is, on one line."""
        raise NotImplementedError

    @property
    def sheet(self) -> Sheet:
        """What it says, as lines and tables."""
        raise NotImplementedError

    def summary(self) -> str:
        """Return what it says as plain text: every figure with its unit, what compares with its interval."""
        return "\n".join(
            plain_table(part) if isinstance(part, Table) else clean_text(part, longest=LONGEST_LINE)
            for part in (self.in_short, *self.sheet)
        )

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {clean_text(self.in_short)}>"

    def _repr_html_(self) -> str:
        parts = (_html_table(part) if isinstance(part, Table) else f"<p>{_html(part)}</p>" for part in self.sheet)
        return f"<p><b>{_html(self.in_short)}</b></p>{''.join(parts)}"
