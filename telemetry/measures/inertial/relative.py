"""How a wheel is accelerated against the chassis above it, along the end's own path."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import End
from telemetry.model.inertial import InertialSignal
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
        A part of the speed that is known as such and not in the acceleration: what pitch gives the chassis at this end
        against where its sensor sits.
    density_m2_s4_hz : float
        One-sided power density of both sensors' noise.
    lever_m_s_a_m : float array, shape (n,), or None
        Speed that a sensor off its place misses, for each metre fore and aft; None without a gyroscope.
    saturated : bool array, shape (n,)
        Samples at either sensor's range.
    words : str
        From what, and along what.
    """

    acceleration_m_s2: Floats
    speed_m_s: Floats | None
    density_m2_s4_hz: float
    lever_m_s_a_m: Floats | None
    saturated: Bools
    words: str


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


def _along(way: Floats, wheel: InertialSignal, chassis: InertialSignal) -> tuple[Floats, str]:
    """Return what to multiply the difference of specific forces by: upward alone where forward isn't known of both."""
    if way[0] == 0.0 or (wheel.mounting.heading_known and chassis.mounting.heading_known):
        return way, ""
    return np.array([0.0, 0.0, 1.0 / way[2]]), ", from its vertical part: forward isn't known of both sensors"


def _density(*signals: InertialSignal, rate_hz: float) -> float:
    return sum(2 * signal.noise_m_s2**2 / rate_hz for signal in signals)


def _difference(wheel: InertialSignal, chassis: InertialSignal, way: Floats) -> Floats:
    """Return the difference of specific forces along `way`: gravity, the same in both, falls out."""
    along = np.zeros(wheel.specific_force_m_s2.shape[0])
    for axis in np.flatnonzero(way).tolist():
        along += way[axis] * (wheel.specific_force_m_s2[:, axis] - chassis.specific_force_m_s2[:, axis])
    return along


def _lever(chassis: InertialSignal, way: Floats) -> Floats | None:
    """Return the speed along `way` of a place a metre ahead of the chassis' sensor against that, m/s."""
    turning = chassis.rotation_rad_s
    return None if turning is None else -way[2] * turning[:, 1]


def _carried_over(wheel: InertialSignal, other: InertialSignal, way: Floats, ahead_m: float) -> tuple[Floats, Floats]:
    """Return acceleration and known speed of a wheel against a chassis whose sensor sits at the other end.

    Notes
    -----
    A rigid frame: at r ahead of the sensor it is accelerated by ``w' x r + w x (w x r)`` more [TittertonWeston2004].
    The first, summed over time, is the speed ``w x r`` itself: the gyroscope needn't be differentiated.
    """
    turning = other.rotation_rad_s
    assert turning is not None  # noqa: S101 - asked for by the caller
    along = _difference(wheel, other, way)
    across = turning[:, 1] ** 2 + turning[:, 2] ** 2
    along += ahead_m * (way[0] * across - way[2] * turning[:, 0] * turning[:, 2])
    return along, ahead_m * way[2] * turning[:, 1]


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
    way, words = path(end, geometry.head_angle_deg)
    if chassis is not None:
        along, so = _along(way, wheel, chassis)
        return Relative(
            acceleration_m_s2=_difference(wheel, chassis, along),
            speed_m_s=None,
            density_m2_s4_hz=_density(wheel, chassis, rate_hz=ride.rate_hz),
            lever_m_s_a_m=_lever(chassis, along),
            saturated=wheel.saturated | chassis.saturated,
            words=f"{wheel.sensor} against {chassis.sensor}, {words}{so}",
        )
    return _over_the_wheelbase(ride, wheel, (way, words), geometry.wheelbase_mm)


def _over_the_wheelbase(
    ride: Ride, wheel: InertialSignal, along: tuple[Floats, str], wheelbase_mm: float | None
) -> Relative | Missing:
    end, (way, words) = wheel.end, along
    there: End = "rear" if end == "front" else "front"
    other = ride.inertial.get((there, "chassis"))
    if other is None:
        return Missing("no inertial sensor on the chassis to tell the wheel's motion against")
    lacking = (
        (other.rotation_rad_s is None, f"its sensor on the chassis sits at the {there} and has no gyroscope"),
        (wheelbase_mm is None, f"its sensor on the chassis sits at the {there}, and wheelbase_mm isn't stated"),
        (not other.mounting.heading_known, f"which way forward is isn't known of the chassis' sensor at the {there}"),
        (ride.clocks != "one", f"its sensor on the chassis sits at the {there}, on another logger's clock"),
    )
    why = next((reason for holds, reason in lacking if holds), None)
    if why is not None or wheelbase_mm is None:
        return Missing(why or "")
    ahead_m = 1e-3 * wheelbase_mm * (1 if end == "front" else -1)
    way, so = _along(way, wheel, other)
    acceleration, speed = _carried_over(wheel, other, way, ahead_m)
    return Relative(
        acceleration_m_s2=acceleration,
        speed_m_s=speed,
        density_m2_s4_hz=_density(wheel, other, rate_hz=ride.rate_hz),
        lever_m_s_a_m=_lever(other, way),
        saturated=wheel.saturated | other.saturated,
        words=f"{wheel.sensor} against {other.sensor} over a wheelbase of {wheelbase_mm:g} mm, {words}{so}",
    )
