"""Which earlier days lend a day their spread, and which don't."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Literal, TypeAlias

LentBy: TypeAlias = Literal["", "spread_from", "library"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierDay:
    """A day that lends: a kept one by its id and version, one that is named by its folder.

    `without` are its runs whose log can't be read; `perhaps_late` marks one that was kept on the date of the day it
    lends to or later, where it can't be judged what was kept before riding.
    """

    day: str
    date: str
    version: int | None = None
    without: tuple[str, ...] = ()
    perhaps_late: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLeftOut:
    """A day that doesn't lend, and why.

    A named one that can't be used has no date, and goes by its place in ``spread_from``: a folder's name may be
    somebody's.
    """

    day: str
    date: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierDays:
    """What stands behind a spread that is borrowed; all empty where nothing was named or kept.

    Attributes
    ----------
    source : {"", "spread_from", "library"}
    days : tuple of EarlierDay
        By date.
    left_out : tuple of DayLeftOut
    degrees_of_freedom : float
        That they lend to half of the measures or more; 0 where they tell of none.
    why_none : str
        Why none lends, where there are days that might.
    library_is_younger : bool
        Whether the library was begun after the day's first run, so that nothing can have been kept before it.
    """

    source: LentBy = ""
    days: tuple[EarlierDay, ...] = ()
    left_out: tuple[DayLeftOut, ...] = ()
    degrees_of_freedom: float = 0.0
    why_none: str = ""
    library_is_younger: bool = False

    @property
    def perhaps_late(self) -> tuple[EarlierDay, ...]:
        """Those that may have been kept when this day's figures were known."""
        return tuple(day for day in self.days if day.perhaps_late)

    @property
    def versions(self) -> tuple[str, ...]:
        """The versions of kept days that lend."""
        return tuple(f"{day.day}.{day.version}" for day in self.days if day.version is not None)

    def to_dict(self) -> dict[str, object]:
        """Return them as they stand in JSON."""
        return {
            "source": self.source,
            "days": [
                {key: list(value) if key == "without" else value for key, value in asdict(day).items()}
                for day in self.days
            ],
            "degrees_of_freedom": self.degrees_of_freedom,
            "left_out": [asdict(day) for day in self.left_out],
            "why_none": self.why_none,
            "library_is_younger": self.library_is_younger,
        }
