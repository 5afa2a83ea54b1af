"""One inertial sensor: from readings to specific force and rotation in the bike's axes, and to attitude."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats, read_only
from telemetry.model.finding import Finding, Step
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch
from telemetry.model.sensor import InertialSensor
from telemetry.model.stretches import stretches
from telemetry.units import STANDARD_GRAVITY_M_S2

from . import words
from .courses import Levelled, course_of
from .directions import levelling
from .gravity import GravityFelt, gravity_felt
from .ground_axes import attitude_of
from .mounting import UpFound, find_up, mounting_of, slow_rest
from .reading import Column, readings_of
from .rest import Rest, find_rests, least_noise, rest_of
from .saturation import FURTHER_G, FURTHER_RAD_S, at_range

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
class CleanedInertial:
    """One sensor's signal, or why there is none; `out` is the finding that took it out."""

    sensor: InertialSensor
    signal: InertialSignal | None
    findings: tuple[Finding, ...] = ()
    out: Finding | None = None
    history: tuple[Step, ...] = ()


class InertialCleaner:
    """Cleans one inertial sensor of a ride.

    Parameters
    ----------
    run : str
        The run's name, for messages.
    recipe : InertialRecipe
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free; they cover all samples.
    """

    def __init__(self, run: str, recipe: InertialRecipe, rate_hz: float, segments: tuple[Stretch, ...]) -> None:
        self._run, self._recipe, self._sensor = run, recipe, recipe.sensor
        self._rate_hz, self._segments = rate_hz, segments

    def clean(self, column: Column) -> CleanedInertial:
        """Return the sensor's signal.

        Parameters
        ----------
        column : callable
            Gives a column's readings on the even clock, shape (n,).
        """
        force, turning = readings_of(self._sensor, column)
        rests = find_rests(force, turning, self._rate_hz, self._segments)
        own = rest_of("where the ride stands", force, turning, self._rate_hz, rests)
        rested = (self._recipe.still, own, self._recipe.lifted)
        known = tuple(rest for rest in rested if rest is not None)
        felt = gravity_felt(force, self._rate_hz, self._segments, known)
        out = self._unusable(force, felt)
        if out is not None:
            return CleanedInertial(sensor=self._sensor, signal=None, out=out)
        saturated = self._saturated(force, turning)
        up = find_up(self._recipe.still, own, slow_rest(force, self._segments))
        force -= (known[0].level_m_s2 - STANDARD_GRAVITY_M_S2 if known else 0.0) * up.up[:, None]
        if turning is not None:
            turning -= _turning_bias(turning, known)[:, None]
        read = Levelled(force=force, turning=turning, level=levelling(up.up), rests=rests)
        signal = self._signal(read, up, saturated, known)
        return CleanedInertial(
            sensor=self._sensor,
            signal=signal,
            findings=self._told(signal, up),
            history=words.steps_of(self._sensor, signal, felt),
        )

    def _unusable(self, force: Floats, felt: GravityFelt) -> Finding | None:
        if not felt.right:
            return words.wrong_scale(self._run, self._sensor, felt)
        largest = float(np.abs(force).max()) / STANDARD_GRAVITY_M_S2
        return words.odd_acceleration(self._run, self._sensor, largest, LARGEST_G) if largest > LARGEST_G else None

    def _saturated(self, force: Floats, turning: Floats | None) -> Bools:
        g, deg = self._sensor.range_g, self._sensor.range_deg_s
        stated = None if g is None else g * STANDARD_GRAVITY_M_S2
        found = at_range(force, stated, FURTHER_G * STANDARD_GRAVITY_M_S2)
        if turning is not None:
            found |= at_range(turning, None if deg is None else float(np.radians(deg)), FURTHER_RAD_S)
        return found

    def _signal(self, read: Levelled, up: UpFound, saturated: Bools, known: tuple[Rest, ...]) -> InertialSignal:
        courses = tuple(course_of(read, self._rate_hz, segment) for segment in self._segments)
        mounting = mounting_of(up, None)
        force = mounting.to_bike @ read.force
        return InertialSignal(
            sensor=self._sensor.name,
            end=self._sensor.end,
            on=self._sensor.on,
            specific_force_m_s2=_by_sample(force),
            rotation_rad_s=None if read.turning is None else _by_sample(mounting.to_bike @ read.turning),
            mounting=mounting,
            attitude=attitude_of(force, courses, self._segments, mounting.to_bike @ read.level.T),
            noise_m_s2=min(
                (rest.noise_m_s2 for rest in known), default=least_noise(read.force, self._rate_hz, self._segments)
            ),
            saturated=read_only(saturated),
        )

    def _told(self, signal: InertialSignal, up: UpFound) -> tuple[Finding, ...]:
        run, sensor, still = self._run, self._sensor, self._recipe.still
        cut = int(signal.saturated.sum())
        return (
            *((words.over_range(run, sensor, cut, len(stretches(signal.saturated, self._segments))),) if cut else ()),
            *(words.moved_since(run, sensor, still, up) if still is not None else ()),
            *words.seat(run, sensor, signal),
        )


def _turning_bias(turning: Floats, known: tuple[Rest, ...]) -> Floats:
    """Return what the gyroscope reads at rest; where it is never at rest, the middle of what it reads."""
    seen = [rest.bias_rad_s for rest in known if rest.bias_rad_s is not None]
    return seen[0] if seen else np.asarray(np.median(turning, axis=1))


def _by_sample(axes: Floats) -> Floats:
    """Return axes as columns, read-only and without a copy: each stays in one piece of memory."""
    view = axes.T
    view.flags.writeable = False
    return view
