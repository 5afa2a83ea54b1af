"""What is given to a bike from outside: forces along the ground, their levers, and how heavy it is in a turn."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from scipy.signal import lfilter

from telemetry.model.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """Where forces along the ground act, heights over the ground with the bike at rest, rider aboard.

    Attributes
    ----------
    centre_m, rider_m : float
        Of the frame's centre of mass, and of the rider's moving mass.
    front_axle_m, rear_axle_m : float
        The wheels' radii.
    anti_squat, anti_rise : float
        Shares of the rear end's load transfer that its links carry, under drive and under its brake; at 1 its spring
        feels nothing of it.
    front_brake : float
        Share of all braking done by the front tyre.
    grip : float
        A tyre's largest force along the ground over what it carries.
    holding_rad_s : float
        How fast the rider turns the bike back to its pitch at rest while both tyres are in the air; 0: not at all.
    """

    centre_m: float
    rider_m: float
    front_axle_m: float
    rear_axle_m: float
    anti_squat: float = 0.0
    anti_rise: float = 0.0
    front_brake: float = 0.65
    grip: float = 1.0
    holding_rad_s: float = 0.0


HELD_DAMPING = 0.7
"""Of a rider who turns the bike in the air; own choice."""
ON_THE_GROUND = Heights(centre_m=0.0, rider_m=0.0, front_axle_m=0.0, rear_axle_m=0.0)
"""Of a bike on which nothing is asked of forces along the ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What brakes, drive, slope and turns do to a bike at each step.

    Attributes
    ----------
    front_n, rear_n : float array, shape (n,)
        Forces asked of the tyres along the ground, forward; each passes on as much as it grips.
    push_n : float array, shape (n,)
        Legs that pedal push the frame down.
    gravity_m_s2 : float array, shape (n,)
        What pulls down in the bike's own plane: more than gravity in a turn, less on a slope.
    """

    front_n: Floats
    rear_n: Floats
    push_n: Floats
    gravity_m_s2: Floats

    def until(self, step: int) -> Given:
        """Return the first steps of it."""
        return Given(**{field.name: getattr(self, field.name)[:step] for field in fields(self)})


BACK_ON_PACE_S = 10.0
"""What a bike rides faster or slower than was asked fades within this time; own choice."""


def faster_m_s(along_m_s2: Floats, asked_m_s2: Floats, rate_hz: float) -> Floats:
    """Return how much faster a bike is than its pace while its tyres haven't passed on what was asked, shape (n,).

    Parameters
    ----------
    along_m_s2, asked_m_s2 : float array, shape (n,)
        Forces along the ground, over the mass.
    rate_hz : float
    """
    gained = (along_m_s2 - asked_m_s2) / rate_hz
    return np.asarray(lfilter([1.0], [1.0, -np.exp(-1 / (BACK_ON_PACE_S * rate_hz))], gained))
