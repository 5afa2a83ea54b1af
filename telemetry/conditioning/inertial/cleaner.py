"""Inertial sensors of a ride: from readings to specific force and rotation in the bike's axes, and to attitude."""

from __future__ import annotations

from dataclasses import dataclass

from telemetry.model.arrays import Floats, read_only
from telemetry.model.finding import Finding, Step
from telemetry.model.inertial import InertialSignal
from telemetry.model.sensor import InertialSensor

from . import words
from .ground_axes import attitude_of
from .heading import headings_of
from .headings import Heading
from .mounting import mounting_of
from .readied import InertialRecipe, LoggedRide, Readied, readied


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanedInertial:
    """One sensor's signal, or why there is none; `out` is the finding that took it out."""

    sensor: InertialSensor
    signal: InertialSignal | None
    findings: tuple[Finding, ...] = ()
    out: Finding | None = None
    history: tuple[Step, ...] = ()


def clean_inertial(
    ride: LoggedRide, recipes: tuple[InertialRecipe, ...], speed_m_s: Floats | None
) -> tuple[CleanedInertial, ...]:
    """Clean all inertial sensors of one log.

    Parameters
    ----------
    ride : LoggedRide
    recipes : tuple of InertialRecipe
    speed_m_s : float array, shape (n,), or None
        Ground speed: it tells which way is forward.

    Returns
    -------
    tuple of CleanedInertial
        Those that were left out last.
    """
    found = [(recipe.sensor, readied(ride, recipe)) for recipe in recipes]
    ready = [item for _, item in found if isinstance(item, Readied)]
    headings = headings_of(ready, ride.segments, speed_m_s)
    return (
        *(_cleaned(ride, item, heading) for item, heading in zip(ready, headings, strict=True)),
        *(CleanedInertial(sensor=sensor, signal=None, out=item) for sensor, item in found if isinstance(item, Finding)),
    )


def _cleaned(ride: LoggedRide, item: Readied, heading: Heading) -> CleanedInertial:
    sensor, read = item.sensor, item.read
    mounting = mounting_of(item.up, heading.seen)
    force = mounting.to_bike @ read.force
    signal = InertialSignal(
        sensor=sensor.name,
        end=sensor.end,
        on=sensor.on,
        specific_force_m_s2=_by_sample(force),
        rotation_rad_s=None if read.turning is None else _by_sample(mounting.to_bike @ read.turning),
        mounting=mounting,
        attitude=attitude_of(force, item.courses, ride.segments, mounting.to_bike @ read.level.T),
        noise_m_s2=item.noise_m_s2,
        saturated=read_only(item.saturated),
        frozen=item.frozen,
        ahead_m=_metres(sensor.ahead_of_axle_mm),
        above_m=_metres(sensor.above_axle_mm),
    )
    disagree = (words.axes_disagree(ride.name, sensor, heading),) if heading.wrong else ()
    return CleanedInertial(
        sensor=sensor,
        signal=signal,
        findings=(*item.findings, *disagree, *words.seat(ride.name, sensor, signal)),
        history=words.steps_of(sensor, signal, item.felt),
    )


def _metres(millimetres: float | None) -> float | None:
    return None if millimetres is None else 1e-3 * millimetres


def _by_sample(axes: Floats) -> Floats:
    """Return axes as columns, read-only and without a copy: each stays in one piece of memory."""
    view = axes.T
    view.flags.writeable = False
    return view
