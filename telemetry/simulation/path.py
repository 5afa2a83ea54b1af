"""What a run's path asks of a bike: forces along the ground, lean in turns, gravity on a slope."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats

from .given import Given
from .half_car import GRAVITY_M_S2, Bike


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
    ripple : float array, shape (n,)
        What pedalling multiplies the drive with; 1 without.
    """

    speed_m_s: Floats
    forward_m_s2: Floats
    slope_rad: Floats
    yaw_rad_s: Floats
    ripple: Floats

    @property
    def roll_rad(self) -> Floats:
        """Lean to the right with which gravity and the turn together stay in the bike's plane."""
        return np.asarray(-np.arctan2(self.speed_m_s * self.yaw_rad_s, GRAVITY_M_S2 * np.cos(self.slope_rad)))

    @property
    def gravity_m_s2(self) -> Floats:
        """What pulls down in the bike's plane: gravity across the slope, over the cosine of the lean."""
        return np.asarray(GRAVITY_M_S2 * np.cos(self.slope_rad) / np.cos(self.roll_rad))

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
        braking, driving = np.minimum(along, 0.0), np.maximum(along, 0.0) * self.ripple
        share = bike.heights.front_brake
        return Given(front_n=share * braking, rear_n=(1 - share) * braking + driving, gravity_m_s2=self.gravity_m_s2)


def straight(speed_m_s: Floats, forward_m_s2: Floats) -> Path:
    """Return a level path without turns."""
    level = np.zeros_like(speed_m_s)
    return Path(
        speed_m_s=speed_m_s, forward_m_s2=forward_m_s2, slope_rad=level, yaw_rad_s=level, ripple=np.ones_like(level)
    )
