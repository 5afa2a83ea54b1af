"""How a wheel is accelerated against the chassis above it, along the end's own path."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import OTHER_END, End
from telemetry.model.inertial import InertialSignal, Site
from telemetry.model.ride import Ride

USUAL_HEAD_ANGLE_DEG = 65.0
"""Taken where the bike's isn't stated: 5 deg off it costs cos 5 deg, 0.4 % of movement. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """What of the bike's shape joins its sensors; None where not stated."""

    head_angle_deg: float | None = None
    wheelbase_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Relative:
    """A wheel's motion against the chassis, positive in compression.

    Attributes
    ----------
    acceleration_m_s2 : float array, shape (n,)
    speed_m_s : float array, shape (n,), or None
        A part of the speed that isn't in the acceleration: what turning gives the place of the chassis' sensor.
    apart_m_s2_m : float array, shape (n,), or None
        What turning adds to the acceleration for each metre that the sensors lie apart along the path; None without a
        gyroscope.
    pitching_rad_s : float array, shape (n,), or None
        Where it isn't stated how far the chassis' sensor sits off the path: the speed missed for each metre.
    density_m2_s4_hz : float
        One-sided power density of both sensors' noise.
    saturated : bool array, shape (n,)
        Samples at either sensor's range.
    words : str
        From what, and along what.
    """

    acceleration_m_s2: Floats
    speed_m_s: Floats | None
    apart_m_s2_m: Floats | None
    pitching_rad_s: Floats | None
    density_m2_s4_hz: float
    saturated: Bools
    words: str


_CHASSIS: tuple[Site, ...] = (("rear", "chassis"), ("front", "chassis"))
_WITH_CHASSIS: tuple[Site, ...] = (*_CHASSIS, ("front", "wheel"))
"""What turns with the chassis: a fork's lower legs too, a swingarm not."""


def path(end: End, head_angle_deg: float | None) -> tuple[Floats, str]:
    """Return the way a wheel goes into its travel, a unit vector in bike axes, and what it is called.

    Examples
    --------
    >>> path("rear", None)
    (array([0., 0., 1.]), 'vertically')
    """
    if end == "rear":
        return np.array([0.0, 0.0, 1.0]), "vertically"
    angle = USUAL_HEAD_ANGLE_DEG if head_angle_deg is None else head_angle_deg
    usual = ", taken because head_angle_deg isn't stated" if head_angle_deg is None else ""
    lean = math.radians(angle)
    return np.array([-math.cos(lean), 0.0, math.sin(lean)]), f"along the fork at {angle:g} deg{usual}"


def _turning_of(ride: Ride, sites: tuple[Site, ...]) -> Floats | None:
    """Return the rotation that the first of these sites with a gyroscope tells, if it is known which way is forward."""
    for site in sites:
        sensor = ride.inertial.get(site)
        if sensor is not None and sensor.rotation_rad_s is not None and sensor.mounting.heading_known:
            return sensor.rotation_rad_s
    return None


def _difference(wheel: Floats, chassis: Floats, way: Floats) -> Floats:
    """Return the difference of specific forces along `way`: gravity, the same in both, falls out."""
    along = np.zeros(wheel.shape[0])
    for axis in np.flatnonzero(way).tolist():
        along += way[axis] * (wheel[:, axis] - chassis[:, axis])
    return along


def _levelled(ride: Ride, wheel: InertialSignal) -> Floats:
    """Return a wheel's specific force in the chassis' axes: what sits on a swingarm turns against it, a fork doesn't.

    Notes
    -----
    How far it is turned since the stretch began: the difference of both pitch rates, less its mean (biases), summed.
    """
    force, there = wheel.specific_force_m_s2, _turning_of(ride, _CHASSIS)
    if wheel.end == "front" or wheel.rotation_rad_s is None or there is None:
        return force
    turning = wheel.rotation_rad_s[:, 1] - there[:, 1]
    turned = np.zeros_like(turning)
    for start, stop in ride.segments:
        own = turning[start:stop]
        turned[start:stop] = np.cumsum(own - np.mean(own)) / ride.rate_hz
    level = force.copy()
    level[:, 2] = force[:, 2] * np.cos(turned) - force[:, 0] * np.sin(turned)
    return level


def _place_m(wheel: InertialSignal, chassis: InertialSignal, wheelbase_m: float | None) -> tuple[float, float] | None:
    """Return how far ahead of and above the wheel's sensor the chassis' sits; None where that isn't stated.

    At the front both count, for a fork leans; at the rear how far ahead is enough.
    """
    if wheelbase_m is None and (chassis.ahead_m is None or (chassis.end == "front" and chassis.above_m is None)):
        return None
    ahead, above = (chassis.ahead_m or 0.0) - (wheel.ahead_m or 0.0), (chassis.above_m or 0.0) - (wheel.above_m or 0.0)
    away = 0.0 if wheelbase_m is None else wheelbase_m if chassis.end == "front" else -wheelbase_m
    return ahead + away, above


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turned:
    """What turning adds: acceleration for each metre along the path and across it, speed for each metre across."""

    along: Floats
    across: Floats
    speed: Floats


def _turned(turning: Floats, way: Floats) -> _Turned:
    """Return what a bike's turning adds to the wheel's acceleration against the chassis.

    Notes
    -----
    A place at rho is accelerated by ``w' x rho + w x (w x rho)`` more [TittertonWeston2004]. Along the unit vector u,
    for a chassis sensor at ``D u + d p`` from the wheel's, p across the path in the bike's plane, y to the left:
    ``D (w_p^2 + w_y^2) + d (w_y' - w_u w_p)``. Of ``d w_y'`` the sum over time, ``d w_y``, is known as it stands: the
    gyroscope needn't be differentiated.
    """
    x, y, z = turning.T
    round_u, round_p = way[0] * x + way[2] * z, way[2] * x - way[0] * z
    return _Turned(along=round_p**2 + y**2, across=-round_u * round_p, speed=y)


def _made(ride: Ride, pair: tuple[InertialSignal, InertialSignal], way: Floats, wheelbase_m: float | None) -> Relative:
    """Return the motion of a wheel against a chassis sensor, at its own end or a wheelbase away."""
    wheel, chassis = pair
    acceleration, speed = _difference(_levelled(ride, wheel), chassis.specific_force_m_s2, way), None
    turning, place = _turning_of(ride, (chassis.site, *_WITH_CHASSIS)), _place_m(wheel, chassis, wheelbase_m)
    turned = None if turning is None else _turned(turning, way)
    if turned is not None and place is not None:
        along_m, across_m = way[0] * place[0] + way[2] * place[1], way[2] * place[0] - way[0] * place[1]
        acceleration -= along_m * turned.along + across_m * turned.across
        speed = -across_m * turned.speed
    return Relative(
        acceleration_m_s2=acceleration,
        speed_m_s=speed,
        apart_m_s2_m=None if turned is None else turned.along,
        pitching_rad_s=turned.speed if turned is not None and place is None else None,
        density_m2_s4_hz=sum(2 * signal.noise_m_s2**2 / ride.rate_hz for signal in pair),
        saturated=wheel.saturated | chassis.saturated,
        words=f"{wheel.sensor} against {chassis.sensor}",
    )


def relative_motion(ride: Ride, end: End, geometry: Geometry) -> Relative | Missing:
    """Return how an end's wheel is accelerated against the chassis above it.

    Parameters
    ----------
    ride : Ride
    end : {"front", "rear"}
    geometry : Geometry

    Returns
    -------
    Relative or Missing

    Notes
    -----
    With a sensor on the wheel and one on the chassis at this end: the difference of their specific forces along the
    end's path. Where the chassis' sits at the other end: that one's, carried over by its gyroscope and the wheelbase.
    """
    wheel, chassis = ride.inertial.get((end, "wheel")), ride.inertial.get((end, "chassis"))
    if wheel is None:
        return Missing(f"no inertial sensor on the wheel at the {end}")
    over = chassis is None
    chassis = ride.inertial.get((OTHER_END[end], "chassis")) if over else chassis
    if chassis is None:
        return Missing("no inertial sensor on the chassis to tell the wheel's motion against")
    why = _lacking_over(ride, chassis, geometry) if over else None
    if why is None and end == "front" and not (wheel.mounting.heading_known and chassis.mounting.heading_known):
        why = "which way is forward isn't known of both sensors: a fork moves backward as it moves up"
    if why is not None:
        return Missing(why)
    way, words = path(end, geometry.head_angle_deg)
    wheelbase_mm = geometry.wheelbase_mm if over else None
    across = "" if wheelbase_mm is None else f" over a wheelbase of {wheelbase_mm:g} mm"
    found = _made(ride, (wheel, chassis), way, None if wheelbase_mm is None else 1e-3 * wheelbase_mm)
    return replace(found, words=f"{found.words}{across}, {words}")


def _lacking_over(ride: Ride, chassis: InertialSignal, geometry: Geometry) -> str | None:
    """Return why a chassis sensor at the other end can't be carried over."""
    sits = f"its sensor on the chassis sits at the {chassis.end}"
    lacking = (
        (
            _turning_of(ride, (chassis.site, *_WITH_CHASSIS)) is None,
            f"{sits}, and no gyroscope tells how the bike turns",
        ),
        (geometry.wheelbase_mm is None, f"{sits}, and wheelbase_mm isn't stated"),
        (ride.clocks != "one", f"{sits}, on another logger's clock"),
    )
    return next((reason for holds, reason in lacking if holds), None)
