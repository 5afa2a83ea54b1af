"""What an inertial sensor tells of the place it sits in: specific force, rotation, attitude, in the bike's own axes.

Bike axes: x forward, y to the left, z up; rotations by the right hand, so that a positive pitch is nose down and a
positive roll leans to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from .arrays import Bools, Floats
from .finding import End
from .motion import Stretch

On: TypeAlias = Literal["chassis", "wheel"]
Site: TypeAlias = tuple[End, On]
"""Where a sensor sits: on the chassis (frame, crown, bar) above that end, or on that end's axle or lower leg."""

FROZEN_S = 1.5
"""Own choice: what shakes and is noisy never repeats three readings at once to the last digit for so long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mounting:
    """How a sensor's case sits on the bike.

    Attributes
    ----------
    to_bike : float array, shape (3, 3), read-only
        Turns the sensor's axes into the bike's: ``bike = to_bike @ sensor``.
    residual_deg : float
        How far the stretches it was found from disagree, deg.
    heading_known : bool
        Whether forward was found, not only up: else x and y are level, but which way they point isn't known.
    found_from : str
        In words: "still stretch and braking".
    """

    to_bike: Floats
    residual_deg: float
    heading_known: bool
    found_from: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Attitude:
    """How the place is turned against the ground, and what it does along the ground's own directions.

    Attributes
    ----------
    pitch_rad, roll_rad : float array, shape (n,)
    within_deg : float
        How far they may have drifted, deg: found by what gravity says wherever the bike stands or coasts.
    upward_m_s2, forward_m_s2 : float array, shape (n,)
        Acceleration upward and forward along the ground's vertical and horizontal, gravity taken out: 0 at rest.
    """

    pitch_rad: Floats
    roll_rad: Floats
    within_deg: float
    upward_m_s2: Floats
    forward_m_s2: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class InertialSignal:
    """One inertial sensor over a ride, on the ride's clock.

    Attributes
    ----------
    sensor : str
        Its name in the ride day.
    specific_force_m_s2 : float array, shape (n, 3)
        In bike axes, bias taken out, not smoothed: (0, 0, 9.81) at rest and level, near 0 in free flight.
    rotation_rad_s : float array, shape (n, 3), or None
        In bike axes, bias taken out; None without a gyroscope.
    attitude : Attitude
        Without a gyroscope by slow gravity alone, with a wider `within_deg`.
    noise_m_s2 : float
        Standard deviation of one sample of one axis at rest.
    saturated : bool array, shape (n,)
        Samples at the sensor's range.
    frozen : tuple of (start, stop)
        Where it repeats itself to the last digit, cut off from what it felt: no bike stands like that.
    ahead_m, above_m : float or None
        Where it sits: ahead of and above its end's axle as the bike stands with its rider; None where not stated.
    """

    sensor: str
    end: End
    on: On
    specific_force_m_s2: Floats
    rotation_rad_s: Floats | None
    mounting: Mounting
    attitude: Attitude
    noise_m_s2: float
    saturated: Bools
    frozen: tuple[Stretch, ...] = ()
    ahead_m: float | None = None
    above_m: float | None = None

    @property
    def site(self) -> Site:
        """End, and whether on chassis or wheel."""
        return self.end, self.on
