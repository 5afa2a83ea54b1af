"""Which figures of a setup change nothing of its bike on paper, by what else is stated or isn't."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from types import MappingProxyType

import numpy as np

from telemetry.bench.put_back import resting
from telemetry.model.comparison import SetupDifference
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import End, Place

from .known import PaperSetup, paper_setup
from .shown import ShownEnd

SETTLED_SHARE = 0.3
"""Of full travel, where the gas of bikes that are compared has settled: about sag."""


def idle(
    day: RideDay,
    setups: tuple[Setup, Setup],
    ends: tuple[End, ...],
    differences: Iterable[SetupDifference],
    shown: Mapping[End, ShownEnd] = MappingProxyType({}),
) -> frozenset[tuple[Place, str]]:
    """Return which differences leave a candidate's bike on paper as it is: with the baseline's figure it is the same.

    Figures of one part that do so each by itself have to do so together.

    Parameters
    ----------
    day : RideDay
    setups : (baseline, candidate)
    ends : tuple of End
        That are ridden, maybe none; none of them lacks anything.
    differences : iterable of SetupDifference
        Of these two.
    shown : mapping of end to ShownEnd
        What force maps show of the baseline, where its ends ride by them.
    """
    base, other = setups
    own = _bike(day, (other, base), ends, shown) if ends else None
    if own is None:
        return frozenset()

    def is_same(back: Setup) -> bool:
        without = _bike(day, (back, base), ends, shown)
        return without is not None and _same(own, without)

    return resting(base, other, [item for item in differences if item.end in ("both", *ends)], is_same)


def _bike(
    day: RideDay, setups: tuple[Setup, Setup], ends: tuple[End, ...], shown: Mapping[End, ShownEnd]
) -> tuple[object, object] | None:
    """Return a setup as it is ridden on paper; None where its figures contradict each other, which riding tells."""
    try:
        paper: PaperSetup = paper_setup(day, setups, ends, {}, shown=shown)
        settled = {end: SETTLED_SHARE * own.springs.full_mm / 1e3 for end, own in paper.ends.items()}
        return paper.bike(settled), paper.body.sprung_kg
    except ValueError:
        return None


def _same(first: object, second: object) -> bool:
    """Tell whether two figures, arrays, or frozen records of them are alike."""
    if is_dataclass(first):
        return all(_same(getattr(first, one.name), getattr(second, one.name)) for one in fields(first))
    if isinstance(first, tuple) and isinstance(second, tuple):
        return len(first) == len(second) and all(map(_same, first, second))
    if isinstance(first, np.ndarray):
        return bool(np.array_equal(first, np.asarray(second)))
    return bool(first == second)
