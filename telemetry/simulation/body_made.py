"""The frame's motion of a run, of a bike that stands while hands push it, and of the one between the others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.dynamics.car import GRAVITY_M_S2, Bike
from telemetry.dynamics.given import Given
from telemetry.dynamics.half_car import Motion
from telemetry.model.arrays import Floats

from .bike import SimulatedBike
from .body import BodyMotion, Geometry, second_difference
from .path import Path
from .signals import Signals


def body_of(own: SimulatedBike, motion: Motion, bike: Bike, given: Given | None, path: Path) -> BodyMotion:
    """Return how the frame moves on its path.

    Parameters
    ----------
    own : SimulatedBike
    motion : Motion
    bike : Bike
        As it was ridden.
    given : Given or None
        None of a bike that isn't braked or driven: it stays upright on level ground.
    path : Path
    """
    gravity = np.full_like(motion.heave_m, GRAVITY_M_S2) if given is None else given.gravity_m_s2
    level = np.zeros_like(motion.heave_m)
    return BodyMotion(
        rate_hz=motion.rate_hz,
        geometry=own.geometry,
        along_m_s2=(motion.front_along_n + motion.rear_along_n) / bike.mass_kg,
        normal_m_s2=second_difference(motion.heave_m, motion.rate_hz) + gravity,
        pitch_rad=motion.pitch_rad[0] - motion.pitch_rad,
        slope_rad=level if given is None else path.slope_rad,
        roll_rad=level if given is None else path.roll_rad,
        yaw_rad_s=level if given is None else path.yaw_rad_s,
        front_m=motion.front_m,
        rear_m=motion.rear_m,
        front_m_s2=second_difference(motion.front_m, motion.rate_hz),
        rear_m_s2=second_difference(motion.rear_m, motion.rate_hz),
        rest_rear_m=float(motion.rear_m[0]),
    )


def moved_by_hand(
    front_m: Floats, rear_m: Floats, rest_m: tuple[float, float], geometry: Geometry, rate_hz: float
) -> BodyMotion:
    """Return the motion of a bike that stands with both wheels on the ground while its ends are moved.

    Parameters
    ----------
    front_m, rear_m : float array, shape (n,)
        Travel; n >= 3.
    rest_m : (front, rear)
        Travel at which the frame is level.
    geometry : Geometry
    rate_hz : float
    """
    front_up, rear_up = -geometry.fork_sine * (front_m - rest_m[0]), -(rear_m - rest_m[1])
    wheelbase = geometry.front_ahead_m + geometry.rear_behind_m
    height = (geometry.rear_behind_m * front_up + geometry.front_ahead_m * rear_up) / wheelbase
    level = np.zeros_like(front_m)
    return BodyMotion(
        rate_hz=rate_hz,
        geometry=geometry,
        along_m_s2=level,
        normal_m_s2=second_difference(height, rate_hz) + GRAVITY_M_S2,
        pitch_rad=(rear_up - front_up) / wheelbase,
        slope_rad=level,
        roll_rad=level,
        yaw_rad_s=level,
        front_m=front_m,
        rear_m=rear_m,
        front_m_s2=second_difference(front_m, rate_hz),
        rear_m_s2=second_difference(rear_m, rate_hz),
        rest_rear_m=rest_m[1],
    )


def around(run: BodyMotion, by_hand: BodyMotion, first: int, join: int) -> BodyMotion:
    """Return a run's motion with that of a bike moved by hand before and after it.

    Parameters
    ----------
    run : BodyMotion
        Shape (n,).
    by_hand : BodyMotion
        Of the whole time, shape (m,): what it does while the run lasts doesn't count.
    first : int
        Its sample at which the run begins.
    join : int
        Samples before and after the run over which angles pass along half a cosine, while nothing accelerates.
    """
    after = first + run.pitch_rad.shape[0]
    rise = (1 - np.cos(np.pi * np.arange(join) / max(join, 1))) / 2
    made = {}
    for name, own in run.arrays().items():
        whole = getattr(by_hand, name).copy()
        whole[first:after] = own
        if name.endswith("_rad"):
            begin, end = whole[max(first - join - 1, 0)], whole[min(after + join, whole.shape[0] - 1)]
            whole[first - join : first] = begin + (own[0] - begin) * rise
            whole[after : after + join] = (end + (own[-1] - end) * rise[::-1])[: whole.shape[0] - after]
        elif name.endswith("_m_s2"):
            still = GRAVITY_M_S2 if name == "normal_m_s2" else 0.0
            whole[first - join : first] = whole[after : after + join] = still
        made[name] = whole
    return replace(by_hand, **made)


def stood(own: SimulatedBike, signals: Signals) -> BodyMotion:
    """Return how the frame moves where a standing bike's ends move as the signals say."""
    rear_m = own.rear.travel_of_m(signals.shock_stroke_mm / 1e3)
    return moved_by_hand(signals.fork_travel_mm / 1e3, rear_m, own.sag_m(), own.geometry, signals.rate_hz)


def with_body(own: SimulatedBike, made: Signals, run: BodyMotion | None, first: int, join: int) -> Signals:
    """Return signals around a run, the frame's motion with them; without it where there is none of the run."""
    if run is None:
        return made
    return replace(made, body=around(run, stood(own, made), first, join))
