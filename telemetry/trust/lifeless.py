"""One end's signal where it doesn't live: stuck, stopped dead, or hardly moving."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.finding import Finding
from telemetry.model.motion import EndMotion, RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

from .blocks import quiet_stretches

STUCK_S = 1.5
ONE_STEP = 1.5
"""Steps at the mean ratio that hold one step wherever it lies on a curve, and two nowhere."""
AWAY_SHARE = 0.03
OTHER_STROKES = 3
DEAD_S, DEAD_SHARE = 0.5, 0.005
DEAD_SPEED_MM_S, DEAD_STEP_SHARE = 500.0, 0.01
SUDDEN_SHARE = 0.001
"""Own choices: to come from this speed to a rest of half a second within half a percent of travel takes 15 g."""
HARDLY_SHARE = 0.03
HARDLY_S = 20.0
IDLE_SHARE, IDLE_S, IDLE_STROKES = 0.01, 3.0, 5


def _strokes_between(motion: EndMotion, start: int, stop: int) -> int:
    return sum(
        int(np.count_nonzero((strokes.start >= start) & (strokes.stop < stop)))
        for strokes in (motion.hits, motion.returns)
    )


def _away(level_mm: float, signal: EndSignal) -> bool:
    return abs(level_mm) > AWAY_SHARE * signal.full_travel_mm


def _dead(ride: Ride, signal: EndSignal, place: int, what: str, code: str) -> tuple[Finding, ...]:
    second = float(ride.time_s[place])
    message = f"{ride.name}, {signal.end}: {what}; check the sensor's rod, bracket and plug, then ride again"
    return (Finding(code=code, message=message, end=signal.end, second=second),)


def stuck(ride: Ride, signal: EndSignal, other: EndMotion) -> tuple[Finding, ...]:
    """Find a sensor that stays within one step for 1.5 s or more while the other end works."""
    length = max(2, round(STUCK_S * ride.rate_hz))
    within = signal.noise.sensor_step_mm * ONE_STEP + 1e-9
    for first, stop in ride.ridden_segments:
        for start, end in quiet_stretches(signal.cleaned_mm[first:stop], length, within):
            a, b = first + start, first + end
            level = float(np.median(signal.cleaned_mm[a:b]))
            strokes = _strokes_between(other, a, b)
            if _away(level, signal) and strokes >= OTHER_STROKES:
                what = (
                    f"stuck at {figure(level, 1)} mm for {(b - a) / ride.rate_hz:.1f} s from {ride.time_s[a]:.2f} s "
                    f"(limit {STUCK_S:g} s within one step) while the {other.end} made {strokes} strokes"
                )
                return _dead(ride, signal, a, what, "stuck")
    return ()


def calm_stretches(ride: Ride, signal: EndSignal) -> list[tuple[int, int, int, int]]:
    """Return where an end stays within half a percent of travel for half a second, each with its segment's bounds."""
    length = max(2, round(DEAD_S * ride.rate_hz))
    return [
        (first + start, first + end, first, stop)
        for first, stop in ride.segments
        for start, end in quiet_stretches(signal.cleaned_mm[first:stop], length, DEAD_SHARE * signal.full_travel_mm)
    ]


def stopped_dead(ride: Ride, signal: EndSignal, calm: Sequence[tuple[int, int, int, int]]) -> tuple[Finding, ...]:
    """Find readings that stand still for half a second or more from one sample to the next, or come alive so."""
    travel = signal.cleaned_mm
    least = max(DEAD_SPEED_MM_S / ride.rate_hz, DEAD_STEP_SHARE * signal.full_travel_mm)
    for a, b, first, stop in calm:
        level = float(np.median(travel[a:b]))
        into = abs(travel[a] - travel[a - 1]) if a > first else 0.0
        away = abs(travel[b] - travel[b - 1]) if b < stop else 0.0
        ridden = ride.time_s[b - 1] > ride.start_s and ride.time_s[a] < ride.end_s
        if ridden and _away(level, signal) and max(into, away) > least:
            what = (
                f"stands at {figure(level, 1)} mm for {(b - a) / ride.rate_hz:.1f} s from {ride.time_s[a]:.2f} s "
                f"(limit {DEAD_S:g} s), {'reached' if into > least else 'left'} by a jump of {max(into, away):.1f} mm "
                f"from one row to the next (limit {least:.1f} mm): no end stops or starts like that"
            )
            return _dead(ride, signal, a, what, "stopped_dead")
    return ()


def _rests(ride: Ride, signal: EndSignal) -> set[tuple[int, int]]:
    """Return where an end stays within one step for half a second or more, in the middle of a gap-free stretch."""
    length = max(2, round(DEAD_S * ride.rate_hz))
    within = signal.noise.sensor_step_mm * ONE_STEP + 1e-9
    return {
        (first + start, first + end)
        for first, stop in ride.segments
        for start, end in quiet_stretches(signal.cleaned_mm[first:stop], length, within)
        if start > 0 and first + end < stop
    }


def _sudden(ride: Ride, before: int) -> bool:
    """Tell whether either end steps between this sample and the next by more than its own step and a little."""
    return any(
        abs(signal.cleaned_mm[before + 1] - signal.cleaned_mm[before])
        > max(2 * signal.noise.sensor_step_mm, SUDDEN_SHARE * signal.full_travel_mm)
        for signal in ride.ends.values()
    )


def frozen(ride: Ride) -> tuple[Finding, ...]:
    """Find both ends resting from one same row to another: a logger that wrote its last readings again and again."""
    if len(ride.ends) < 2:
        return ()
    front, rear = ride.ends.values()
    both = _rests(ride, front)
    for a, b in sorted(both & _rests(ride, rear)) if both else ():
        ridden = ride.time_s[b - 1] > ride.start_s and ride.time_s[a] < ride.end_s
        sudden = _sudden(ride, a - 1) and _sudden(ride, b - 1)
        if ridden and sudden and any(_away(float(signal.cleaned_mm[a]), signal) for signal in ride.ends.values()):
            lasts, second = (b - a) / ride.rate_hz, float(ride.time_s[a])
            message = (
                f"{ride.name}: both ends stand still for {lasts:.1f} s from {second:.2f} s (limit {DEAD_S:g} s), "
                "from one same row to another: no bike stops and starts like that, the logger wrote its last readings "
                "again; check its card and supply, then ride again"
            )
            return (Finding(code="stopped_dead", message=message, second=second),)
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
    what = f"in 20 s of riding from {second:.1f} s (limit {limit:.1f} mm, 3 % of travel)"
    return (_hardly(ride, signal, moved, what, second),)


def _hardly(ride: Ride, signal: EndSignal, moved_mm: float, what: str, second: float) -> Finding:
    message = (
        f"{ride.name}, {signal.end}: moves only {moved_mm:.1f} mm {what}: lever closed, or sensor loose? Look at "
        "both, then ride again"
    )
    return Finding(code="hardly_moves", message=message, end=signal.end, second=second)


def idle(ride: Ride, signal: EndSignal, other: EndMotion) -> tuple[Finding, ...]:
    """Find 3 s in which an end stays within 1 % of its travel while the other works."""
    length = max(2, round(IDLE_S * ride.rate_hz))
    limit = IDLE_SHARE * signal.full_travel_mm
    for first, stop in ride.ridden_segments:
        for start, end in quiet_stretches(signal.travel_mm[first:stop], length, limit):
            a, b = first + start, first + end
            strokes = _strokes_between(other, a, b)
            if strokes >= IDLE_STROKES and _away(float(np.median(signal.travel_mm[a:b])), signal):
                moved, second = float(np.ptp(signal.travel_mm[a:b])), float(ride.time_s[a])
                what = (
                    f"for {(b - a) / ride.rate_hz:.1f} s from {second:.1f} s (limit {limit:.1f} mm, 1 % of travel, in "
                    f"{IDLE_S:g} s) while the {other.end} made {strokes} strokes"
                )
                return (_hardly(ride, signal, moved, what, second),)
    return ()
