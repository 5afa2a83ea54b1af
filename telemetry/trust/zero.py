"""Whether zero is where the end tops out. A sensor that slipped moves every depth that is measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.day import RideDay, RunEntry, Setup
from telemetry.model.finding import ENDS, End, Finding, Severity
from telemetry.model.motion import RidingTime
from telemetry.model.ride import EndSignal, Ride

from .blocks import quiet_stretches

FLAT_S = 0.05
FEWEST_LEVELS = 5
PLAUSIBLE_SHARE = 0.10
SMALLEST_MM = 0.5
SHARE_OF_CHANGE = 0.3
ERROR_SHARE = 0.02
SAME_LEVEL_MM = 0.3
BELOW_MM, BELOW_SHARE, BELOW_TIME = 1.0, 0.01, 0.001
"""A level is the lowest where all but a thousandth of riding lies no further below it: common sense, no source."""
NOTE_MM = 0.05

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


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroFacts:
    """Zero in force at one end: how far a lifted recording moved it, and the smallest change of sag, mm."""

    end: End
    source: str | None
    moved_mm: float
    smallest_change_mm: float


def zero_moved(name: str, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Note by how much a lifted recording moved the zero; it is taken out."""
    if facts.source is None or abs(facts.moved_mm) < NOTE_MM:
        return ()
    message = (
        f"{name}, {facts.end}: lifted recording {facts.source} puts zero {facts.moved_mm:+.1f} mm from the "
        "calibration's; taken out"
    )
    return (Finding(severity="note", code="zero_shift", message=message, end=facts.end),)


def flat_levels(ride: Ride, signal: EndSignal, time: RidingTime, within_mm: float) -> Floats:
    """Return the level of every stretch of riding in which filtered travel lies flat for 50 ms or more, mm.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime
    within_mm : float
        Range a flat stretch may span.
    """
    length = max(2, round(FLAT_S * ride.rate_hz))
    return np.array(
        [
            float(np.median(signal.travel_mm[first + start : first + stop]))
            for first, last in _ridden(ride, time)
            for start, stop in quiet_stretches(signal.travel_mm[first:last], length, within_mm)
        ]
    )


def _ridden(ride: Ride, time: RidingTime) -> list[tuple[int, int]]:
    """Return riding time without a break: a flat stretch doesn't reach across one."""
    found: list[tuple[int, int]] = []
    for first, last in ride.segments:
        riding = np.concatenate([[False], time.riding[first:last], [False]]).astype(np.int8)
        edges = np.flatnonzero(np.diff(riding)) + first
        found.extend(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))
    return found


def zero_shift(ride: Ride, signal: EndSignal, time: RidingTime, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Find a top-out level that isn't zero: flat within 2 noise sd for 50 ms or more, at least 5 times.

    Only the lowest level counts: travel hardly ever lies further below it than the low-pass and a top-out bumper
    give. A bike that never tops out has no such level and gets no finding. Levels further than 10 % of travel from
    zero are ride height or rests, not top-outs.
    """
    within = max(4 * signal.noise.travel_mm, 1e-3)  # from -2 to +2 standard deviations
    levels = flat_levels(ride, signal, time, within)
    if levels.size < FEWEST_LEVELS:
        return ()
    levels = levels[levels <= levels.min() + max(SAME_LEVEL_MM, within)]
    if levels.size < FEWEST_LEVELS:
        return ()
    level = float(np.median(levels))
    limit = max(SMALLEST_MM, SHARE_OF_CHANGE * facts.smallest_change_mm)
    if not limit < abs(level) <= PLAUSIBLE_SHARE * signal.full_travel_mm:
        return ()
    bottom = float(np.quantile(signal.travel_mm[time.riding], BELOW_TIME))
    if bottom < level - max(BELOW_MM, BELOW_SHARE * signal.full_travel_mm):
        return ()
    large = abs(level) > ERROR_SHARE * signal.full_travel_mm
    message = (
        f"{ride.name}, {signal.end}: tops out {levels.size} times at {level:+.1f} mm instead of 0 "
        f"(limit {limit:.1f} mm, error above {ERROR_SHARE * signal.full_travel_mm:.1f} mm): the sensor moved; "
        "record both wheels lifted for 5 s and ride again"
    )
    severity: Severity = "error" if large else "warning"
    return (Finding(severity=severity, code="zero_shift", message=message, end=signal.end),)


def _opened(before: Setup, now: Setup, end: End) -> bool:
    old, new = before.at(end), now.at(end)
    settings = {key for key in OPENED_KEYS if _value(old.settings, key) != _value(new.settings, key)}
    return bool(settings) or old.full_travel_mm != new.full_travel_mm or old.leverage != new.leverage


def _value(settings: object, key: str) -> object:
    setting = settings.get(key) if hasattr(settings, "get") else None
    return None if setting is None else setting.value


def zero_unchecked(day: RideDay, run: RunEntry) -> tuple[Finding, ...]:
    """Find ends whose parts were opened or changed before this run with no lifted recording since.

    Parameters
    ----------
    day : RideDay
    run : RunEntry
        One of its runs.

    Returns
    -------
    tuple of Finding
    """
    found: list[Finding] = []
    measured = {getattr(sensor, "end", None) for sensor in run.sensors.values() if sensor.kind == "displacement"}
    for end in ENDS:
        if end not in measured:
            continue
        changed = [
            later
            for earlier, later in zip(day.runs[: run.order - 1], day.runs[1 : run.order], strict=True)
            if _opened(day.setups[earlier.setup], day.setups[later.setup], end)
        ]
        if not changed:
            continue
        last = changed[-1]
        if any(item.kind == "lifted" and last.order <= item.before_order <= run.order for item in day.static):
            continue
        message = (
            f"{run.name}, {end}: parts were opened or changed before {last.name} and no lifted recording follows; "
            "lift both wheels for 5 s and record it, so that zero is known"
        )
        found.append(Finding(severity="warning", code="zero_unchecked", message=message, end=end))
    return tuple(found)
