"""What a tuner wants of the next change: less of one thing, more of another, something kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

Row: TypeAlias = tuple[str, str | None]
"""A measure, and an end; None for every end it has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The ``[wish]`` table: rows that are to become less or more, and rows that are to stay."""

    less: tuple[Row, ...] = ()
    more: tuple[Row, ...] = ()
    keep: tuple[Row, ...] = ()
