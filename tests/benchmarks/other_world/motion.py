"""How a bike of the other world moves over ground: three families, one set of wheels, integrated step by step.

``quarter`` is two quarter-cars, ``half`` a rigid bike and rider that rise and pitch, ``legs`` a frame with the rider on
feet and hands. All push on their wheels by `equations`.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple, get_args

import numpy as np
from numba import njit
from numba.extending import register_jitable

from .equations import End, Floats, G, bend, damper_n, rest_travel_m, spring_n, stops_n, stroke_of, tyre_n, warm

Family = Literal["quarter", "half", "legs"]
FAMILIES: tuple[Family, ...] = get_args(Family)
STEPS_S = 6000
"""Steps a second."""
KEPT_EVERY = 12
ROWS_S = STEPS_S // KEPT_EVERY
"""Rows a second of what is kept: 500."""
MOST_HANDS_PULL_N = 250.0
MOST_BRAKED = 0.8
"""Share of what presses on the ground that brakes take up at most."""
IN_AIR_N = 50.0
"""Below what presses on the ground is the bike flying: its rider then steadies its pitch."""


class Body(NamedTuple):
    """What rides on the two ends: kg, m from the mass centre of what rises, N/m, N s/m.

    `front_kg` and `rear_kg` are what rests on each end at a standstill.
    """

    front_kg: float
    rear_kg: float
    frame_kg: float
    """Of what rises and pitches: with the rider but in ``legs``."""
    pitch_kg_m2: float
    to_front_m: float
    to_rear_m: float
    height_m: float
    """Of the mass centre over the ground: what brakes pitch about."""
    whole_kg: float
    steady_n_m_s: float = 60.0
    """How a rider steadies pitch in the air."""
    rider_kg: float = 1.0
    feet_share: float = 1.0
    feet_m: float = 0.0
    hands_m: float = 0.0
    feet_n_m: float = 1.0
    feet_n_s_m: float = 0.0
    hands_n_m: float = 1.0
    hands_n_s_m: float = 0.0


class Course(NamedTuple):
    """A run's ground and loads, `STEPS_S` a second.

    Parameters
    ----------
    front_m, rear_m : float arrays, shape (N,)
        Ground beneath each axle, up.
    braking_m_s2 : float array, shape (N,)
    nose_up_n_m : float array, shape (N,)
        What leaning and pedalling pitch with.
    legs_n : float array, shape (N,)
        What the legs push down with beyond the rider's weight.
    """

    front_m: Floats
    rear_m: Floats
    braking_m_s2: Floats
    nose_up_n_m: Floats
    legs_n: Floats


class Ridden(NamedTuple):
    """What a run gave, `ROWS_S` a second, front and rear: strokes in m, what tyres press with in N."""

    stroke_m: Floats
    tyre_n: Floats


# of `at` and `speed`, in m and rad, up and nose up: the wheels, what rises at each end or rises and pitches, the rider
FRONT_WHEEL, REAR_WHEEL, FIRST, SECOND, RIDER = range(5)


@register_jitable
def _end_places(quarters: bool, body: Body, at: Floats) -> tuple[float, float]:
    """Return what is sprung above front and rear; of speeds alike."""
    if quarters:
        return at[FIRST], at[SECOND]
    return at[FIRST] + body.to_front_m * at[SECOND], at[FIRST] - body.to_rear_m * at[SECOND]


@register_jitable
def _push_n(end: End, travel_m: float, speed_m_s: float, warmth: Floats, bristle: Floats) -> tuple[float, float]:
    """Return what an end pushes wheel and body apart with, vertically, and its stroke; move gas and friction on."""
    stroke, ratio = stroke_of(end, travel_m)
    shaft_m_s = speed_m_s / ratio
    warm(end, stroke, shaft_m_s, warmth, 1 / STEPS_S)
    bend(end, bristle, shaft_m_s, 1 / STEPS_S)
    force = spring_n(end, stroke, warmth) + damper_n(end, shaft_m_s) + stops_n(end, stroke, shaft_m_s)
    return (force + end.friction_n * bristle[0]) / ratio, stroke


@register_jitable
def _quarters(body: Body, front_n: float, rear_n: float, nose_up_n_m: float, gained: Floats) -> None:
    shifts = nose_up_n_m / (body.to_front_m + body.to_rear_m)
    gained[FIRST] = (front_n - shifts) / body.front_kg - G
    gained[SECOND] = (rear_n + shifts) / body.rear_kg - G


@register_jitable
def _rigid(body: Body, front_n: float, rear_n: float, nose_up_n_m: float, down_n: float, gained: Floats) -> None:
    gained[FIRST] = (front_n + rear_n - down_n) / body.frame_kg - G
    gained[SECOND] = (body.to_front_m * front_n - body.to_rear_m * rear_n + nose_up_n_m) / body.pitch_kg_m2


@register_jitable
def _rider_n(body: Body, at: Floats, speed: Floats, legs_n: float) -> tuple[float, float]:
    """Return what feet and hands press the frame with; feet never pull, hands not much."""
    weight = body.rider_kg * G
    closer = at[FIRST] + body.feet_m * at[SECOND] - at[RIDER]
    closing = speed[FIRST] + body.feet_m * speed[SECOND] - speed[RIDER]
    feet = body.feet_share * weight + body.feet_n_m * closer + body.feet_n_s_m * closing + legs_n
    closer = at[FIRST] + body.hands_m * at[SECOND] - at[RIDER]
    closing = speed[FIRST] + body.hands_m * speed[SECOND] - speed[RIDER]
    hands = (1 - body.feet_share) * weight + body.hands_n_m * closer + body.hands_n_s_m * closing
    return max(feet, 0.0), max(hands, -MOST_HANDS_PULL_N)


@register_jitable
def _gain(
    kind: int, body: Body, ends_n: tuple[float, float], loads_n: tuple[float, float, float], moves: Floats
) -> None:
    """Write accelerations of what is sprung into the last row of `moves`: places, speeds, accelerations."""
    front_n, rear_n = ends_n
    nose_up_n_m, legs_n, pressed_n = loads_n
    at, speed, gained = moves[0], moves[1], moves[2]
    if kind == 0:
        _quarters(body, front_n, rear_n, nose_up_n_m, gained)
        return
    if pressed_n < IN_AIR_N:
        nose_up_n_m -= body.steady_n_m_s * speed[SECOND]
    if kind == 1:
        _rigid(body, front_n, rear_n, nose_up_n_m, 0.0, gained)
        return
    feet, hands = _rider_n(body, at, speed, legs_n)
    turned = nose_up_n_m - body.feet_m * feet - body.hands_m * hands
    _rigid(body, front_n, rear_n, turned, feet + hands, gained)
    gained[RIDER] = (feet + hands) / body.rider_kg - G


def march(
    kind: int, ends: tuple[End, End], body: Body, course: Course, rest: tuple[float, float], settle: int
) -> tuple[Floats, Floats]:
    """Ride a course from rest, `settle` steps at its start first; return strokes and tyre loads, `ROWS_S` a second.

    Places are told from where all rests, each end at the wheel travel that `rest` tells: there they are 0.
    """
    front, rear = ends
    stroke_m = np.zeros((2, course.front_m.size // KEPT_EVERY))
    tyre = np.zeros_like(stroke_m)
    moves, warmth, bristle = np.zeros((3, 5)), np.ones((2, 3)), np.zeros(2)
    at, speed, gained = moves[0], moves[1], moves[2]
    front_pressed = (body.front_kg + front.unsprung_kg) * G / front.tyre_n_m
    rear_pressed = (body.rear_kg + rear.unsprung_kg) * G / rear.tyre_n_m
    was = 0
    for step in range(-settle, course.front_m.size):
        now = max(step, 0)
        above_front, above_rear = _end_places(kind == 0, body, at)
        rises_front, rises_rear = _end_places(kind == 0, body, speed)
        travel = rest[0] + at[FRONT_WHEEL] - above_front
        front_n, front_m = _push_n(front, travel, speed[FRONT_WHEEL] - rises_front, warmth[0], bristle[0:1])
        travel = rest[1] + at[REAR_WHEEL] - above_rear
        rear_n, rear_m = _push_n(rear, travel, speed[REAR_WHEEL] - rises_rear, warmth[1], bristle[1:2])
        pressing = (course.front_m[now] - course.front_m[was]) * STEPS_S - speed[FRONT_WHEEL]
        front_tyre = tyre_n(front, front_pressed + course.front_m[now] - course.front_m[0] - at[FRONT_WHEEL], pressing)
        pressing = (course.rear_m[now] - course.rear_m[was]) * STEPS_S - speed[REAR_WHEEL]
        rear_tyre = tyre_n(rear, rear_pressed + course.rear_m[now] - course.rear_m[0] - at[REAR_WHEEL], pressing)
        was = now
        pressed = front_tyre + rear_tyre
        braked = min(body.whole_kg * course.braking_m_s2[now], MOST_BRAKED * pressed) * body.height_m
        _gain(kind, body, (front_n, rear_n), (course.nose_up_n_m[now] - braked, course.legs_n[now], pressed), moves)
        gained[FRONT_WHEEL] = (front_tyre - front_n) / front.unsprung_kg - G
        gained[REAR_WHEEL] = (rear_tyre - rear_n) / rear.unsprung_kg - G
        speed += gained / STEPS_S
        at += speed / STEPS_S
        row = step // KEPT_EVERY
        if step >= 0 and step % KEPT_EVERY == 0 and row < stroke_m.shape[1]:
            stroke_m[0, row], stroke_m[1, row], tyre[0, row], tyre[1, row] = front_m, rear_m, front_tyre, rear_tyre
    return stroke_m, tyre


@cache
def _compiled():  # type: ignore[no-untyped-def]
    return njit(march)


def ridden(
    family: Family, ends: tuple[End, End], body: Body, course: Course, *, settle_s: float = 4.0, compiled: bool = True
) -> Ridden:
    """Ride a course from rest.

    Parameters
    ----------
    family : {"quarter", "half", "legs"}
    ends : tuple of End
        Front and rear.
    body : Body
    course : Course
    settle_s : float
        How long it first stands at the course's start.
    compiled : bool
        By compiled functions; else by the same as they are written, slow but at once.
    """
    kind = FAMILIES.index(family)
    front, rear = ends
    rest = rest_travel_m(front, body.front_kg * G), rest_travel_m(rear, body.rear_kg * G)
    run = _compiled() if compiled else march
    return Ridden(*run(kind, ends, body, course, rest, int(settle_s * STEPS_S)))
