"""Whether zero is where the end tops out. A sensor that slipped moves every depth that is measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End, Finding, Severity
from telemetry.model.motion import RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

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


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroFacts:
    """Zero in force at one end: how far a lifted recording moved it, and the smallest change of sag, mm.

    `moved_mm` is of what the sensor `measures`: travel, or the shock's stroke.
    """

    end: End
    measures: str
    source: str | None
    moved_mm: float
    smallest_change_mm: float


def zero_moved(name: str, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Note by how much a lifted recording moved the zero; it is taken out."""
    if facts.source is None or abs(facts.moved_mm) < NOTE_MM:
        return ()
    message = (
        f"{name}, {facts.end}: lifted recording {facts.source} puts zero {figure(facts.moved_mm, 2, signed=True)} mm "
        f"of {facts.measures} from the calibration's (told from {NOTE_MM} mm on); taken out, nothing to do"
    )
    return (Finding(severity="note", code="zero_shift", message=message, end=facts.end),)


def flat_levels(ride: Ride, signal: EndSignal, time: RidingTime, within_mm: float) -> tuple[Floats, Floats]:
    """Return when each stretch of riding starts in which filtered travel lies flat for 50 ms or more, s, and its level.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime
    within_mm : float
        Range a flat stretch may span.

    Returns
    -------
    float array, shape (k,) and float array, shape (k,)
        Seconds after the log's first row, and mm.
    """
    length = max(2, round(FLAT_S * ride.rate_hz))
    flat = [
        (first + start, first + stop)
        for first, last in _ridden(ride, time)
        for start, stop in quiet_stretches(signal.travel_mm[first:last], length, within_mm)
    ]
    levels = [float(np.median(signal.travel_mm[start:stop])) for start, stop in flat]
    return ride.time_s[[start for start, _ in flat]] if flat else np.empty(0), np.array(levels)


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
    seconds, levels = flat_levels(ride, signal, time, within)
    lowest = levels <= levels.min(initial=np.inf) + max(SAME_LEVEL_MM, within)
    seconds, levels = seconds[lowest], levels[lowest]
    if levels.size < FEWEST_LEVELS:
        return ()
    level = float(np.median(levels))
    limit = max(SMALLEST_MM, SHARE_OF_CHANGE * facts.smallest_change_mm)
    if not limit < abs(level) <= PLAUSIBLE_SHARE * signal.full_travel_mm:
        return ()
    bottom = float(np.quantile(signal.travel_mm[time.riding], BELOW_TIME))
    if bottom < level - max(BELOW_MM, BELOW_SHARE * signal.full_travel_mm):
        return ()
    error_mm = ERROR_SHARE * signal.full_travel_mm
    message = (
        f"{ride.name}, {signal.end}: tops out {levels.size} times, first at {seconds[0]:.2f} s, at "
        f"{figure(level, 2, signed=True)} mm instead of 0 (limit {limit:.2f} mm, error above "
        f"{error_mm:.1f} mm): the sensor moved; record both wheels lifted for 5 s and ride again"
    )
    severity: Severity = "error" if abs(level) > error_mm else "warning"
    return (Finding(severity=severity, code="zero_shift", message=message, end=signal.end, second=float(seconds[0])),)
