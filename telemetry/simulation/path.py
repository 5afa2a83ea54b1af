"""What a run's path asks of a bike: forces along the ground, lean in turns, gravity on a slope."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from telemetry.dynamics.car import GRAVITY_M_S2, Bike
from telemetry.dynamics.given import Given
from telemetry.model.arrays import Bools, Floats
from telemetry.model.stretches import lasting, stretches

from .pace import STEP_M, Course

RIPPLE = 0.8
"""How much of the mean torque comes and goes twice a turn of the cranks; own choice."""
BOB_N = 60.0
"""With what legs push the bike down beside that, twice a turn; own choice."""
PEDALLED_M_S2, PEDALLED_S = 0.1, 1.5
"""From which drive on, and how long at least, a rider pedals."""
CRANK_SPREAD = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A run's path at each step.

    Attributes
    ----------
    speed_m_s, forward_m_s2 : float array, shape (n,)
        Ground speed, and how it changes.
    slope_rad : float array, shape (n,)
        Rise of the path, uphill positive.
    yaw_rad_s : float array, shape (n,)
        Turning, to the left positive.
    curving_m_s2 : float array, shape (n,)
        Upward, by how the path's slope changes.
    strokes : float array, shape (n,)
        The legs' push, -1 to 1, twice a turn of the cranks; 0 without.
    pedalled : bool array, shape (n,)
    """

    speed_m_s: Floats
    forward_m_s2: Floats
    slope_rad: Floats
    yaw_rad_s: Floats
    curving_m_s2: Floats
    strokes: Floats
    pedalled: Bools

    @property
    def roll_rad(self) -> Floats:
        """Lean to the right with which gravity and the turn together stay in the bike's plane."""
        return np.asarray(-np.arctan2(self.speed_m_s * self.yaw_rad_s, GRAVITY_M_S2 * np.cos(self.slope_rad)))

    @property
    def gravity_m_s2(self) -> Floats:
        """What pulls down in the bike's plane: gravity across the slope, over the cosine of the lean."""
        level = GRAVITY_M_S2 * np.cos(self.slope_rad) + self.curving_m_s2
        return np.asarray(level / np.cos(self.roll_rad))

    def given(self, bike: Bike) -> Given:
        """Return the forces that speed takes on this path: brakes share them, drive is the rear's.

        Parameters
        ----------
        bike : Bike
            Its mass and its share of braking count.

        Notes
        -----
        ``m (a + g sin slope)``: what resists beside brakes counts with them, and air with the ground.
        """
        along = bike.mass_kg * (self.forward_m_s2 + GRAVITY_M_S2 * np.sin(self.slope_rad))
        braking, driving = np.minimum(along, 0.0), np.maximum(along, 0.0) * (1 + RIPPLE * self.strokes)
        share = bike.heights.front_brake
        return Given(
            front_n=share * braking,
            rear_n=(1 - share) * braking + driving,
            push_n=BOB_N * self.strokes,
            gravity_m_s2=self.gravity_m_s2,
        )


def straight(speed_m_s: Floats, forward_m_s2: Floats) -> Path:
    """Return a level path without turns, on which nobody pedals."""
    level = np.zeros_like(speed_m_s)
    return Path(
        speed_m_s=speed_m_s,
        forward_m_s2=forward_m_s2,
        slope_rad=level,
        yaw_rad_s=level,
        curving_m_s2=level,
        strokes=level,
        pedalled=np.zeros(level.shape, dtype=bool),
    )


def along_course(course: Course, at_m: Floats, own: Path, rate_hz: float, rng: np.random.Generator) -> Path:
    """Return a path with the turns, the gradient and the pedalling of a course.

    Parameters
    ----------
    course : Course
    at_m : float array, shape (n,)
        Where the bike is at each step.
    own : Path
        Its speed.
    rate_hz : float
        Steps a second.
    rng : numpy Generator
        Draws at which turns a second, and from which turn on, the rider pedals each time.
    """
    where = STEP_M * np.arange(course.speed_m_s.shape[0])
    slope = np.arctan(course.gradient)
    bending = np.interp(at_m, where, np.gradient(slope, STEP_M))
    made = replace(
        own,
        slope_rad=np.interp(at_m, where, slope),
        yaw_rad_s=own.speed_m_s * np.interp(at_m, where, course.curvature_1_m),
        curving_m_s2=own.speed_m_s**2 * bending,
    )
    return _pedalled(made, course.pedal_hz, rate_hz, rng) if course.pedal_hz > 0 else made


def _pedalled(path: Path, pedal_hz: float, rate_hz: float, rng: np.random.Generator) -> Path:
    """Return the path with a rider who pedals wherever it takes drive for a while."""
    drive = path.forward_m_s2 + GRAVITY_M_S2 * np.sin(path.slope_rad)
    strokes, pedalled = np.zeros_like(drive), np.zeros(drive.shape, dtype=bool)
    for start, stop in lasting(stretches(drive > PEDALLED_M_S2), rate_hz, PEDALLED_S):
        cranks_hz = pedal_hz * (1 + CRANK_SPREAD * float(np.clip(rng.standard_normal(), -2, 2)))
        time_s = np.arange(stop - start) / rate_hz
        strokes[start:stop] = np.sin(2 * np.pi * (2 * cranks_hz * time_s + rng.random()))
        pedalled[start:stop] = True
    return replace(path, strokes=strokes, pedalled=pedalled)
