"""What earlier days say of how far runs of one setup scatter: days that are named, else kept days of the bike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from telemetry.model.catalogue import FAMILY_ROWS
from telemetry.model.day import RideDay
from telemetry.model.earlier import EarlierDays
from telemetry.model.measure import MeasureAt
from telemetry.planning import Borrowed, DaySpread, borrowed

from .kept_lenders import kept_lenders
from .lenders import Lenders
from .named_lenders import named_lenders
from .studied import Study

_ROWS: tuple[MeasureAt, ...] = tuple((spec.name, end) for spec, end in FAMILY_ROWS if spec.scale != "count")


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What earlier days lend.

    Attributes
    ----------
    borrowed : mapping of (measure, end) to Borrowed
        Rows that three days or more tell of.
    told : EarlierDays
        Which days these are, and which were left out.
    """

    borrowed: Mapping[MeasureAt, Borrowed] = field(default_factory=lambda: MappingProxyType({}))
    told: EarlierDays = field(default_factory=EarlierDays)


NONE = Earlier()


def earlier_days(day: RideDay, done: Study | None = None) -> Earlier:
    """Return what earlier days lend to a day: those of ``[comparison] spread_from``, else this bike's kept days.

    Parameters
    ----------
    day : RideDay
    done : Study, optional
        The same day studied: it tells when riding began and which low-pass it came to. Without it, its date does.

    Raises
    ------
    CallError
        Where so many of the days that are named can't be used that fewer than three are left, naming the key; or the
        library that was asked for can't be looked into.
    """
    stated = day.comparison.spread_from
    if stated is None:
        return _of(kept_lenders(day, done))
    return _of(named_lenders(day, stated)) if stated else NONE


def _of(found: Lenders) -> Earlier:
    lent = dict(_lent(found.spreads))
    worth = float(np.median([item.nu for item in lent.values()])) if lent else 0.0
    told = EarlierDays(
        source=found.source,
        days=found.days,
        left_out=found.left_out,
        degrees_of_freedom=worth,
        why_none=found.why_none,
        library_is_younger=found.library_is_younger,
    )
    return Earlier(borrowed=MappingProxyType(lent), told=told)


def _lent(days: Sequence[Mapping[MeasureAt, DaySpread]]) -> Iterable[tuple[MeasureAt, Borrowed]]:
    rows = [[found[row] for found in days if row in found] for row in _ROWS]
    return ((row, item) for row, item in zip(_ROWS, borrowed(rows), strict=True) if item is not None)
