"""What every figure module returns: the drawing, a sentence for those who can't see it, and its numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberTable:
    """The numbers behind a figure."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One panel of a figure.

    Attributes
    ----------
    place : {"rear", "front", "both"}
        Where it stands: the bike faces right.
    plot : bokeh model
    alternative : str
        One sentence that says what it shows.
    numbers : NumberTable
    title : str
        What stands above it beside the end's name; empty where the section says it.
    """

    place: str
    plot: Any
    alternative: str
    numbers: NumberTable
    title: str = ""


def table(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> NumberTable:
    """Return a number table of these rows."""
    return NumberTable(columns=tuple(columns), rows=tuple(tuple(row) for row in rows))
