"""How the frame moves and turns, and what an inertial sensor feels at any place on it or on an axle."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal, TypeAlias

import numpy as np

from telemetry.model.arrays import Floats, read_only

Carrier: TypeAlias = Literal["frame", "front_axle", "rear_axle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where an inertial sensor sits: on the frame, so far before and above its centre of mass, or on an axle.

    A sensor on the front axle turns with the frame, one on the rear axle also with the swingarm.
    """

    on: Carrier = "frame"
    ahead_m: float = 0.0
    up_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """Lengths between the frame's centre of mass and what moves against it.

    Attributes
    ----------
    front_ahead_m, rear_behind_m : float
        Axles before and behind it.
    front_down_m, rear_down_m : float
        Axles below it.
    fork_sine : float
        Of the head angle: the front axle moves along the fork.
    swingarm_m : float
        The rear axle's distance from its pivot.
    """

    front_ahead_m: float
    rear_behind_m: float
    front_down_m: float
    rear_down_m: float
    fork_sine: float
    swingarm_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyMotion:
    """The frame's motion at an even rate, seen from a path that may slope, turn and lean.

    Attributes
    ----------
    rate_hz : float
    geometry : Geometry
    along_m_s2, normal_m_s2 : float array, shape (n,)
        Specific force of its centre of mass along the path and upward in the bike's plane: 0 and 9.81 at rest. None
        acts across that plane, for the bike leans into its turns.
    pitch_rad : float array, shape (n,)
        Of the frame against the path, nose down, 0 as it rests with its rider.
    slope_rad, roll_rad, yaw_rad_s : float array, shape (n,)
        The path's rise, its lean to the right, its turning to the left.
    front_m, rear_m : float array, shape (n,)
        Travel of both wheels.
    front_m_s2, rear_m_s2 : float array, shape (n,)
        How it is accelerated.
    rest_rear_m : float
        Rear travel at which the swingarm lies as it rests with the rider.
    """

    rate_hz: float
    geometry: Geometry
    along_m_s2: Floats
    normal_m_s2: Floats
    pitch_rad: Floats
    slope_rad: Floats
    roll_rad: Floats
    yaw_rad_s: Floats
    front_m: Floats
    rear_m: Floats
    front_m_s2: Floats
    rear_m_s2: Floats
    rest_rear_m: float

    def __post_init__(self) -> None:
        for name, array in self.arrays().items():
            if array.shape != self.pitch_rad.shape or array.ndim != 1:
                raise ValueError(f"body {name}: found shape {array.shape}; expected {self.pitch_rad.shape}, one axis")
            if not np.all(np.isfinite(array)):
                raise ValueError(f"body {name}: found a value that is no finite number")
            object.__setattr__(self, name, read_only(array))

    def arrays(self) -> dict[str, Floats]:
        """Return every array by its name."""
        held = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: value for name, value in held.items() if isinstance(value, np.ndarray)}

    def upward(self) -> Floats:
        """Return which way is up, in the frame's axes (x forward, y left, z up), unit vectors, shape (n, 3)."""
        sine, cosine = np.sin(self.slope_rad), np.cos(self.slope_rad)
        across, level = cosine * np.sin(self.roll_rad), cosine * np.cos(self.roll_rad)
        ahead, up = _pitched(sine, level, self.pitch_rad)
        return np.column_stack([ahead, across, up])

    def attitude_rad(self) -> tuple[Floats, Floats]:
        """Return the frame's pitch, nose down, and roll, leaning right, against the horizon, each of shape (n,)."""
        up = self.upward()
        return -np.arcsin(np.clip(up[:, 0], -1, 1)), np.arctan2(up[:, 1], up[:, 2])


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """What an ideal inertial sensor feels in bike axes: specific force, m/s², and rotation, rad/s, each (n, 3)."""

    force_m_s2: Floats
    rotation_rad_s: Floats


def second_difference(height_m: Floats, rate_hz: float) -> Floats:
    """Return the acceleration of a height sampled evenly, m/s².

    Parameters
    ----------
    height_m : float array, shape (n,)
        n >= 3.
    rate_hz : float

    Returns
    -------
    float array, shape (n,)
        The first and the last sample take their neighbour's.

    Notes
    -----
    ``(h_(k+1) - 2 h_k + h_(k-1)) rate²``: of a sine of frequency f it keeps ``(sin(u) / u)²``, ``u = pi f / rate``;
    at 4 kHz 0.2 % less than the truth at 100 Hz.
    """
    inner = (height_m[2:] - 2 * height_m[1:-1] + height_m[:-2]) * rate_hz**2
    return np.concatenate([inner[:1], inner, inner[-1:]])


def _pitched(ahead: Floats, up: Floats, pitch_rad: Floats) -> tuple[Floats, Floats]:
    """Return a vector's parts ahead and up, seen from axes turned nose down."""
    sine, cosine = np.sin(pitch_rad), np.cos(pitch_rad)
    return ahead * cosine - up * sine, ahead * sine + up * cosine


def _rotation(body: BodyMotion) -> Floats:
    """Return the frame's rotation without its own pitching, in its own axes, rad/s, shape (n, 3)."""
    rate, down = body.rate_hz, -body.slope_rad
    rolling, tipping = np.gradient(body.roll_rad, 1 / rate), np.gradient(down, 1 / rate)
    level = body.yaw_rad_s * np.cos(down)
    about_x = rolling - body.yaw_rad_s * np.sin(down)
    about_y = tipping * np.cos(body.roll_rad) + level * np.sin(body.roll_rad)
    about_z = level * np.cos(body.roll_rad) - tipping * np.sin(body.roll_rad)
    about_x, about_z = _pitched(about_x, about_z, body.pitch_rad)
    return np.column_stack([about_x, about_y, about_z])


def _from_centre(body: BodyMotion, place: Place) -> tuple[Floats, Floats, Floats]:
    """Return a place before and above the centre of mass, its speed and its acceleration against the frame, (n, 3)."""
    own, away = body.geometry, np.zeros((body.pitch_rad.shape[0], 3))
    if place.on == "frame":
        away[:, 0], away[:, 2] = place.ahead_m, place.up_m
        return away, np.zeros_like(away), np.zeros_like(away)
    if place.on == "front_axle":
        way = np.array([-np.sqrt(1 - own.fork_sine**2), 0.0, own.fork_sine])
        at, travel_m, pushed_m_s2 = (own.front_ahead_m, 0.0, -own.front_down_m), body.front_m, body.front_m_s2
    else:
        way = np.array([0.0, 0.0, 1.0])
        at, travel_m, pushed_m_s2 = (-own.rear_behind_m, 0.0, -own.rear_down_m), body.rear_m, body.rear_m_s2
    speed_m_s = np.gradient(travel_m, 1 / body.rate_hz)
    return np.array(at) + np.outer(travel_m - travel_m[0], way), np.outer(speed_m_s, way), np.outer(pushed_m_s2, way)


def felt(body: BodyMotion, place: Place) -> Felt:
    """Return what a sensor feels at a place, in the axes of what it sits on: level as the bike rests with its rider.

    Parameters
    ----------
    body : BodyMotion
    place : Place

    Notes
    -----
    ``f + w' x r + w x (w x r) + 2 w x v + a`` with the frame's specific force f and rotation w, and the place's r,
    v and a against the frame.
    """
    slow = _rotation(body)
    turning = slow.copy()
    turning[:, 1] += np.gradient(body.pitch_rad, 1 / body.rate_hz)
    growing = np.gradient(slow, 1 / body.rate_hz, axis=0)
    growing[:, 1] += second_difference(body.pitch_rad, body.rate_hz)
    away, speed, pushed = _from_centre(body, place)
    ahead, up = _pitched(body.along_m_s2, body.normal_m_s2, body.pitch_rad)
    force = np.column_stack([ahead, np.zeros_like(ahead), up]) + np.cross(growing, away) + pushed
    force += np.cross(turning, np.cross(turning, away) + 2 * speed)
    if place.on == "rear_axle":
        arm_rad = (body.rear_m - body.rest_rear_m) / body.geometry.swingarm_m
        force[:, 0], force[:, 2] = _pitched(force[:, 0], force[:, 2], arm_rad)
        turning[:, 0], turning[:, 2] = _pitched(turning[:, 0], turning[:, 2], arm_rad)
        turning[:, 1] += np.gradient(arm_rad, 1 / body.rate_hz)
    return Felt(force_m_s2=force, rotation_rad_s=turning)
