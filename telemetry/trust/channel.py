"""One end's signal: whether it stays within its travel, and whether it lives."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import End, Finding
from telemetry.model.finding_codes import Severity
from telemetry.model.motion import EndMotion, RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure, percent

from .lifeless import calm_stretches, frozen, hardly_moves, idle, stopped_dead, stuck
from .supply import supply_lost

LOWEST_SHARE, HIGHEST_SHARE = -0.02, 1.02
BEYOND_SHARE = 0.01


def beyond_travel(ride: Ride, signal: EndSignal) -> tuple[Finding, ...]:
    """Find cleaned travel outside -2 ... 102 % of full travel between the ride's start and end."""
    full = signal.full_travel_mm
    beyond: Bools = (signal.cleaned_mm < LOWEST_SHARE * full) | (signal.cleaned_mm > HIGHEST_SHARE * full)
    if not beyond.any():
        return ()
    ridden = (ride.time_s >= ride.start_s) & (ride.time_s <= ride.end_s)
    places = np.flatnonzero(beyond & ridden)
    if places.size == 0:
        return ()
    share = places.size / int(ridden.sum())
    outside = signal.cleaned_mm[places]
    worst = float(outside[np.argmax(np.abs(outside - full / 2))])
    second = float(ride.time_s[places[0]])
    message = (
        f"{ride.name}, {signal.end}: {percent(share)} % of samples lie outside −2 ... 102 % of {full:.0f} mm "
        f"(furthest {figure(worst, 1)} mm, first at {second:.2f} s; error above 1 %); "
        "check calibration points, zero and full travel"
    )
    severity: Severity = "error" if share > BEYOND_SHARE else "warning"
    return (Finding(severity=severity, code="beyond_travel", message=message, end=signal.end, second=second),)


def _first(found: Iterable[tuple[Finding, ...]]) -> tuple[Finding, ...]:
    return next(filter(None, found), ())


def channel_findings(ride: Ride, time: RidingTime, ends: Mapping[End, EndMotion]) -> tuple[Finding, ...]:
    """Return what is to be said of each measured end's signal; one that doesn't live is told once, by what says most.

    Parameters
    ----------
    ride : Ride
    time : RidingTime
    ends : mapping of end to EndMotion

    Returns
    -------
    tuple of Finding

    Notes
    -----
    No end is told to be stuck or idle by what the other does where that one's own readings are false.
    """
    without_supply = supply_lost(ride, ends)
    unsupplied = {finding.end for finding in without_supply}
    beyond = {end: beyond_travel(ride, signal) for end, signal in ride.ends.items()}
    false = unsupplied | {
        finding.end
        for finding in (*ride.findings, *itertools.chain(*beyond.values()))
        if finding.severity == "error" or finding.spec.withholds == "run"
    }
    calm = {end: calm_stretches(ride, signal) for end, signal in ride.ends.items()}
    together = frozen(ride) if all(calm.values()) and not unsupplied else ()
    found = [*together, *without_supply]
    for end, signal in ride.ends.items():
        if end in unsupplied:
            continue
        others = [other for other in ends.values() if other.end != end and other.end not in false]
        dead = () if together else stopped_dead(ride, signal, calm[end])
        found.extend(beyond[end])
        found.extend(_first(stuck(ride, signal, other) for other in others) or dead)
        found.extend(hardly_moves(ride, signal, time) or _first(idle(ride, signal, other) for other in others))
    return tuple(found)
