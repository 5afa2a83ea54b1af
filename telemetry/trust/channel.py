"""One end's signal: whether it stays within its travel, sticks, or hardly moves."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import End, Finding, Severity
from telemetry.model.motion import EndMotion, RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

from .blocks import quiet_stretches

LOWEST_SHARE, HIGHEST_SHARE = -0.02, 1.02
BEYOND_SHARE = 0.01
STUCK_S = 1.5
ONE_STEP = 1.5
"""Steps at the mean ratio that hold one step wherever it lies on a curve, and two nowhere."""
AWAY_SHARE = 0.03
OTHER_STROKES = 3
HARDLY_SHARE = 0.03
HARDLY_S = 20.0


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
        f"{ride.name}, {signal.end}: {100 * share:.2g} % of samples lie outside −2 ... 102 % of {full:.0f} mm "
        f"(furthest {figure(worst, 1)} mm, first at {second:.2f} s; error above 1 %); "
        "check calibration points, zero and full travel"
    )
    severity: Severity = "error" if share > BEYOND_SHARE else "warning"
    return (Finding(severity=severity, code="beyond_travel", message=message, end=signal.end, second=second),)


def _strokes_between(motion: EndMotion, start: int, stop: int) -> int:
    return sum(
        int(np.count_nonzero((strokes.start >= start) & (strokes.stop < stop)))
        for strokes in (motion.hits, motion.returns)
    )


def stuck(ride: Ride, signal: EndSignal, other: EndMotion) -> tuple[Finding, ...]:
    """Find a sensor that stays within one step for 1.5 s or more while the other end works."""
    length = max(2, round(STUCK_S * ride.rate_hz))
    within = signal.noise.sensor_step_mm * ONE_STEP + 1e-9
    for first, stop in ride.segments:
        for start, end in quiet_stretches(signal.cleaned_mm[first:stop], length, within):
            a, b = first + start, first + end
            level = float(np.median(signal.cleaned_mm[a:b]))
            if abs(level) <= AWAY_SHARE * signal.full_travel_mm:
                continue
            strokes = _strokes_between(other, a, b)
            if strokes >= OTHER_STROKES:
                second = float(ride.time_s[a])
                message = (
                    f"{ride.name}, {signal.end}: stuck at {figure(level, 1)} mm for {(b - a) / ride.rate_hz:.1f} s "
                    f"from {second:.2f} s (limit 1.5 s within one step) while the {other.end} made {strokes} strokes; "
                    "check the sensor's rod, bracket and plug, then ride again"
                )
                return (Finding(severity="error", code="stuck", message=message, end=signal.end, second=second),)
    return ()


def hardly_moves(ride: Ride, signal: EndSignal, time: RidingTime) -> tuple[Finding, ...]:
    """Find 20 s of riding in which an end uses less than 3 % of its travel."""
    length = max(2, round(HARDLY_S * ride.rate_hz))
    limit = HARDLY_SHARE * signal.full_travel_mm
    travel = signal.travel_mm[time.riding]
    quiet = quiet_stretches(travel, length, float(np.nextafter(limit, 0.0)))
    if not quiet:
        return ()
    start, stop = quiet[0]
    middle = (start + stop - length) // 2
    moved = float(np.ptp(travel[middle : middle + length]))
    second = float(ride.time_s[time.riding][start])
    message = (
        f"{ride.name}, {signal.end}: moves only {moved:.1f} mm in 20 s of riding from {second:.1f} s "
        f"(limit {limit:.1f} mm, 3 % of travel): lever closed, or sensor loose? Look at both, then ride again"
    )
    return (Finding(severity="warning", code="hardly_moves", message=message, end=signal.end, second=second),)


def channel_findings(ride: Ride, time: RidingTime, ends: Mapping[End, EndMotion]) -> tuple[Finding, ...]:
    """Return what is to be said of each measured end's signal.

    Parameters
    ----------
    ride : Ride
    time : RidingTime
    ends : mapping of end to EndMotion

    Returns
    -------
    tuple of Finding
    """
    found: list[Finding] = []
    for end, signal in ride.ends.items():
        found.extend(beyond_travel(ride, signal))
        found.extend(hardly_moves(ride, signal, time))
        for other in ends.values():
            if other.end != end:
                found.extend(stuck(ride, signal, other))
    return tuple(found)
