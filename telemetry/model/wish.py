"""What a tuner wants of the next change: less of one thing, more of another, something kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from .finding import End
from .ranges import Range

SagPercent: TypeAlias = Annotated[float, Range(5, 60, "% of travel, rider aboard")]
DampingRatio: TypeAlias = Annotated[float, Range(0.05, 1, "of critical damping")]
Row: TypeAlias = tuple[str, str | None]
"""A measure, and an end; None for every end it has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndWish:
    """``[wish.front]``, ``[wish.rear]``: how an end is to sit and to be damped, rider aboard.

    Attributes
    ----------
    sag_percent : float or None
        Of its travel.
    damping_ratio : float or None
        Share of critical at sag, both ways' mean.
    """

    sag_percent: SagPercent | None = None
    damping_ratio: DampingRatio | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The ``[wish]`` table: rows that are to become less or more, rows that are to stay, and how ends are to sit."""

    less: tuple[Row, ...] = ()
    more: tuple[Row, ...] = ()
    keep: tuple[Row, ...] = ()
    front: EndWish = EndWish()
    rear: EndWish = EndWish()

    @property
    def asks(self) -> bool:
        """Whether a change is asked for; how an end is to sit asks for none by itself."""
        return bool(self.less or self.more)

    def at(self, end: End) -> EndWish:
        """Return what is wished of one end."""
        return self.front if end == "front" else self.rear
