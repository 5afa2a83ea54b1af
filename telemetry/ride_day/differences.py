"""What differs between two setups on paper, in the trade's words."""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from telemetry.model.comparison import SetupDifference
from telemetry.model.day import SAME_TRAVEL_MM, EndSetup, Setup
from telemetry.model.finding import ENDS, Place
from telemetry.model.setting import AdjusterPosition, Setting
from telemetry.model.setup_keys import IN_GEOMETRY, LEVERAGE_KEYS, name_of
from telemetry.words import NOT_STATED, figure, with_end

from .settings import read_setting

__all__ = ["name_of", "setup_differences"]

SAME_SHARE = 1e-9
"""Two spellings of one value differ by rounding alone."""

_SETS_TRAVEL = (*LEVERAGE_KEYS, "stroke_mm", "travel_mm", "measured_travel_mm")
Settings = Mapping[str, Setting]


def setup_differences(
    baseline: Setup, candidate: Setup, geometry: Mapping[str, float] = MappingProxyType({})
) -> tuple[SetupDifference, ...]:
    """Return the keys whose resolved values differ, each in words.

    Parameters
    ----------
    baseline, candidate : Setup
    geometry : mapping of key to mm
        What ``[bike.geometry]`` states: a setup that states none of its own stands as the bike was measured.

    Returns
    -------
    tuple of SetupDifference
        Front first, then rear, then what concerns the whole bike. Where full travel follows from a key, that key's
        words say so. Labels and where a setup was taken from aren't differences.
    """
    baseline, candidate = (
        _as_measured(own, beside, geometry) for own, beside in ((baseline, candidate), (candidate, baseline))
    )
    found: list[SetupDifference] = []
    for end in ENDS:
        found += _at_end(baseline.at(end), candidate.at(end), candidate.name)
    for key in _either(baseline.bike, candidate.bike):
        found += _difference(key, baseline.bike.get(key), candidate.bike.get(key), candidate.name, "both")
    for key in _either(baseline.other, candidate.other):
        old, new = baseline.other.get(key), candidate.other.get(key)
        if old != new:
            words = f"{key}: {old or NOT_STATED} → {new or NOT_STATED}"
            found.append(_row(key, old, new, words, candidate.name, "both"))
    return tuple(found)


def _as_measured(own: Setup, beside: Setup, geometry: Mapping[str, float]) -> Setup:
    """Return a setup with what the bike's measured geometry says of keys that the setup beside it states alone."""
    found: dict[Place, dict[str, Setting]] = {"both": {}, "front": {}, "rear": {}}
    for name, (place, key) in IN_GEOMETRY.items():
        if name in geometry and key in _settings(beside, place) and key not in _settings(own, place):
            found[place][key] = read_setting(key, geometry[name])
    if not any(found.values()):
        return own
    front, rear = (
        replace(own.at(end), settings=MappingProxyType({**own.at(end).settings, **found[end]})) for end in ENDS
    )
    return replace(own, front=front, rear=rear, bike=MappingProxyType({**own.bike, **found["both"]}))


def _settings(setup: Setup, place: Place) -> Settings:
    return setup.bike if place == "both" else setup.at(place).settings


def _either(before: Mapping[str, object], after: Mapping[str, object]) -> list[str]:
    return [*before, *(key for key in after if key not in before)]


def _row(key: str, old: object, new: object, words: str, candidate: str, end: Place) -> SetupDifference:
    return SetupDifference(candidate=candidate, end=end, key=key, baseline_value=old, candidate_value=new, words=words)


def _at_end(before: EndSetup, after: EndSetup, candidate: str) -> list[SetupDifference]:
    left_out = _follows(before.settings, after.settings)
    found = _other_kind_of_leverage(before, after, candidate)
    if found:
        left_out |= set(LEVERAGE_KEYS)
    for key in _either(before.settings, after.settings):
        if key not in left_out:
            found += _difference(key, before.settings.get(key), after.settings.get(key), candidate, before.end)
    return _with_full_travel(found, before, after)


def _follows(before: Settings, after: Settings) -> set[str]:
    """Return keys that one side lacks only because another key put them out of force."""
    one_sided = set(before) ^ set(after)
    dropped: set[str] = set()
    if not _same_setting(before.get("travel_mm"), after.get("travel_mm")):
        dropped |= {"measured_travel_mm", "bumper_touch_mm"}
    if any(not _same_setting(before.get(key), after.get(key)) for key in (*LEVERAGE_KEYS, "stroke_mm")):
        dropped.add("travel_mm")
    return dropped & one_sided


def _other_kind_of_leverage(before: EndSetup, after: EndSetup, candidate: str) -> list[SetupDifference]:
    """Return one difference where, say, a ratio stands in place of a curve."""
    old = next((key for key in LEVERAGE_KEYS if key in before.settings), None)
    new = next((key for key in LEVERAGE_KEYS if key in after.settings), None)
    if old is None or new is None or old == new:
        return []
    values = [f"{name_of(key)} {end.settings[key].entered}" for key, end in ((old, before), (new, after))]
    words = f"leverage, {before.end}: {values[0]} → {values[1]}"
    return [replace(_row(new, values[0], values[1], words, candidate, before.end), instead_of=old)]


def _with_full_travel(found: list[SetupDifference], before: EndSetup, after: EndSetup) -> list[SetupDifference]:
    """Add the full travels to the words of the key they follow from, unless it states them itself."""
    old, new = before.full_travel_mm, after.full_travel_mm
    if old is None or new is None or abs(old - new) < SAME_TRAVEL_MM:
        return found
    cause = next((key for key in _SETS_TRAVEL if any(row.key == key for row in found)), None)
    travels = f" (full travel {figure(old, 1)} → {figure(new, 1)} mm)"
    return [
        replace(row, words=row.words + travels, full_travels_mm=(old, new))
        if row.key == cause and (row.baseline_value, row.candidate_value) != (old, new)
        else row
        for row in found
    ]


def _same_setting(old: Setting | None, new: Setting | None) -> bool:
    if old is None or new is None:
        return old is new
    if isinstance(old.value, float) and isinstance(new.value, float):
        return math.isclose(old.value, new.value, rel_tol=SAME_SHARE)
    return old.value == new.value


def _difference(
    key: str, old: Setting | None, new: Setting | None, candidate: str, end: Place
) -> list[SetupDifference]:
    if _same_setting(old, new):
        return []
    moved = _moved_points(old, new) if key == "linkage" and old and new else None
    change = _change(key, old, new)
    if moved is not None:
        change = f"moved {', '.join(moved)}" if moved else "put together otherwise"
    values = _plain(old, new)
    row = _row(key, values[0], values[1], f"{with_end(name_of(key), end)}: {change}", candidate, end)
    return [replace(row, moved=moved)]


def _change(key: str, old: Setting | None, new: Setting | None) -> str:
    before, after = (setting.entered if setting else NOT_STATED for setting in (old, new))
    if old and new and all(isinstance(item.value, float | AdjusterPosition) for item in (old, new)):
        number, _, unit = before.partition(" ")
        if unit == after.partition(" ")[2]:
            before = number  # the unit is said once
    each = " each" if "_each_" in key else ""
    return f"{before} → {after}{each}" if new else f"{before}{each} → {after}"


def _moved_points(old: Setting, new: Setting) -> tuple[str, ...]:
    before, after = json.loads(str(old.value)), json.loads(str(new.value))
    points = [{**table["fixed"], **table["moving"]} for table in (before, after)]
    return tuple(name for name in _either(*points) if points[0].get(name) != points[1].get(name))


def _plain(old: Setting | None, new: Setting | None) -> tuple[object, object]:
    """Return both values as JSON can hold them; positions as numbers where both count alike."""
    values = [setting.value for setting in (old, new) if setting]
    counted = {(value.unit, value.of) for value in values if isinstance(value, AdjusterPosition)}
    return _as_json(old, alike=len(counted) < 2), _as_json(new, alike=len(counted) < 2)


def _as_json(setting: Setting | None, *, alike: bool) -> object:
    if setting is None:
        return None
    if isinstance(setting.value, AdjusterPosition):
        return setting.value.from_closed if alike else setting.entered
    return setting.value.isoformat() if isinstance(setting.value, dt.date) else setting.value
