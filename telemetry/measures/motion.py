"""A ride's riding time, strokes and events, found once and counted by every measure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.model.finding import End
from telemetry.model.motion import EndMotion, RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.stretches import stretches

from .bottoming import find_bottom_outs
from .bounds import find_pushes, with_bounds
from .inertial.moved import moved_ends, movement_step
from .inertial.relative import Geometry
from .missing import Missing
from .packing import find_bursts
from .recovery import find_recoveries
from .riding import find_riding, within
from .strokes import find_strokes, long_enough
from .topping import find_top_outs
from .view import RunMotion


def _sag_mm(signal: EndSignal, time: RidingTime) -> float:
    counted = time.riding if time.airborne is None else time.riding & ~time.airborne
    return float(signal.travel_mm[counted].mean()) if counted.any() else 0.0


def end_motion(ride: Ride, signal: EndSignal, time: RidingTime) -> EndMotion:
    """Return everything the measures count at one end.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime
    """
    full = signal.full_travel_mm
    compressions, rebounds = find_strokes(ride, signal, time.riding)
    hits, returns = long_enough(compressions, full), long_enough(rebounds, full)
    line = bottoming_line_mm(full, signal.bumper_touch_mm)
    ridden = stretches(within(ride.time_s, ride.start_s, ride.end_s), ride.segments)
    return EndMotion(
        end=signal.end,
        full_travel_mm=full,
        compressions=compressions,
        rebounds=rebounds,
        hits=hits,
        returns=returns,
        bottom_outs=find_bottom_outs(signal.cleaned_mm, full, line, time.riding, ride.segments, ride.rate_hz),
        top_outs=find_top_outs(signal.travel_mm, returns, full, ride.rate_hz),
        recoveries=find_recoveries(signal.travel_mm, hits, full, _sag_mm(signal, time), ridden, ride.rate_hz),
        bursts=find_bursts(hits, full, ride.segments, ride.rate_hz),
        line_mm=line,
    )


def find_motion(
    ride: Ride, lost: Mapping[End, str] = MappingProxyType({}), geometry: Geometry | None = None
) -> RunMotion:
    """Return a ride with its riding time and everything that moved.

    Parameters
    ----------
    ride : Ride
    lost : mapping of end to str
        Ends whose readings can't be used, by the code of what is wrong; the other end is taken by itself.
    geometry : Geometry, optional
        What is known of the bike's shape, for movement out of acceleration.

    Returns
    -------
    RunMotion
        Its ride has the start and end that hold: stated, else by three pushes, else the whole log.
    """
    if lost:
        ride = replace(
            ride,
            ends=MappingProxyType({end: signal for end, signal in ride.ends.items() if end not in lost}),
            inertial=MappingProxyType({site: own for site, own in ride.inertial.items() if site[0] not in lost}),
        )
    pushes = find_pushes(ride)
    ride = with_bounds(ride, pushes)
    time = find_riding(ride)
    ends = {end: end_motion(ride, signal, time) for end, signal in ride.ends.items()}
    moved = moved_ends(ride, time, geometry or Geometry())
    steps = tuple(movement_step(own) for own in moved.values() if not isinstance(own, Missing))
    ride = replace(ride, history=(*ride.history, *steps)) if steps else ride
    return RunMotion(ride=ride, time=time, pushes=pushes, ends=MappingProxyType(ends), lost=lost, moved=moved)
