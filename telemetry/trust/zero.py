"""Whether zero is where the end tops out. A sensor that slipped moves every depth that is measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End, Finding
from telemetry.model.finding_codes import Severity
from telemetry.model.motion import RidingTime, Stretch
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.stretches import stretches
from telemetry.words import figure

from .blocks import quiet_stretches

Flat: TypeAlias = Sequence[Stretch]

FLAT_S = 0.05
FEWEST_LEVELS = 5
PLAUSIBLE_SHARE = 0.10
SMALLEST_MM = 0.5
SHARE_OF_CHANGE = 0.3
ERROR_SHARE = 0.02
DRAWN_OUT_SHARE = 0.005
"""A hanging wheel draws an end out further than it tops out while riding: by half a per cent of travel, own choice."""
SAME_LEVEL_MM = 0.3
BELOW_MM, BELOW_SHARE, BELOW_TIME = 1.0, 0.01, 0.001
"""A level is the lowest where all but a thousandth of riding lies no further below it: common sense, no source."""
NOTE_MM = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroFacts:
    """Zero in force at one end: how far a lifted recording moved it, and the smallest change of sag, mm.

    `moved_mm`, and `next_moved_mm` of the next lifted recording, are of what the sensor `measures`: travel, or the
    shock's stroke, a mm of which is `travel_per_mm` at the wheel, more or less.
    """

    end: End
    measures: str
    source: str | None
    moved_mm: float
    smallest_change_mm: float
    next_source: str | None = None
    next_moved_mm: float = 0.0
    travel_per_mm: float = 1.0

    @property
    def limit_mm(self) -> float:
        """How far from zero a level has to lie to be told, mm of travel."""
        return max(SMALLEST_MM, SHARE_OF_CHANGE * self.smallest_change_mm)


def zero_moved(name: str, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Note by how much a lifted recording moved the zero; it is taken out."""
    if facts.source is None or abs(facts.moved_mm) < NOTE_MM:
        return ()
    message = (
        f"{name}, {facts.end}: lifted recording {facts.source} puts zero {figure(facts.moved_mm, 2, signed=True)} mm "
        f"of {facts.measures} from the calibration's (told from {NOTE_MM} mm on); taken out, nothing to do"
    )
    return (Finding(severity="note", code="zero_shift", message=message, end=facts.end),)


def zero_moves_after(name: str, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Note that the next lifted recording puts zero elsewhere by more than a top-out may lie off.

    A sensor remounted in between explains it, and so may a fork that was opened; a sensor that slipped does too.
    """
    by_mm = (facts.next_moved_mm - facts.moved_mm) * facts.travel_per_mm
    limit = facts.limit_mm
    if facts.source is None or facts.next_source is None or abs(by_mm) <= limit:
        return ()
    message = (
        f"{name}, {facts.end}: after this run, lifted recording {facts.next_source} puts zero "
        f"{figure(by_mm, 1, signed=True)} mm of travel from where {facts.source} did (told above {limit:.2f} mm); "
        "where nobody remounted the sensor in between it slipped, and this run's depths may be off by as much: fix it "
        "and ride again"
    )
    return (Finding(code="zero_moves", message=message, end=facts.end),)


def flat_within_mm(signal: EndSignal) -> float:
    """Return the range a flat stretch may span: from -2 to +2 standard deviations of its noise."""
    return max(4 * signal.noise.travel_mm, 1e-3)


def flat_stretches(ride: Ride, signal: EndSignal, time: RidingTime) -> Flat:
    """Return the stretches of riding in which filtered travel lies flat for 50 ms or more.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime

    Returns
    -------
    list of (start, stop)
        In samples, in order.
    """
    length = max(2, round(FLAT_S * ride.rate_hz))
    return [
        (first + start, first + stop)
        for first, last in stretches(time.riding, ride.segments)
        for start, stop in quiet_stretches(signal.travel_mm[first:last], length, flat_within_mm(signal))
    ]


def lowest_times(travel_mm: Floats, flat: Flat, within_mm: float) -> list[tuple[int, float]]:
    """Return when travel came to lie flat at the lowest of all flat levels, and the level, mm, each time.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
    flat : list of (start, stop)
        Where travel lies flat, in order.
    within_mm : float
        Levels so close to the lowest are the same; flat stretches between which travel hardly leaves it, as noise
        makes it, are one time.

    Examples
    --------
    >>> import numpy as np
    >>> travel = np.array([2.0, 2.0, 2.1, 2.0, 2.0, 9.0, 2.0, 2.0, 9.0, 9.0])
    >>> lowest_times(travel, [(0, 2), (3, 5), (6, 8), (8, 10)], 0.3)
    [(0, 2.0), (6, 2.0)]
    """
    levels = [float(np.median(travel_mm[start:stop])) for start, stop in flat]
    lowest = min(levels, default=0.0)
    found: list[tuple[int, float]] = []
    left = 0
    for (start, stop), level in zip(flat, levels, strict=True):
        if level > lowest + within_mm:
            continue
        if not found or float(travel_mm[left:start].max(initial=lowest)) > lowest + 2 * within_mm:
            found.append((start, level))
        left = stop
    return found


def _flown(time: RidingTime, sample: int) -> bool:
    """Tell whether the bike flies within 50 ms after a sample: one end may come to rest a little before the other."""
    airborne, near = time.airborne, round(FLAT_S * time.rate_hz)
    return airborne is not None and bool(airborne[sample : sample + near].any())


def _rests_in_flight(ride: Ride, signal: EndSignal, level_mm: float, times: int, source: str) -> Finding:
    """Note that an end flies a little compressed: nothing pulls the wheel down, and a negative spring pulls it in.

    The weight of the hanging wheel draws it out when it is lifted, so zero and the level in flight differ by nature.
    """
    message = (
        f"{ride.name}, {signal.end}: rests at {figure(level_mm, 2, signed=True)} mm in flight, {times} times, and "
        f"never lies lower on the ground (0 is where {source} hung); in free fall the wheel's weight doesn't draw it "
        "out. If that is new, look whether the sensor moved"
    )
    return Finding(severity="note", code="zero_shift", message=message, end=signal.end)


def zero_shift(ride: Ride, signal: EndSignal, time: RidingTime, flat: Flat, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Find a top-out level that isn't zero: flat within 2 noise sd for 50 ms or more, at least 5 times.

    Only the lowest level counts: travel hardly ever lies further below it than the low-pass and a top-out bumper
    give. A bike that never tops out has no such level and gets no finding. Levels further than 10 % of travel from
    zero are ride height or rests, not top-outs. Where zero is a lifted recording's, flown moments don't tell a level
    above it: in free fall a leg rests further in than with its wheel hanging, which is noted.
    """
    times = lowest_times(signal.travel_mm, flat, max(SAME_LEVEL_MM, flat_within_mm(signal)))
    if len(times) < FEWEST_LEVELS:
        return ()
    level = float(np.median([found for _, found in times]))
    second = float(ride.time_s[times[0][0]])
    limit = facts.limit_mm
    if level > 0 and facts.source is not None:
        limit += DRAWN_OUT_SHARE * signal.full_travel_mm
    if not limit < abs(level) <= PLAUSIBLE_SHARE * signal.full_travel_mm:
        return ()
    bottom = float(np.quantile(signal.travel_mm[time.riding], BELOW_TIME))
    if bottom < level - max(BELOW_MM, BELOW_SHARE * signal.full_travel_mm):
        return ()
    if level > 0 and facts.source is not None:
        flown = sum(_flown(time, start) for start, _ in times)
        if len(times) - flown < FEWEST_LEVELS and flown > 0:
            return (_rests_in_flight(ride, signal, level, flown, facts.source),)
    error_mm = ERROR_SHARE * signal.full_travel_mm
    message = (
        f"{ride.name}, {signal.end}: tops out {len(times)} times, first at {second:.2f} s, at "
        f"{figure(level, 2, signed=True)} mm instead of 0 (limit {limit:.2f} mm, error above "
        f"{error_mm:.1f} mm): the sensor moved; record both wheels lifted for 5 s and ride again"
    )
    severity: Severity = "error" if abs(level) > error_mm else "warning"
    return (Finding(severity=severity, code="zero_shift", message=message, end=signal.end, second=second),)
