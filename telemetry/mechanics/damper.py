"""Damper: digressive in each direction, scaled by the oil's viscosity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.model.arrays import Floats

KNEE_SHARE = 0.2
"""The slope changes evenly within this share of the knee's speed to either side (this project's own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DamperSide:
    """One direction of a damper.

    Attributes
    ----------
    slope_below_n_s_m, slope_above_n_s_m : float
        d force / d speed below and above the knee, N·s/m, 0 or more. Digressive: the second is smaller.
    knee_m_s : float
        Speed at which one gives way to the other, m/s, > 0.

    Notes
    -----
    The slope passes evenly from one to the other between 0.8 and 1.2 of the knee's speed, so that force and slope
    are continuous; outside this band the force is that of two straight lines that meet in the knee.
    """

    slope_below_n_s_m: float
    knee_m_s: float
    slope_above_n_s_m: float

    def __post_init__(self) -> None:
        require_positive("damper", knee_m_s=self.knee_m_s)
        require_not_negative(
            "damper", slope_below_n_s_m=self.slope_below_n_s_m, slope_above_n_s_m=self.slope_above_n_s_m
        )

    def force_n(self, speed_m_s: Floats) -> Floats:
        """Return the force at each speed (m/s, the sign left out of account), N, 0 or more."""
        speed = np.abs(np.asarray(speed_m_s, dtype=float))
        half = KNEE_SHARE * self.knee_m_s
        into = np.clip(speed - (self.knee_m_s - half), 0.0, 2 * half)
        beyond = into**2 / (4 * half) + np.maximum(speed - (self.knee_m_s + half), 0.0)
        return np.asarray(
            self.slope_below_n_s_m * speed + (self.slope_above_n_s_m - self.slope_below_n_s_m) * beyond, dtype=float
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Damper:
    """A damper along its own leg or shaft.

    Attributes
    ----------
    compression, rebound : DamperSide
    viscosity_share : float
        Viscosity of the oil against the one the slopes are known with, > 0.

    Notes
    -----
    The whole force goes with viscosity, as in laminar flow. Of what an orifice makes, only density would count: a
    real damper changes by somewhat less, least at high speed. No hysteresis, cavitation or gas force of the shaft.
    """

    compression: DamperSide
    rebound: DamperSide
    viscosity_share: float = 1.0

    def __post_init__(self) -> None:
        require_positive("damper", viscosity_share=self.viscosity_share)

    def force_n(self, speed_m_s: Floats) -> Floats:
        """Return the force against the motion.

        Parameters
        ----------
        speed_m_s : float array
            Of the shaft, m/s, positive in compression; any shape.

        Returns
        -------
        float array
            N, of the speed's sign: positive resists compression, negative resists rebound; 0 at rest.
        """
        speed = np.asarray(speed_m_s, dtype=float)
        force = np.where(speed >= 0, self.compression.force_n(speed), -self.rebound.force_n(speed))
        return np.asarray(self.viscosity_share * force, dtype=float)


def end_factor(travel_m: Floats, full_m: float, from_share: float, factor: float) -> Floats:
    """Return by how much damping grows towards the end of the stroke.

    Parameters
    ----------
    travel_m : float array
        m, from topped out.
    full_m : float
        Full travel, m, > 0.
    from_share : float
        Share of full travel at which it begins, 0 or more and below 1.
    factor : float
        Reached at full travel and kept beyond, 0 or more; below 1 where damping eases.

    Returns
    -------
    float array
        1 up to `from_share`, shape of `travel_m`.

    Raises
    ------
    ValueError
        If a figure is out of its range.

    Notes
    -----
    1 + (factor − 1)(3 u² − 2 u³), u the share of the way from `from_share` to the end: continuous, and so is its
    slope (this project's own choice of curve).
    """
    require_positive("end of the stroke", full_m=full_m)
    require_not_negative("end of the stroke", from_share=from_share, factor=factor)
    if from_share >= 1:
        raise ValueError(f"end of the stroke: from_share is {from_share:g}; it must be below 1")
    into = np.clip((np.asarray(travel_m, dtype=float) / full_m - from_share) / (1 - from_share), 0.0, 1.0)
    return np.asarray(1 + (factor - 1) * into**2 * (3 - 2 * into), dtype=float)
