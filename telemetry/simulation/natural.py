"""A natural trail drawn from a seed: turns, pace, mixed ground, rocks, roots, braking bumps, drops and jumps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.stretches import stretches
from telemetry.units import STANDARD_GRAVITY_M_S2

from .obstacles import BrakingBumps, Bump, Drop, Obstacle, Tabletop
from .pace import STEP_M, Course, Limits, graded, limited
from .road import GEOMETRIC_MEAN_M3
from .trail import Stretch, Trail

PART_M = (15.0, 60.0)
EDGE_M = 15.0
"""Nothing stands so near to where a trail begins or ends."""
ROOM_M = (10.0, 8.0)
"""Before and behind a jump or drop, where nothing else stands and no turn is."""
TURN_DEG = (35.0, 140.0)
BLEND_IN_M = 3.0
"""Along which a turn tightens and opens."""
ROCK_LENGTH, ROOT_LENGTH_M = (5.0, 12.0), (0.06, 0.15)
"""A rock's length over its height."""
DIP_LENGTH = (9.0, 16.0)
"""A dip's length over its depth: shallow enough for wheels to follow."""
HOLE_SHARE = 0.2
BUMPY_M_S2 = -1.5
"""Braking that digs bumps."""
LEAST_WAVES = 3
THICKNESS_SD, LEVEL_SD = 0.6, 0.6
"""How much parts differ in rocks and roots, of a natural logarithm, and in roughness, of a class."""
LIP_SLOPE = (0.3, 0.5)
GAP_SHARE = (0.4, 0.9)
"""Of what a point flies from lip to the lip's height."""
NATURAL = 1
"""Keeps what is drawn here apart from the ground, which is drawn from the same seed."""
Flown: TypeAlias = tuple[Obstacle, float, float]
"""A jump or drop, and from where to where a bike may be in the air."""
FLOWN_M = 20.0
"""How far a jump or drop is looked ahead of for the speed it is cut for."""
TRIES = 40
"""Places tried for a jump or drop before it is left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NaturalPlan:
    """What a natural trail is drawn from: how much of each kind, from how large to how large. SI units.

    Attributes
    ----------
    length_m, speed_m_s : float
        Length, and the pace of its straights.
    road_class : str
        Of its middle ground; parts of 15 to 60 m lie up to a class above or below.
    waviness : float
    gradient : float
        Mean rise over run, downhill negative.
    turn_every_m : float
        Mean distance of turns.
    turn_radius_m, rock_m, root_m, dip_m, drop_m, lip_m, braking_bump_m : (least, most)
        Radii, heights and the braking bumps' wavelengths are drawn within these.
    rocks_per_m, roots_per_m, dips_per_m, drops_per_m, jumps_per_m : float
        Mean numbers.
    braking_bumps_m : float
        Highest from trough to crest; 0: none.
    braking_m_s2, accelerating_m_s2, cornering_m_s2 : float
        What the rider allows himself.
    """

    length_m: float
    speed_m_s: float
    road_class: str
    waviness: float
    gradient: float
    turn_every_m: float
    turn_radius_m: tuple[float, float]
    rocks_per_m: float
    rock_m: tuple[float, float]
    roots_per_m: float
    root_m: tuple[float, float]
    dips_per_m: float
    dip_m: tuple[float, float]
    braking_bumps_m: float
    braking_bump_m: tuple[float, float]
    drops_per_m: float
    drop_m: tuple[float, float]
    jumps_per_m: float
    lip_m: tuple[float, float]
    braking_m_s2: float
    accelerating_m_s2: float
    cornering_m_s2: float


def _between(rng: np.random.Generator, bounds: tuple[float, float]) -> float:
    """Return a number between two, as likely in any part of an even ratio."""
    low, high = bounds
    return float(low * (high / low) ** rng.random())


def _turns(plan: NaturalPlan, rng: np.random.Generator, x_m: Floats) -> Floats:
    """Return curvature along the trail, 1/m, left positive: turns that tighten and open along half a cosine."""
    curvature = np.zeros_like(x_m)
    at = EDGE_M + plan.turn_every_m * (0.3 + 0.5 * rng.random())
    while True:
        radius = _between(rng, plan.turn_radius_m)
        length = radius * math.radians(rng.uniform(*TURN_DEG)) + BLEND_IN_M
        if at + length > plan.length_m - EDGE_M:
            return curvature
        inside = (x_m >= at) & (x_m <= at + length)
        from_edge = np.minimum(x_m[inside] - at, at + length - x_m[inside])
        rise = (1 - np.cos(math.pi * np.clip(from_edge / BLEND_IN_M, 0, 1))) / 2
        curvature[inside] = rng.choice([-1.0, 1.0]) / radius * rise
        at += length + plan.turn_every_m * (0.4 + rng.exponential(0.6))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Taken:
    """Where along the trail something already is, and nothing else may stand."""

    there: Bools

    def free(self, first_m: float, last_m: float) -> bool:
        """Tell whether nothing is between two places, nor an end of the trail near them."""
        first, last = round(first_m / STEP_M), round(last_m / STEP_M)
        edge = round(EDGE_M / STEP_M)
        return first >= edge and last <= self.there.shape[0] - edge and not self.there[first:last].any()

    def take(self, first_m: float, last_m: float) -> None:
        """Note that something is between two places."""
        self.there[round(first_m / STEP_M) : round(last_m / STEP_M)] = True


def _jump(plan: NaturalPlan, rng: np.random.Generator, at_m: float, speed_m_s: float) -> Tabletop:
    """Return a tabletop that a point at this speed flies over, down onto its landing."""
    lip, slope = _between(rng, plan.lip_m), _between(rng, LIP_SLOPE)
    flown = 2 * speed_m_s**2 * slope / STANDARD_GRAVITY_M_S2
    gap = max(_between(rng, GAP_SHARE) * flown, 0.6)
    return Tabletop(at_m=at_m, lip_m=lip, ramp_m=2 * lip / slope, gap_m=gap, landing_m=max(3.0, 2 * gap))


def _fallen_m(drop: Drop, speed_m_s: float) -> float:
    """Return how far a point flies that leaves a drop level."""
    return speed_m_s * math.sqrt(2 * drop.height_m / STANDARD_GRAVITY_M_S2)


def _in_the_air(plan: NaturalPlan, rng: np.random.Generator, taken: _Taken, speed_m_s: Floats) -> list[Flown]:
    """Return jumps and drops on straights, each where nothing else is, with room before and behind."""
    found: list[Flown] = []
    kinds = ["jump"] * int(rng.poisson(plan.jumps_per_m * plan.length_m))
    kinds += ["drop"] * int(rng.poisson(plan.drops_per_m * plan.length_m))
    for kind in kinds:
        for _ in range(TRIES):
            at = float(rng.uniform(EDGE_M, plan.length_m - EDGE_M))
            speed = float(speed_m_s[round(at / STEP_M) : round((at + FLOWN_M) / STEP_M)].min())
            if kind == "jump":
                made: Obstacle = _jump(plan, rng, at, speed)
                ends = at + made.length_m
            else:
                made = Drop(at_m=at, height_m=_between(rng, plan.drop_m))
                ends = at + made.length_m + _fallen_m(made, speed)
            if taken.free(at - ROOM_M[0], ends + ROOM_M[1]):
                taken.take(at - ROOM_M[0] / 2, ends + ROOM_M[1] / 2)
                found.append((made, at, ends))
                break
    return found


def _braking_bumps(plan: NaturalPlan, rng: np.random.Generator, taken: _Taken, speed_m_s: Floats) -> list[Obstacle]:
    """Return trains of bumps where the rider brakes for turns, each after the other in its length and height."""
    if plan.braking_bumps_m == 0:
        return []
    slowing = np.gradient(speed_m_s**2 / 2, STEP_M) < BUMPY_M_S2
    found: list[Obstacle] = []
    for start, stop in stretches(slowing):
        wave, height = _between(rng, plan.braking_bump_m), plan.braking_bumps_m * rng.uniform(0.4, 1.0)
        count = int((stop - start) * STEP_M / wave)
        if count >= LEAST_WAVES and taken.free(start * STEP_M, stop * STEP_M):
            found.append(BrakingBumps(at_m=start * STEP_M, height_m=height, wavelength_m=wave, count=count))
    return found


def _strewn(plan: NaturalPlan, rng: np.random.Generator, taken: _Taken, part: tuple[float, float]) -> list[Obstacle]:
    """Return rocks, holes, dips and roots of one part, more or fewer than elsewhere, none where bikes fly."""
    start, stop = part
    thick = float(np.exp(THICKNESS_SD * rng.standard_normal() - THICKNESS_SD**2 / 2))
    found: list[Obstacle] = []
    for _ in range(int(rng.poisson(thick * plan.rocks_per_m * (stop - start)))):
        height = _between(rng, plan.rock_m)
        length = height * rng.uniform(*ROCK_LENGTH)
        sign = -1.0 if rng.random() < HOLE_SHARE else 1.0
        found.append(Bump(at_m=rng.uniform(start, stop), height_m=sign * height, length_m=length))
    for _ in range(int(rng.poisson(plan.dips_per_m * (stop - start)))):
        depth = _between(rng, plan.dip_m)
        found.append(Bump(at_m=rng.uniform(start, stop), height_m=-depth, length_m=depth * rng.uniform(*DIP_LENGTH)))
    for _ in range(int(rng.poisson(thick * plan.roots_per_m * (stop - start)))):
        height, length = _between(rng, plan.root_m), rng.uniform(*ROOT_LENGTH_M)
        found.append(Bump(at_m=rng.uniform(start, stop), height_m=height, length_m=length))
    return [own for own in found if taken.free(own.at_m, own.at_m + own.length_m)]


def _parts(plan: NaturalPlan, rng: np.random.Generator) -> list[tuple[float, float]]:
    """Return where the ground's parts begin and end, m."""
    bounds = [0.0]
    while plan.length_m - bounds[-1] > PART_M[1] + PART_M[0]:
        bounds.append(bounds[-1] + rng.uniform(*PART_M))
    return list(pairwise([*bounds, plan.length_m]))


def natural_trail(plan: NaturalPlan, seed: int, pedal_hz: float) -> Trail:
    """Return a natural trail drawn from a seed; its ground's roughness is drawn from the same.

    Parameters
    ----------
    plan : NaturalPlan
    seed : int
    pedal_hz : float
        Of the cranks where the rider pedals; 0 for an engine.

    Notes
    -----
    Turns first, then the speed they and the limits allow; jumps and drops on straights, cut for that speed, over which
    speed is held; bumps where it brakes; then ground, rocks and roots, part by part. What finds no room is left out.
    Numbers are Poisson's, sizes even in their logarithm; own choices.
    """
    rngs = [np.random.default_rng(own) for own in np.random.SeedSequence(seed, spawn_key=(NATURAL,)).spawn(4)]
    curvature = _turns(plan, rngs[0], np.arange(round(plan.length_m / STEP_M), dtype=np.float64) * STEP_M)
    limits = Limits(
        speed_m_s=plan.speed_m_s,
        braking_m_s2=plan.braking_m_s2,
        accelerating_m_s2=plan.accelerating_m_s2,
        cornering_m_s2=plan.cornering_m_s2,
    )
    taken = _Taken(there=curvature != 0)
    flown = _in_the_air(plan, rngs[1], taken, limited(limits, curvature))
    speed = limited(limits, curvature, tuple((first, last) for _, first, last in flown))
    in_the_air = _Taken(there=np.zeros_like(taken.there))
    for _, first, last in flown:
        in_the_air.take(first - ROOM_M[0] / 2, last + ROOM_M[1] / 2)
    things = [own for own, _, _ in flown] + _braking_bumps(plan, rngs[2], in_the_air, speed)
    parts = _parts(plan, rngs[3])
    strewn = [_strewn(plan, rngs[3], in_the_air, part) for part in parts]
    middle = GEOMETRIC_MEAN_M3[plan.road_class]
    made = tuple(
        Stretch(
            length_m=stop - start,
            level_m3=middle * 4 ** float(np.clip(LEVEL_SD * rngs[3].standard_normal(), -1, 1)),
            waviness=plan.waviness,
            speed_m_s=plan.speed_m_s,
        )
        for start, stop in parts
    )
    everywhere = (*things, *(own for part in strewn for own in part))
    course = Course(
        speed_m_s=speed,
        curvature_1_m=curvature,
        gradient=graded(plan.gradient, curvature.shape[0]),
        pedal_hz=pedal_hz,
    )
    return Trail(stretches=made, seed=seed, course=course, obstacles=everywhere)
