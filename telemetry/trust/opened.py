"""Whether parts were opened or changed since zero was last recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from telemetry.model.day import DisplacementSensor, EndSetup, RideDay, RunEntry, Sensor
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.key_words import name_of

OPENED_KEYS = frozenset(
    {
        "travel_mm",
        "measured_travel_mm",
        "stroke_mm",
        "leverage",
        "ratio",
        "linkage",
        "air_volume_ml",
        "volume_spacers",
        "lower_leg_volume_each_ml",
        "lower_leg_volume_spring_side_ml",
        "lower_leg_volume_damper_side_ml",
        "spring_rate_n_mm",
        "lower_leg_oil_each_ml",
        "lower_leg_oil_spring_side_ml",
        "lower_leg_oil_damper_side_ml",
        "lower_leg_crossover",
        "lower_leg_closed_at_mm",
        "damper_oil_cst_40c",
        "damper_oil_viscosity_index",
        "oil_level_mm",
        "valving",
        "axle_to_crown_mm",
        "offset_mm",
        "parts_opened_on",
    }
)
"""Settings that aren't changed without opening or swapping a part at that end."""


def _sensor(sensors: Mapping[str, Sensor], end: End) -> DisplacementSensor | None:
    for sensor in sensors.values():
        if isinstance(sensor, DisplacementSensor) and sensor.end == end:
            return sensor
    return None


def _value(setup: EndSetup, key: str) -> object:
    setting = setup.settings.get(key)
    return None if setting is None else setting.value


def _changed_keys(old: EndSetup, new: EndSetup) -> list[str]:
    """Return what differs at an end that can't be changed without opening it."""
    changed = sorted(name_of(key) for key in OPENED_KEYS if _value(old, key) != _value(new, key))
    if not changed and (old.full_travel_mm != new.full_travel_mm or old.leverage != new.leverage):
        return [name_of("leverage")]
    return changed


def _opened_today(day: RideDay, run: RunEntry, end: End) -> list[str]:
    """Return ``parts_opened_on`` where the day's first run says that day or a later one."""
    opened = _value(day.setups[run.setup].at(end), "parts_opened_on")
    stated = isinstance(opened, type(day.date)) and opened >= (run.date or day.date)
    return [name_of("parts_opened_on")] if stated else []


def _last_change(day: RideDay, run: RunEntry, end: End) -> tuple[RunEntry, list[str]] | None:
    """Return the last run, up to this one, before which an end was opened or changed, and what says so."""
    first = day.runs[0]
    found = [(first, _opened_today(day, first, end))]
    for earlier, later in pairwise(day.runs[: run.order]):
        changed = _changed_keys(day.setups[earlier.setup].at(end), day.setups[later.setup].at(end))
        if _sensor(day.setups[earlier.setup].sensors, end) != _sensor(day.setups[later.setup].sensors, end):
            changed.append("the sensor")
        found.append((later, changed))
    changes = [item for item in found if item[1]]
    return changes[-1] if changes else None


def zero_unchecked(day: RideDay, run: RunEntry, ends: Sequence[End] = ENDS) -> tuple[Finding, ...]:
    """Find ends that were opened or changed before this run with no lifted recording since.

    Parameters
    ----------
    day : RideDay
    run : RunEntry
        One of its runs.
    ends : sequence of End
        Which ends to look at.

    Returns
    -------
    tuple of Finding

    Notes
    -----
    A lifted recording counts where its zero holds for the run's sensor: a setup that replaces a sensor's keys needs
    its own.
    """
    found: list[Finding] = []
    for end in ends:
        sensor = _sensor(run.sensors, end)
        last = _last_change(day, run, end) if sensor is not None else None
        if sensor is None or last is None:
            continue
        since, changed = last
        fitting = (
            item.kind == "lifted"
            and since.order <= item.before_order <= run.order
            and item.made_with(day.setups[run.setup].fitting(sensor))
            for item in day.static
        )
        if any(fitting):
            continue
        message = (
            f"{run.name}, {end}: parts were opened or changed before {since.name} ({', '.join(changed)}) and no lifted "
            "recording follows (1 is needed); lift both wheels for 5 s and record it, so that zero is known"
        )
        found.append(Finding(severity="warning", code="zero_unchecked", message=message, end=end))
    return tuple(found)
