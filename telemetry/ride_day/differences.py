"""What differs between two setups on paper, in the trade's words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from telemetry.model.comparison import SetupDifference
from telemetry.model.day import AdjusterPosition, EndSetup, Setting, SettingValue, Setup
from telemetry.model.finding import ENDS, Place
from telemetry.words import figure

NAMES = {
    "air_pressure_bar": "air pressure",
    "negative_air_pressure_bar": "negative air pressure",
    "air_volume_ml": "air volume",
    "lower_leg_oil_each_ml": "lower-leg oil",
    "lower_leg_oil_spring_side_ml": "lower-leg oil, spring side",
    "lower_leg_oil_damper_side_ml": "lower-leg oil, damper side",
    "lower_leg_volume_each_ml": "lower-leg volume",
    "lower_leg_bled_altitude_m": "altitude the lower legs were bled at",
    "damper_oil_cst_40c": "damper oil",
    "spring_rate_n_mm": "spring rate",
    "knee_compression_mm_s": "compression knee",
    "knee_rebound_mm_s": "rebound knee",
    "ratio": "leverage ratio",
    "leverage": "leverage curve",
    "parts_opened_on": "parts opened on",
    "travel_mm": "travel",
    "measured_travel_mm": "measured travel",
}
NO_WORDS = "not stated"


def name_of(key: str) -> str:
    """Return a key in the trade's words.

    Examples
    --------
    >>> name_of("lower_leg_oil_each_ml"), name_of("low_speed_compression"), name_of("tyre_pressure_bar")
    ('lower-leg oil', 'low-speed compression', 'tyre pressure')
    """
    if key in NAMES:
        return NAMES[key]
    for suffix in ("_mm_s", "_n_mm", "_bar", "_mm", "_ml", "_kg", "_deg", "_m", "_teeth"):
        if key.endswith(suffix):
            key = key.removesuffix(suffix)
            break
    words = key.replace("_", " ")
    return words.replace("low speed", "low-speed").replace("high speed", "high-speed").replace("lower leg", "lower-leg")


def plain(value: SettingValue) -> object:
    """Return a setting's value as JSON can hold it."""
    if isinstance(value, AdjusterPosition):
        return {f"{value.unit}_from_closed": value.from_closed, "of": value.of}
    return value.isoformat() if isinstance(value, dt.date) else value


def _both(before: Setting | None, after: Setting | None, key: str) -> str:
    old = before.entered if before else NO_WORDS
    new = after.entered if after else NO_WORDS
    if before and after and isinstance(before.value, float) and isinstance(after.value, float):
        old_number, _, old_unit = old.partition(" ")
        _, _, new_unit = new.partition(" ")
        if old_unit == new_unit:
            old = old_number
    each = " each" if "_each_" in key else ""
    return f"{old} → {new}{each}"


def _settings(
    before: Mapping[str, Setting], after: Mapping[str, Setting], candidate: str, end: Place
) -> list[SetupDifference]:
    found = []
    for key in [*before, *(key for key in after if key not in before)]:
        old, new = before.get(key), after.get(key)
        if old is not None and new is not None and old.value == new.value:
            continue
        where = "" if end == "both" else f", {end}"
        found.append(
            SetupDifference(
                candidate=candidate,
                end=end,
                key=key,
                baseline_value=plain(old.value) if old else None,
                candidate_value=plain(new.value) if new else None,
                words=f"{name_of(key)}{where}: {_both(old, new, key)}",
            )
        )
    return found


def _full_travel(before: EndSetup, after: EndSetup, candidate: str, listed: set[str]) -> list[SetupDifference]:
    old, new = before.full_travel_mm, after.full_travel_mm
    if old is None or new is None or abs(old - new) < 0.05 or listed & {"travel_mm", "measured_travel_mm"}:
        return []
    words = f"full travel, {before.end}: {figure(old, 1)} → {figure(new, 1)} mm"
    return [
        SetupDifference(
            candidate=candidate,
            end=before.end,
            key="full_travel_mm",
            baseline_value=old,
            candidate_value=new,
            words=words,
        )
    ]


def setup_differences(baseline: Setup, candidate: Setup) -> tuple[SetupDifference, ...]:
    """Return the keys whose resolved values differ, each in words.

    Parameters
    ----------
    baseline, candidate : Setup

    Returns
    -------
    tuple of SetupDifference
        Front first, then rear, then what concerns the whole bike; a full travel that follows from another leverage
        stands as a difference of its own. Labels aren't differences.
    """
    found: list[SetupDifference] = []
    for end in ENDS:
        before, after = baseline.at(end), candidate.at(end)
        settings = _settings(before.settings, after.settings, candidate.name, end)
        found += settings
        found += _full_travel(before, after, candidate.name, {item.key for item in settings})
    found += _settings(baseline.bike, candidate.bike, candidate.name, "both")
    for key in [*baseline.other, *(key for key in candidate.other if key not in baseline.other)]:
        old, new = baseline.other.get(key), candidate.other.get(key)
        if old != new:
            words = f"{key}: {old or NO_WORDS} → {new or NO_WORDS}"
            found.append(
                SetupDifference(
                    candidate=candidate.name, end="both", key=key, baseline_value=old, candidate_value=new, words=words
                )
            )
    return tuple(found)
