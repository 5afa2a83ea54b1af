"""Whether parts were opened or changed since zero was last recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from telemetry.model.day import EndSetup, RideDay, RunEntry
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.sensor import DisplacementSensor, Sensor
from telemetry.model.setup_keys import OF_ENDS, changed_words, name_of

OPENED_KEYS = tuple(spec.key for spec in OF_ENDS if spec.moves_zero)


def _sensor(sensors: Mapping[str, Sensor], end: End) -> DisplacementSensor | None:
    for sensor in sensors.values():
        if isinstance(sensor, DisplacementSensor) and sensor.end == end:
            return sensor
    return None


def _changed_keys(old: EndSetup, new: EndSetup) -> list[str]:
    """Return what differs at an end that can't be changed without opening it."""
    found = changed_words(old, new, OPENED_KEYS)
    if not found and (old.full_travel_mm != new.full_travel_mm or old.leverage != new.leverage):
        return [name_of("leverage")]
    return found


def _opened_today(day: RideDay, run: RunEntry, end: End) -> list[str]:
    """Return ``parts_opened_on`` where the day's first run says that day or a later one."""
    opened = day.setups[run.setup].at(end).value("parts_opened_on")
    stated = isinstance(opened, type(day.date)) and opened >= (run.date or day.date)
    return [name_of("parts_opened_on")] if stated else []


def _last_change(day: RideDay, run: RunEntry, end: End) -> tuple[RunEntry, list[str]] | None:
    """Return the last run, up to this one, before which an end was opened or changed, and what says so."""
    first = day.runs[0]
    found = [(first, _opened_today(day, first, end))]
    for earlier, later in pairwise(day.runs[: run.order]):
        words = _changed_keys(day.setups[earlier.setup].at(end), day.setups[later.setup].at(end))
        if _sensor(day.setups[earlier.setup].sensors, end) != _sensor(day.setups[later.setup].sensors, end):
            words.append("the sensor")
        found.append((later, words))
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
        since, words = last
        fitting = (
            item.kind == "lifted"
            and since.order <= item.before_order <= run.order
            and item.made_with(day.setups[run.setup].fitting(sensor))
            for item in day.static
        )
        if any(fitting):
            continue
        message = (
            f"{run.name}, {end}: parts were opened or changed before {since.name} ({', '.join(words)}) and no lifted "
            "recording follows (1 is needed); lift both wheels for 5 s and record it, so that zero is known"
        )
        found.append(Finding(code="zero_unchecked", message=message, end=end))
    return tuple(found)
