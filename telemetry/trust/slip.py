"""Whether a sensor slipped during a run: the end tops out at one level before, and at another after."""

from __future__ import annotations

from bisect import insort

import numpy as np

from telemetry.model.finding import Finding
from telemetry.model.finding_codes import Severity
from telemetry.model.motion import RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

from .zero import (
    BELOW_MM,
    BELOW_SHARE,
    BELOW_TIME,
    ERROR_SHARE,
    PLAUSIBLE_SHARE,
    SHARE_OF_CHANGE,
    Flat,
    ZeroFacts,
    flat_within_mm,
    lowest_times,
)

FEWEST_EACH = 3
MOST_CUTS = 60
LEAST_MM = 1.5
REST_MM = 0.6
"""Own choices, no source: in flight a leg comes to rest within some 0.6 mm of where it did before."""


def _top_out_mm(signal: EndSignal, time: RidingTime, flat: Flat, part: slice) -> float | None:
    """Return the level a part of the run tops out at, three times or more; None where there is none."""
    within = max(REST_MM, flat_within_mm(signal))
    times = lowest_times(signal.travel_mm, flat, within)
    if len(times) < FEWEST_EACH:
        return None
    level = float(np.median([found for _, found in times]))
    ridden = signal.travel_mm[part][time.riding[part]]
    bottom = float(np.quantile(ridden, BELOW_TIME))
    below = max(BELOW_MM, BELOW_SHARE * signal.full_travel_mm)
    known = bottom >= level - below and abs(level) <= PLAUSIBLE_SHARE * signal.full_travel_mm
    return level if known else None


def _cuts(levels_mm: list[float], limit_mm: float) -> list[int]:
    """Return where three levels before and three after can lie as far apart as the limit, thinned to 60 cuts at most.

    Between a sensor's slip and the last top-outs but two nearly every cut tells it, so that some will do.

    Examples
    --------
    >>> _cuts([1.0, 1.1, 1.0, 5.0, 5.1, 5.0], 1.5)
    [3]
    """
    thirds = (_third_lowest(levels_mm), _third_lowest(levels_mm[::-1])[::-1])
    inner = range(FEWEST_EACH, len(levels_mm) - FEWEST_EACH + 1)
    found = [cut for cut in inner if abs(thirds[0][cut - 1] - thirds[1][cut]) > limit_mm]
    if len(found) <= MOST_CUTS:
        return found
    return [found[place] for place in np.linspace(0, len(found) - 1, MOST_CUTS).astype(int).tolist()]


def _third_lowest(levels_mm: list[float]) -> list[float]:
    """Return the third lowest of all levels so far; of fewer, the highest."""
    lowest: list[float] = []
    found = []
    for level in levels_mm:
        insort(lowest, level)
        del lowest[FEWEST_EACH:]
        found.append(lowest[-1])
    return found


def slipped(ride: Ride, signal: EndSignal, time: RidingTime, flat: Flat, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Find a top-out level that moves within a run, by more than 1.5 mm, whatever zero is in force.

    Each part has to top out three times or more, flights included, and travel hardly ever to lie below its level.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime
    flat : sequence of (start, stop)
        Where its travel lies flat.
    facts : ZeroFacts
        The smallest change of sag counts.
    """
    highest = PLAUSIBLE_SHARE * signal.full_travel_mm
    medians = [(stretch, float(np.median(signal.travel_mm[slice(*stretch)]))) for stretch in flat]
    low = [stretch for stretch, level in medians if level <= highest]
    limit = max(LEAST_MM, SHARE_OF_CHANGE * facts.smallest_change_mm)
    best, place = 0.0, 0
    for cut in _cuts([level for _, level in medians if level <= highest], limit):
        split = (low[cut - 1][1] + low[cut][0]) // 2
        before = _top_out_mm(signal, time, low[:cut], slice(0, split))
        after = _top_out_mm(signal, time, low[cut:], slice(split, None))
        moved = 0.0 if before is None or after is None else after - before
        if moved < -limit or (moved > limit and best == 0.0):
            best, place = moved, split  # outwards up to the slip, inwards from it on: the last, or the first
    if best == 0.0:
        return ()
    error_mm = ERROR_SHARE * signal.full_travel_mm
    second = float(ride.time_s[place])
    severity: Severity = "error" if abs(best) > error_mm else "warning"
    message = (
        f"{ride.name}, {signal.end}: tops out {figure(best, 2, signed=True)} mm elsewhere from about {second:.1f} s on "
        f"(limit {limit:.2f} mm, error above {error_mm:.1f} mm): the sensor slipped during the run; fix it, record "
        "both wheels lifted for 5 s and ride again"
    )
    return (Finding(severity=severity, code="zero_shift", message=message, end=signal.end, second=second),)
