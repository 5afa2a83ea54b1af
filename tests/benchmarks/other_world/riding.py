"""How the other world's bikes are ridden: pace, brakes, leaning, legs; and how rough it may get.

All of a trail's runs brake and pedal about where the others do, at a pace somewhat their own. What a rider does is
from memory of riding, not measured.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import CubicSpline

from .bike import PLACES, Bike, equations_of
from .equations import Floats, G
from .motion import STEPS_S, Body, Course, Family, Ridden, ridden
from .trail import STEP_M, Trail, axle_path_m, drawn_trail, ground_m

STANDS_S = (4.0, 3.0)
"""Before and after a run."""
AXLE_M = {False: 0.37, True: 0.345}
"""A tyre's radius; of a dirt bike's."""
BRAKES = {"quarter": (5, 3.0), "half": (6, 3.0), "legs": (9, 4.5)}
"""How often a run brakes, and how hard at most, m/s²."""
PEDALS, CADENCE_HZ = 4, 2.4
"""How often a rider on legs pedals for some seconds, and how many strokes of the legs a second."""
DEEPEST = (0.58, 0.8)
"""Between which share of travel the deeper end's stroke is to lie but for 0.5 % of the time."""
OFF_GROUND = 0.25
"""Of the time, that a tyre may carry nothing; a trail that unloads one longer is calmed. Own choice: half of the time,
as a light frame beneath a rider on legs takes it over drawn ground, nobody rides."""
CALMING, TRIES = 0.75, 10
TRIAL_RUN = 999
"""A line that no run of the day takes."""
CHATTER = {"quarter": 1.0, "half": 1.0, "legs": 0.55}
"""Of roughness and rocks: a light frame chatters sooner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What all runs of a day share: trail, heights, pace in m/s, how long, and what their own draws start from."""

    trail: Trail
    times: float
    pace_m_s: float
    lasts_s: float
    seed: int


def drawn_body(bike: Bike, rng: np.random.Generator, family: Family) -> Body:
    """Draw what rides on a bike's ends."""
    base, front, rear = bike.wheelbase_mm / 1e3, bike.sprung_kg("front"), bike.sprung_kg("rear")
    height = rng.uniform(*((0.85, 0.95) if bike.dirt else (0.95, 1.15)))
    if family == "legs":
        return _on_legs(bike, rng, height)
    whole = front + rear
    to_front, to_rear = base * rear / whole, base * front / whole
    return Body(
        front_kg=front,
        rear_kg=rear,
        frame_kg=whole,
        pitch_kg_m2=whole * to_front * to_rear * rng.uniform(0.6, 1.0),
        to_front_m=to_front,
        to_rear_m=to_rear,
        height_m=height,
        whole_kg=bike.whole_kg,
    )


def _on_legs(bike: Bike, rng: np.random.Generator, height: float) -> Body:
    """Draw a frame and its rider on feet and hands, so that the whole rests on both wheels as the bike's does."""
    base, front, rear = bike.wheelbase_mm / 1e3, bike.sprung_kg("front"), bike.sprung_kg("rear")
    frame, rider = front + rear - bike.rider_kg, bike.rider_kg
    frame_front = rng.uniform(0.40, 0.47)
    rider_front = (front - frame * frame_front) / rider
    feet, hands = (0.42, 0.62) if bike.dirt else (0.35, 0.56)
    hands_share = float(np.clip((rider_front - feet) / (hands - feet), 0.08, 0.6))
    feet = (rider_front - hands_share * hands) / (1 - hands_share)
    to_rear = base * frame_front
    hertz, zeta = rng.uniform(1.4, 2.6), rng.uniform(0.4, 0.8)
    stiffness = rider * (2 * math.pi * hertz) ** 2
    loss = 2 * zeta * math.sqrt(stiffness * rider)
    by_legs = rng.uniform(0.7, 0.85)
    return Body(
        front_kg=front,
        rear_kg=rear,
        frame_kg=frame,
        pitch_kg_m2=frame * (base * rng.uniform(0.34, 0.42)) ** 2,
        to_front_m=base - to_rear,
        to_rear_m=to_rear,
        height_m=height,
        whole_kg=bike.whole_kg,
        rider_kg=rider,
        feet_share=1 - hands_share,
        feet_m=feet * base - to_rear,
        hands_m=hands * base - to_rear,
        feet_n_m=by_legs * stiffness,
        feet_n_s_m=by_legs * loss,
        hands_n_m=(1 - by_legs) * stiffness,
        hands_n_s_m=(1 - by_legs) * loss,
    )


def _slow(rng: np.random.Generator, count: int, corner_hz: float, size: float) -> Floats:
    """Draw what changes no faster than the corner, with such a standard deviation."""
    apart = max(int(STEPS_S / (8 * corner_hz)), 1)
    knots = rng.standard_normal(count // apart + 4)
    drawn = np.asarray(CubicSpline(apart * np.arange(knots.size), knots)(np.arange(count)))
    return np.asarray(size * drawn / drawn.std())


def _beneath(bike: Bike, way: Way, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Return the ground beneath both axles over a run's time; the trail's own course of speed times the run's."""
    path = axle_path_m(ground_m(way.trail, rng, way.times), AXLE_M[bike.dirt])
    x = np.arange(path.size) * STEP_M
    knots = np.arange(0, x[-1] + 30, 15.0)
    trails_own = np.random.default_rng(way.trail.seed + 7).standard_normal(knots.size)
    speeds = way.pace_m_s * np.clip(1 + 0.18 * trails_own, 0.6, 1.45)
    speeds *= (1 + 0.015 * rng.standard_normal()) * (1 + 0.02 * rng.standard_normal(knots.size))
    passed = np.concatenate(([0], np.cumsum(STEP_M / np.interp(x, knots, speeds)[:-1])))
    time = np.arange(int(min(passed[-1] - 0.5, 1.15 * way.lasts_s) * STEPS_S)) / STEPS_S
    at = np.interp(time, passed, x)
    return np.interp(at, x, path), np.interp(at - bike.wheelbase_mm / 1e3, x, path)


def _half_sines(time: Floats, rng: np.random.Generator, way: Way, often: int, hardest: float) -> Floats:
    """Return braking about where all runs of the trail brake."""
    trails_own = np.random.default_rng(way.trail.seed + 13)
    braking = np.zeros_like(time)
    for _ in range(often):
        at = trails_own.uniform(3, way.lasts_s - 5) + 0.1 * rng.standard_normal()
        lasts = trails_own.uniform(0.6, 2.0)
        hard = trails_own.uniform(1.0, hardest) * (1 + 0.15 * rng.standard_normal())
        into = np.clip((time - at) / lasts, 0, 1)
        braking += hard * np.sin(np.pi * into) ** 0.7
    return braking


def _pedalling(time: Floats, way: Way) -> tuple[Floats, Floats]:
    """Return what pedalling pushes down with, -1 to 1, and how hard it drives, 0 to 2."""
    trails_own = np.random.default_rng(way.trail.seed + 17)
    push, drive = np.zeros_like(time), np.zeros_like(time)
    for _ in range(PEDALS):
        at, lasts = trails_own.uniform(3, way.lasts_s - 8), trails_own.uniform(2, 5)
        inside = np.clip((time - at) / 0.4, 0, 1) * np.clip((at + lasts - time) / 0.4, 0, 1)
        turn = np.sin(2 * np.pi * CADENCE_HZ * (time - at))
        push += inside * turn
        drive += inside * (1 + turn)
    return push, drive


def course_of(bike: Bike, way: Way, run: int, family: Family) -> Course:
    """Return one run's ground and loads: the same for every setup of the bike.

    Parameters
    ----------
    bike : Bike
        Of which wheelbase, masses and kind count.
    way : Way
    run : int
        Its number: another line, pace and rider's course.
    family : {"quarter", "half", "legs"}
    """
    rng = np.random.default_rng((way.seed, run))
    front, rear = _beneath(bike, way, rng)
    time: Floats = np.arange(front.size, dtype=np.float64) / STEPS_S
    often, hardest = BRAKES[family]
    braking = _half_sines(time, rng, way, often, hardest)
    weight, weight_m = bike.rider_kg * G, bike.whole_kg * G * bike.wheelbase_mm / 1e3
    nose_up = _slow(rng, time.size, 0.2, 0.015 * weight_m) + 0.006 * weight_m * rng.standard_normal()
    legs = np.zeros_like(time)
    if family == "legs":
        push, drive = _pedalling(time, way)
        legs = _slow(rng, time.size, 1.2, 0.07 * weight) + 0.10 * weight * push
        nose_up += 0.02 * weight_m * drive
    riding = np.clip(time, 0, 1) * np.clip(time[-1] - time, 0, 1)
    stands = [int(STEPS_S * seconds) for seconds in STANDS_S]
    loads = [np.pad(one * riding, stands) for one in (braking, nose_up, legs)]
    return Course(np.pad(front, stands, mode="edge"), np.pad(rear, stands, mode="edge"), *loads)


def ride(bike: Bike, body: Body, course: Course, family: Family) -> Ridden:
    """Ride a course on a bike."""
    return ridden(family, (equations_of(bike, "front"), equations_of(bike, "rear")), body, course)


def unloaded(found: Ridden) -> float:
    """Return the share of a run's time in which the tyre that carries less often carries nothing."""
    return float((found.tyre_n < 1).mean(axis=1).max())


def drawn_way(bike: Bike, body: Body, rng: np.random.Generator, family: Family) -> Way:
    """Draw trail and pace, with heights that use a wished share of travel and leave the tyres on the ground."""
    lasts = rng.uniform(60, 80)
    pace = rng.uniform(*((9, 13) if bike.dirt else (6.0, 8.5)))
    trail = drawn_trail(rng, pace * lasts * 1.25 + 30, dirt=bike.dirt).calmer(CHATTER[family])
    way = Way(trail=trail, times=1.0, pace_m_s=pace, lasts_s=lasts, seed=int(rng.integers(1 << 31)))
    wished = rng.uniform(*DEEPEST)
    full = np.array([bike.end(place).stroke_mm / 1e3 for place in PLACES])
    for number in range(TRIES):
        found = ride(bike, body, course_of(bike, way, TRIAL_RUN, family), family)
        deep = float((np.quantile(found.stroke_m, 0.995, axis=1) / full).max())
        calm = unloaded(found) <= OFF_GROUND
        if number == TRIES - 1 or (calm and abs(deep - wished) < 0.03):
            break
        times = float(np.clip(way.times * (wished / deep) ** 1.6, 0.2, 3.0))
        way = replace(way, times=times, trail=way.trail if calm else way.trail.calmer(CALMING))
    return way
