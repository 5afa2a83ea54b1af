"""Which figures of a setup change nothing of its bike on paper, by what else is stated or isn't."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass, replace
from types import MappingProxyType

import numpy as np

from telemetry.model.comparison import SetupDifference
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import End, Place
from telemetry.model.setting import Setting
from telemetry.model.setup_keys import LEVERAGE_KEYS, KeyPart, part_of

from .known import PaperSetup, paper_setup
from .shown import ShownEnd

SETTLED_SHARE = 0.3
"""Of full travel, where the gas of bikes that are compared has settled: about sag."""
RESOLVED = frozenset({*LEVERAGE_KEYS, "travel_mm", "measured_travel_mm", "bumper_touch_mm", "stroke_mm"})
"""Keys that full travel is worked out of: what differs there is always ridden."""


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

    def is_same(*items: SetupDifference) -> bool:
        back = other
        for item in items:
            back = _put_back(back, base, item)
        without = _bike(day, (back, base), ends, shown)
        return without is not None and _same(own, without)

    alone = [item for item in differences if item.key not in RESOLVED and item.end in ("both", *ends) and is_same(item)]
    groups: dict[tuple[Place, KeyPart | None], list[SetupDifference]] = {}
    for item in alone:
        groups.setdefault((item.end, part_of(item.key)), []).append(item)
    resting = (items for items in groups.values() if len(items) == 1 or is_same(*items))
    return frozenset((item.end, item.key) for items in resting for item in items)


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


def _put_back(other: Setup, base: Setup, item: SetupDifference) -> Setup:
    """Return the candidate with the baseline's figure in place of its own."""
    if item.end == "both":
        return replace(other, bike=_with(other.bike, base.bike, item))
    end = replace(other.at(item.end), settings=_with(other.at(item.end).settings, base.at(item.end).settings, item))
    return replace(other, front=end) if item.end == "front" else replace(other, rear=end)


def _with(own: Mapping[str, Setting], was: Mapping[str, Setting], item: SetupDifference) -> Mapping[str, Setting]:
    kept = {key: value for key, value in own.items() if key != item.key}
    back = {key: was[key] for key in (item.key, item.instead_of) if key in was}
    return MappingProxyType(kept | back)


def _same(first: object, second: object) -> bool:
    """Tell whether two figures, arrays, or frozen records of them are alike."""
    if is_dataclass(first):
        return all(_same(getattr(first, one.name), getattr(second, one.name)) for one in fields(first))
    if isinstance(first, tuple) and isinstance(second, tuple):
        return len(first) == len(second) and all(map(_same, first, second))
    if isinstance(first, np.ndarray):
        return bool(np.array_equal(first, np.asarray(second)))
    return bool(first == second)
