"""One stretch of a run: its ground found from travel and parts, and any bike ridden over it again."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline, make_interp_spline

from telemetry.dynamics.car import GRAVITY_M_S2, Bike
from telemetry.dynamics.half_car import INPUTS, STATES, DivergedError, end_arguments, marched
from telemetry.dynamics.march import forces_along
from telemetry.model.arrays import Floats

from .ground import WheelPath, ground_m
from .movement import Movement, movement

LEAST_RATE_HZ = 2500.0
"""Steps a second at least: at 4000 the answers are the same (own choice)."""
STEADY = 0.9
"""Of the damping at which a step would stop the unsprung mass, the most that is taken before steps get shorter."""


class UnriddenError(ValueError):
    """A ride on paper that left all bounds."""


AT_ONCE_S = 60.0
"""A ride on paper is stepped through in pieces of this length: a run of 13 minutes took 2 GB by itself. Own choice."""
BETWEEN_DEGREE = 5
"""Of the spline through travel: continuous up to the jerk. The five-point derivative of a log's speeds falls short near
the corner of a slow log's low-pass, and baselines at 100 rows a second didn't ride back. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Travelled:
    """How both ends moved in a gap-free stretch, along each end's path, shape (2, n): front, rear.

    An end that isn't measured is 0.

    Attributes
    ----------
    travel_m, speed_m_s, acceleration_m_s2 : float array, shape (2, n)
    rate_hz : float
    """

    travel_m: Floats
    speed_m_s: Floats
    acceleration_m_s2: Floats
    rate_hz: float


def as_travelled(travel_m: Floats, rate_hz: float) -> Travelled:
    """Return filtered travel, m, shape (2, n), with its speed and acceleration by a spline through it."""
    at_rows = np.arange(travel_m.shape[1]) / rate_hz
    spline = make_interp_spline(at_rows, travel_m.T, k=BETWEEN_DEGREE)
    speed, faster = (np.ascontiguousarray(spline.derivative(order)(at_rows).T) for order in (1, 2))
    return Travelled(travel_m=travel_m, speed_m_s=speed, acceleration_m_s2=faster, rate_hz=rate_hz)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundGround:
    """What a stretch was ridden over.

    Attributes
    ----------
    wheels : (front, rear) WheelPath or None
        None for an end that isn't measured.
    moved : Movement
    start : float array, shape (10,)
        The loop's state at the first sample.
    mean_n : (front, rear)
        What each end pushed with on the mean, along its path.
    carried_kg : float
        What both ends carry.
    outside : float array, shape (2, n)
        What presses that down, N, and turns it, N m, beside its own weight: brakes, slopes, turns.
    """

    travelled: Travelled
    wheels: tuple[WheelPath | None, WheelPath | None]
    moved: Movement
    start: Floats
    mean_n: tuple[float, float]
    carried_kg: float
    outside: Floats


def found_ground(bike: Bike, measured: tuple[bool, bool], travelled: Travelled) -> FoundGround:
    """Return what a stretch was ridden over, by the forces of the parts it was ridden with.

    Parameters
    ----------
    bike : Bike
    measured : (front, rear)
        Which ends are.
    travelled : Travelled

    Notes
    -----
    Forces F by travel and speed move the body; a wheel is body plus travel; its tyre carries
    ``m (z'' + g) + F`` (F over the sine of the head angle at the front).
    """
    ends, sines = (bike.front, bike.rear), (bike.front.vertical, bike.rear.vertical)
    along = np.zeros_like(travelled.travel_m)
    for at, end in enumerate(ends):
        if measured[at]:
            along[at] = forces_along(end_arguments(end), travelled.travel_m[at], travelled.speed_m_s[at])
    moved = movement(bike, along / np.array(sines)[:, None], travelled.rate_hz)
    levers = (bike.frame.front_ahead_m, -bike.frame.rear_behind_m)
    push = travelled.acceleration_m_s2
    wheels: list[WheelPath | None] = []
    start = np.zeros(STATES)
    start[:2], start[4] = moved.place[:2, 0], moved.place[2, 0]
    start[5:7], start[9] = moved.speed[:2, 0], moved.speed[2, 0]
    for at, wheel in enumerate((bike.front_wheel, bike.rear_wheel)):
        height = moved.place[0] + levers[at] * moved.place[1] + sines[at] * travelled.travel_m[at]
        rising = moved.speed[0] + levers[at] * moved.speed[1] + sines[at] * travelled.speed_m_s[at]
        faster = moved.acceleration[0] + levers[at] * moved.acceleration[1] + sines[at] * push[at]
        start[2 + at], start[7 + at] = height[0], rising[0]
        tyre = wheel.mass_kg * (faster + GRAVITY_M_S2) + along[at] / sines[at]
        wheels.append(WheelPath(height_m=height, tyre_n=tyre, wheel=wheel) if measured[at] else None)
    return FoundGround(
        travelled=travelled,
        wheels=(wheels[0], wheels[1]),
        moved=moved,
        start=start,
        mean_n=(float(along[0].mean()), float(along[1].mean())),
        carried_kg=_carried_kg(bike),
        outside=_outside(bike, moved),
    )


def _carried_kg(bike: Bike) -> float:
    return bike.frame.mass_kg + bike.rider.mass_kg


def _outside(bike: Bike, moved: Movement) -> Floats:
    """Return the slow loads of both ends less the bike's own weight."""
    frame, rider, (front, rear) = bike.frame, bike.rider, moved.slow_n
    pressing = front + rear - _carried_kg(bike) * GRAVITY_M_S2
    stands = rider.hands_ahead_m * rider.mass_kg * GRAVITY_M_S2
    return np.array([pressing, stands - frame.front_ahead_m * front + frame.rear_behind_m * rear])


def _steps(bike: Bike, rate_hz: float) -> int:
    """Return how many steps the loop takes a sample: short enough for the stiffest damping of either end."""
    least = LEAST_RATE_HZ
    for end, wheel in ((bike.front, bike.front_wheel), (bike.rear, bike.rear_wheel)):
        slope = float(max(end.damper[[0, 2, 3, 5]])) + end.friction_n / end.friction_band_m_s
        damping = slope / float(end.ratio.min()) ** 2 + wheel.tyre_n_s_m
        least = max(least, damping / (STEADY * wheel.mass_kg))
    return max(1, math.ceil(least / rate_hz))


def laid(ground: FoundGround, rng: np.random.Generator | None = None) -> Floats:
    """Return the height under both wheels, m, shape (2, n); drawn where no tyre felt it, with `rng`."""
    rate = ground.travelled.rate_hz
    count = ground.travelled.travel_m.shape[1]
    heights = [np.zeros(count) if wheel is None else ground_m(wheel, rate, rng) for wheel in ground.wheels]
    return np.array(heights)


def ridden_again(bike: Bike, ground: FoundGround, heights_m: Floats) -> Floats:
    """Return the travel of a bike over a ground at the log's samples, m along each end's path, shape (2, n).

    Parameters
    ----------
    bike : Bike
        The one the ground was found with, or another.
    ground : FoundGround
    heights_m : float array, shape (2, n)
        From `laid`.

    Raises
    ------
    UnriddenError

    Notes
    -----
    The same loop as the simulation's. What moved nothing in the measured ride is given as loads, what no part explains
    as pushes on wheels in the air; both to whatever bike rides here. In the air the rider turns it to the pitch in
    which he rode the measured one. Another's weight is its own, and what brakes, slopes and turns press it down with
    goes with its mass.
    """
    rate, count = ground.travelled.rate_hz, heights_m.shape[1]
    heights = CubicSpline(np.arange(count) / rate, heights_m.T)
    found, state = np.empty((2, count)), ground.start.copy()
    piece = max(1, int(AT_ONCE_S * rate))
    for first in range(0, max(count - 1, 1), piece):
        last = min(first + piece, count - 1)
        found[:, first : last + 1] = _marched_on(bike, ground, heights, (first, last), state)
    return found


def _marched_on(bike: Bike, ground: FoundGround, heights: CubicSpline, rows: tuple[int, int], state: Floats) -> Floats:
    """Return the travel from one row to another, both of them held; `state` is taken from the first to the last."""
    (first, last), rate = rows, ground.travelled.rate_hz
    steps = _steps(bike, rate)
    at_rows = np.arange(first, last + 1) / rate
    fine = first / rate + np.arange((last - first) * steps + 1) / (rate * steps)
    part = slice(first, last + 1)
    inputs = np.empty((fine.shape[0], INPUTS))
    inputs[:, :2] = heights(fine)
    heavier = _carried_kg(bike) / ground.carried_kg
    inputs[:, 2], inputs[:, 6] = (heavier * np.interp(fine, at_rows, load[part]) for load in ground.outside)
    inputs[:, 3:5], inputs[:, 5] = 0.0, GRAVITY_M_S2
    for at, wheel in enumerate((bike.front_wheel, bike.rear_wheel)):
        path = ground.wheels[at]
        weightless = wheel.mass_kg * GRAVITY_M_S2
        inputs[:, 7 + at] = weightless if path is None else np.interp(fine, at_rows, path.left_over_n[part])
    for at, pitch in ((9, ground.moved.place[1]), (10, ground.moved.speed[1])):
        inputs[:, at] = np.interp(fine, at_rows, pitch[part])
    try:
        kept, _ = marched(bike, state, inputs, rate * steps, 0.0)
    except DivergedError as error:
        raise UnriddenError(f"on paper {error}") from error
    return np.asarray(kept[:2, ::steps])
