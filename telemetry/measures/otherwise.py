"""A ride as it would have been had its wheels travelled otherwise: the same trail, pushes and clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from telemetry.model.finding import End
from telemetry.model.ride import EndSignal

from .motion import end_motion
from .riding import find_riding
from .view import RunMotion


def moved_otherwise(run: RunMotion, signals: Mapping[End, EndSignal]) -> RunMotion:
    """Return a ride with other signals at its measured ends.

    Parameters
    ----------
    run : RunMotion
    signals : mapping of end to EndSignal
        On the ride's own clock; ends that aren't among them are left out.

    Returns
    -------
    RunMotion
        Its bounds are the ride's own. Standing and flights are judged anew, but where a chassis sensor tells flights:
        then they are those that it felt. Nothing of acceleration is in it.
    """
    own = run.ride
    ride = replace(own, ends=MappingProxyType(dict(signals)), inertial=MappingProxyType({}))
    time = run.time if own.inertial else find_riding(ride)
    ends = {end: end_motion(ride, signal, time) for end, signal in signals.items()}
    return RunMotion(ride=ride, time=time, pushes=run.pushes, ends=MappingProxyType(ends), lost=run.lost)
