"""A sensor's readings made ready: checked, bias taken out, levelled, with the way up along the ride."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import Finding
from telemetry.model.motion import Stretch
from telemetry.model.sensor import ColumnName, InertialSensor
from telemetry.model.stretches import mask_of, stretches
from telemetry.units import STANDARD_GRAVITY_M_S2

from . import words
from .blocks import Blocks
from .courses import Course, Levelled, course_of, within_deg
from .directions import levelling
from .frozen import frozen_stretches, living_stretches
from .gravity import GravityFelt, gravity_felt
from .mounting import UpFound, find_up, slow_rest
from .reading import readings_of
from .rest import Rest, least_noise, still_blocks
from .saturation import FURTHER_G, FURTHER_RAD_S, at_range
from .stands import stands_of
from .turning import ASTRAY_DEG, turns_told

LARGEST_G = 1000.0
"""Own choice: what is sold for bikes measures up to 400 g."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InertialRecipe:
    """What is needed to clean one inertial sensor.

    Attributes
    ----------
    still : Rest or None
        Of a recording in which nothing moves and the bike stands upright on level ground.
    lifted : Rest or None
        Of one with the wheels off the ground, the bike held anyhow: it tells bias and scale, not which way is up.
    """

    sensor: InertialSensor
    still: Rest | None = None
    lifted: Rest | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedRide:
    """What sensors of one log share: its name for messages, and its even clock.

    Attributes
    ----------
    segments : tuple of (start, stop)
        Gap-free; they cover all samples.
    column : callable
        Gives a column's readings on the even clock, shape (n,).
    """

    name: str
    rate_hz: float
    segments: tuple[Stretch, ...]
    column: Callable[[ColumnName], Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class Readied:
    """One sensor, ready for its heading.

    Attributes
    ----------
    courses : tuple of Course
        One a segment.
    saturated : bool array, shape (n,)
    frozen : tuple of (start, stop)
        Where it repeats itself to the last digit.
    """

    sensor: InertialSensor
    read: Levelled
    up: UpFound
    felt: GravityFelt
    courses: tuple[Course, ...]
    saturated: Bools
    frozen: tuple[Stretch, ...]
    noise_m_s2: float
    findings: tuple[Finding, ...]


def readied(ride: LoggedRide, recipe: InertialRecipe) -> Readied | Finding:
    """Return a sensor's readings made ready, or why it is left out.

    Parameters
    ----------
    ride : LoggedRide
    recipe : InertialRecipe
    """
    sensor = recipe.sensor
    force, turning = readings_of(sensor, ride.column)
    told: list[Finding] = []
    frozen = frozen_stretches(force, turning, ride.rate_hz, ride.segments)
    living = living_stretches(force.shape[1], frozen, ride.segments)
    still = still_blocks(force, ride.rate_hz, living)
    if turning is not None:
        turns = turns_told(force, turning, ride.rate_hz, living, still.rests)
        if turns.wrong:
            told.append(words.odd_rotation(ride.name, sensor, turns))
            turning = None
        else:
            still = still.not_turning(turning)
    stands = stands_of(force, turning, ride.rate_hz, still, slow_rest(force, living))
    recorded = tuple(rest for rest in (recipe.still, recipe.lifted) if rest is not None)
    known = recorded if stands.rest is None else (stands.rest, *recorded)
    judging = known if stands.lasting else recorded
    felt = gravity_felt(force, ride.rate_hz, living, judging)
    out = _unusable(ride.name, sensor, force, felt)
    if out is not None:
        return out
    saturated = _saturated(sensor, force, turning)
    up = find_up(recipe.still, stands.up)
    force -= (judging[0].level_m_s2 - STANDARD_GRAVITY_M_S2 if judging else 0.0) * up.up[:, None]
    if turning is not None:
        turning -= _turning_bias(turning, known, still.blocks, up)[:, None]
        turning[:, mask_of(frozen, force.shape[1])] = 0.0
    read = Levelled(force=force, turning=turning, level=levelling(up.up), rests=stands.rests)
    courses = _courses(ride, read)
    if turning is not None and within_deg(courses) > ASTRAY_DEG:
        told.append(words.astray(ride.name, sensor, within_deg(courses)))
        read = replace(read, turning=None)
        courses = _courses(ride, read)
    moments = len(stretches(saturated, ride.segments)) if saturated.any() else 0
    if moments:
        told.append(words.over_range(ride.name, sensor, int(saturated.sum()), moments))
    if up.apart_deg and recipe.still is not None:
        told.append(words.turned_since(ride.name, sensor, recipe.still, up))
    return Readied(
        sensor=sensor,
        read=read,
        up=up,
        felt=felt,
        courses=courses,
        saturated=saturated,
        frozen=frozen,
        noise_m_s2=(min(rest.noise_m_s2 for rest in known) if known else least_noise(force, ride.rate_hz, living)),
        findings=tuple(told),
    )


def _courses(ride: LoggedRide, read: Levelled) -> tuple[Course, ...]:
    return tuple(course_of(read, ride.rate_hz, segment) for segment in ride.segments)


def _unusable(run: str, sensor: InertialSensor, force: Floats, felt: GravityFelt) -> Finding | None:
    if not felt.right:
        return words.wrong_scale(run, sensor, felt)
    largest = float(max(force.max(), -force.min())) / STANDARD_GRAVITY_M_S2
    return words.odd_acceleration(run, sensor, largest, LARGEST_G) if largest > LARGEST_G else None


def _saturated(sensor: InertialSensor, force: Floats, turning: Floats | None) -> Bools:
    g, deg = sensor.range_g, sensor.range_deg_s
    stated = None if g is None else g * STANDARD_GRAVITY_M_S2
    found = at_range(force, stated, FURTHER_G * STANDARD_GRAVITY_M_S2)
    if turning is not None:
        found |= at_range(turning, None if deg is None else float(np.radians(deg)), FURTHER_RAD_S)
    return found


def _turning_bias(turning: Floats, known: tuple[Rest, ...], blocks: Blocks, up: UpFound) -> Floats:
    """Return what the gyroscope reads at rest, best in the ride itself.

    Never at rest, the middle of its blocks across the way up: there a bike turns back as far as it turned. About up it
    may turn one way all along, which nothing tells from a bias.
    """
    for rest in known:
        if rest.bias_rad_s is not None:
            return rest.bias_rad_s
    means = blocks.means(turning) if blocks.starts.size else turning
    middle = np.median(means, axis=1)
    return np.asarray(middle - float(middle @ up.up) * up.up, dtype=float)
