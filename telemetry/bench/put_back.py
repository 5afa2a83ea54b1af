"""One setup with figures of another put back: which of its differences do nothing, by what else is stated."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from telemetry.model.comparison import SetupDifference
from telemetry.model.day import Setup
from telemetry.model.finding import Place
from telemetry.model.setting import Setting
from telemetry.model.setup_keys import LEVERAGE_KEYS, KeyPart, part_of

RESOLVED = frozenset({*LEVERAGE_KEYS, "travel_mm", "measured_travel_mm", "bumper_touch_mm", "stroke_mm"})
"""Keys that full travel is worked out of as a day is read: these can't be put back by themselves."""


def resting(
    base: Setup, other: Setup, differences: Iterable[SetupDifference], is_same: Callable[[Setup], bool]
) -> frozenset[tuple[Place, str]]:
    """Return which differences change nothing: with the first setup's figure in its place the other is the same.

    Figures of one part that do so each by itself have to do so together.

    Parameters
    ----------
    base, other : Setup
    differences : iterable of SetupDifference
        Of these two; those whose key is in `RESOLVED` are passed over.
    is_same : callable
        Tells whether a setup in place of `other` comes to the same.

    Returns
    -------
    frozenset of (end, key)
    """

    def rests(*items: SetupDifference) -> bool:
        back = other
        for item in items:
            back = _put_back(back, base, item)
        return is_same(back)

    groups: dict[tuple[Place, KeyPart | None], list[SetupDifference]] = {}
    for item in differences:
        if item.key not in RESOLVED and rests(item):
            groups.setdefault((item.end, part_of(item.key)), []).append(item)
    together = (items for items in groups.values() if len(items) == 1 or rests(*items))
    return frozenset((item.end, item.key) for items in together for item in items)


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
