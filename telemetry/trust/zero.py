"""Whether zero is where the end tops out. A sensor that slipped moves every depth that is measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.day import RideDay, RunEntry, Setup
from telemetry.model.finding import ENDS, End, Finding, Severity
from telemetry.model.motion import RidingTime
from telemetry.model.ride import EndSignal, Ride

from .blocks import block_range, flat_stretches

FLAT_S = 0.05
FEWEST_LEVELS = 5
PLAUSIBLE_SHARE = 0.10
SMALLEST_MM = 0.5
SHARE_OF_CHANGE = 0.3
ERROR_SHARE = 0.02
SAME_LEVEL_MM = 0.3
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


def lowest_flat_levels(travel_mm: Floats, within_mm: float, block: int) -> Floats:
    """Return the levels of flat stretches that lie at the lowest of them.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Filtered travel.
    within_mm : float
        Range a flat stretch may span.
    block : int
        Samples in half the shortest flat stretch.

    Returns
    -------
    float array
        Empty where the signal never lies flat.
    """
    lowest, highest = block_range(travel_mm, block)
    levels = np.array(
        [(lowest[a:b].min() + highest[a:b].max()) / 2 for a, b in flat_stretches(lowest, highest, within_mm, 2)]
    )
    return levels if levels.size == 0 else levels[levels <= levels.min() + max(SAME_LEVEL_MM, within_mm)]


def zero_shift(ride: Ride, signal: EndSignal, time: RidingTime, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Find a top-out level that isn't zero: flat within 2 noise sd for 50 ms or more, at least 5 times.

    A bike that never tops out gives no such level and no finding. Levels further than 10 % of travel from zero
    are ride height or rests, not top-outs.
    """
    block = max(1, round(FLAT_S / 2 * ride.rate_hz))
    within = 4 * signal.noise.travel_mm  # from -2 to +2 standard deviations
    levels = lowest_flat_levels(signal.travel_mm[time.riding], max(within, 1e-3), block)
    if levels.size < FEWEST_LEVELS:
        return ()
    level = float(np.median(levels))
    limit = max(SMALLEST_MM, SHARE_OF_CHANGE * facts.smallest_change_mm)
    if not limit < abs(level) <= PLAUSIBLE_SHARE * signal.full_travel_mm:
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
