"""A bike and its rider on a road, seen from the side: five masses, integrated step by step by a compiled loop."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats, read_only

from .car import GRAVITY_M_S2, Bike, EndTables
from .energies import stored_j
from .given import HELD_DAMPING, Given
from .march import march

STATES = 10
"""Heave, pitch, front wheel, rear wheel, rider; then the five speeds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The continuous state of one run, a sample a step.

    Attributes
    ----------
    rate_hz : float
    front_m, rear_m : float arrays, shape (n,)
        Wheel travel: along the fork's axis, and of the rear axle; positive in compression.
    front_m_s, rear_m_s : float arrays, shape (n,)
    front_tyre_n, rear_tyre_n : float arrays, shape (n,)
        What the ground pushes with; 0 in the air.
    front_along_n, rear_along_n : float arrays, shape (n,)
        What brakes and drive push the bike with along the ground, forward; 0 in the air.
    heave_m, pitch_rad, rider_m : float arrays, shape (n,)
    work_j : dict of str to float
        Work done on the bike: by the road, by pushes and forces along the ground; taken out by dampers, friction,
        tyres, rider; and what is stored at the end less at the start.
    """

    rate_hz: float
    front_m: Floats
    rear_m: Floats
    front_m_s: Floats
    rear_m_s: Floats
    front_tyre_n: Floats
    rear_tyre_n: Floats
    front_along_n: Floats
    rear_along_n: Floats
    heave_m: Floats
    pitch_rad: Floats
    rider_m: Floats
    work_j: dict[str, float]


class DivergedError(Exception):
    """The integration left all bounds; `second` says when."""

    def __init__(self, second: float) -> None:
        self.second = second
        super().__init__(f"the bike's motion grew without bound after {second:.3f} s")


def end_arguments(end: EndTables) -> tuple[object, ...]:
    """Return an end as the loop takes it."""
    table = np.column_stack([end.force_n, 1.0 / end.ratio, end.end_factor])
    damper = tuple(float(value) for value in end.damper)
    return end.first_m, 1.0 / end.step_m, table, damper, end.friction_n, end.friction_band_m_s


def _levers(bike: Bike) -> tuple[float, ...]:
    """Return through what forces along the ground act, as the loop takes it."""
    own, frame, sine = bike.heights, bike.frame, bike.front.vertical
    per_share = -whole_height_m(bike) / frame.wheelbase_m
    return (
        math.sqrt(max(1.0 - sine * sine, 0.0)) / sine,
        own.centre_m,
        own.centre_m - own.front_axle_m,
        own.centre_m - own.rear_axle_m,
        own.anti_squat * per_share,
        own.anti_rise * per_share,
        bike.rider.mass_kg * (own.rider_m - own.centre_m),
        own.grip,
        bike.mass_kg,
        frame.pitch_inertia_kg_m2 * own.holding_rad_s**2,
        frame.pitch_inertia_kg_m2 * own.holding_rad_s * 2 * HELD_DAMPING,
    )


def whole_height_m(bike: Bike) -> float:
    """Return the height over the ground of the centre of mass of bike and rider together, m."""
    own, frame, rider = bike.heights, bike.frame, bike.rider
    moment = frame.mass_kg * own.centre_m + rider.mass_kg * own.rider_m
    moment += bike.front_wheel.mass_kg * own.front_axle_m + bike.rear_wheel.mass_kg * own.rear_axle_m
    return moment / bike.mass_kg


def axle_loads_n(bike: Bike) -> tuple[float, float]:
    """Return what frame and rider load the front and the rear end with at rest on level ground, vertical, N."""
    frame, rider = bike.frame, bike.rider
    weight = frame.mass_kg * GRAVITY_M_S2
    legs = rider.legs_share * rider.mass_kg * GRAVITY_M_S2
    arms = (1 - rider.legs_share) * rider.mass_kg * GRAVITY_M_S2
    moment = legs * rider.pedals_ahead_m + arms * rider.hands_ahead_m
    front = ((weight + legs + arms) * frame.rear_behind_m + moment) / frame.wheelbase_m
    return front, weight + legs + arms - front


def travel_under_m(end: EndTables, load_n: float) -> float:
    """Return the wheel travel at which an end carries a vertical load at rest, without friction, m.

    Raises
    ------
    ValueError
        If no travel within the table carries it.
    """
    wanted = load_n * end.vertical
    if not end.force_n[0] < wanted <= end.force_n[-1]:
        raise ValueError(f"no travel carries {load_n:.0f} N")
    place = int(np.searchsorted(end.force_n, wanted))
    below, above = end.force_n[place - 1], end.force_n[place]
    return end.first_m + end.step_m * (place - 1 + float((wanted - below) / (above - below)))


def at_rest(bike: Bike) -> Floats:
    """Return the state in which bike and rider stand still on level ground at height 0, shape (10,)."""
    frame = bike.frame
    front_n, rear_n = axle_loads_n(bike)
    sunk_f = (front_n + bike.front_wheel.mass_kg * GRAVITY_M_S2) / bike.front_wheel.tyre_n_m
    sunk_r = (rear_n + bike.rear_wheel.mass_kg * GRAVITY_M_S2) / bike.rear_wheel.tyre_n_m
    front_m = -sunk_f - travel_under_m(bike.front, front_n) * bike.front.vertical
    rear_m = -sunk_r - travel_under_m(bike.rear, rear_n)
    pitch = (front_m - rear_m) / frame.wheelbase_m
    heave = front_m - frame.front_ahead_m * pitch
    state = np.zeros(STATES)
    state[:5] = heave, pitch, -sunk_f, -sunk_r, heave
    return state


INPUTS = 11
"""Columns of what is given to the loop at each step; `march` says which."""


def marched(bike: Bike, state: Floats, inputs: Floats, rate_hz: float, rest_rad: float) -> tuple[Floats, Floats]:
    """Return what the loop keeps of a bike's motion under what is given at each step, and the works, J.

    Parameters
    ----------
    bike : Bike
    state : float array, shape (10,)
        At the start; at the end when done.
    inputs : float array, shape (n, 11)
        As `march` says.
    rate_hz : float
    rest_rad : float
        Pitch at which the rider's springs are at ease.

    Raises
    ------
    DivergedError
        If the motion leaves all bounds.
    """
    frame, rider = bike.frame, bike.rider
    masses = (
        frame.mass_kg,
        frame.pitch_inertia_kg_m2,
        rider.mass_kg,
        bike.front_wheel.mass_kg,
        bike.rear_wheel.mass_kg,
        GRAVITY_M_S2,
    )
    body = (
        frame.front_ahead_m,
        frame.rear_behind_m,
        bike.front_wheel.tyre_n_m,
        bike.front_wheel.tyre_n_s_m,
        bike.rear_wheel.tyre_n_m,
        bike.rear_wheel.tyre_n_s_m,
        rider.legs_n_m,
        rider.legs_n_s_m,
        rider.arms_n_m,
        rider.arms_n_s_m,
        rider.legs_share,
        rider.pedals_ahead_m,
        rider.hands_ahead_m,
        bike.front.vertical,
        rest_rad,
        rider.turning_n_m,
        rider.turning_n_m_s,
    )
    kept = np.empty((11, inputs.shape[0]))
    ends = (end_arguments(bike.front), end_arguments(bike.rear))
    work, failed = march(state, 1.0 / rate_hz, inputs, (masses, body, ends, _levers(bike)), kept)
    if failed >= 0 or not np.all(np.isfinite(state)):
        raise DivergedError((failed if failed >= 0 else inputs.shape[0]) / rate_hz)
    return kept, work


def ride(
    bike: Bike, roads_m: Floats, rate_hz: float, *, push_n: Floats | None = None, given: Given | None = None
) -> Motion:
    """Return the motion of a bike over a road, starting at rest on level ground.

    Parameters
    ----------
    bike : Bike
    roads_m : float array, shape (n, 2)
        Height under the front and the rear wheel at each step, the wheels' size taken into account.
    rate_hz : float
        Steps a second, 4000 or more.
    push_n : float array, shape (n,), optional
        A push down on the frame.
    given : Given, optional
        What brakes, drive and turns do; else nothing along the ground, and the bike upright.

    Returns
    -------
    Motion

    Raises
    ------
    DivergedError
        If the motion leaves all bounds.

    Notes
    -----
    Heun's rule, second order. Heave z, pitch t, wheels zf, zr and the rider's mass, heights from where both ends are
    topped out and the tyres just touch level ground at 0. The front wheel moves along the fork's axis: its force
    pushes the frame with F / sin(head angle), travel is vertical travel / sin(head angle). Small pitch;
    one line of contact a wheel. Forces along the ground act by virtual work, speed itself being given: at the tyres'
    contact, the inertia of each mass at its own height. The rider's springs are at ease at the pitch of rest.
    """
    state = at_rest(bike)
    rest_rad = float(state[1])
    before = stored_j(bike, state, roads_m[0], rest_rad)
    inputs = np.zeros((roads_m.shape[0], INPUTS))
    inputs[:, :2], inputs[:, 5] = roads_m, GRAVITY_M_S2
    if push_n is not None:
        inputs[:, 2] = push_n
    if given is not None:
        inputs[:, 2] += given.push_n
        inputs[:, 3], inputs[:, 4], inputs[:, 5] = given.front_n, given.rear_n, given.gravity_m_s2
    kept, work = marched(bike, state, inputs, rate_hz, rest_rad)
    stored = stored_j(bike, state, roads_m[-1], rest_rad) - before
    names = ("road", "dampers", "friction", "tyres", "rider", "pushes")
    front_m, rear_m, front_m_s, rear_m_s, front_n, rear_n, heave_m, pitch_rad, rider_m, along_f_n, along_r_n = (
        read_only(row) for row in kept
    )
    return Motion(
        rate_hz=rate_hz,
        front_m=front_m,
        rear_m=rear_m,
        front_m_s=front_m_s,
        rear_m_s=rear_m_s,
        front_tyre_n=front_n,
        rear_tyre_n=rear_n,
        front_along_n=along_f_n,
        rear_along_n=along_r_n,
        heave_m=heave_m,
        pitch_rad=pitch_rad,
        rider_m=rider_m,
        work_j={**dict(zip(names, work.tolist(), strict=True)), "stored": stored},
    )
