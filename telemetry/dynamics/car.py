"""A bike and its rider seen from the side: frame, rider, wheels, and both ends as the loop reads them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from telemetry.model.arrays import Floats
from telemetry.units import STANDARD_GRAVITY_M_S2

from .given import ON_THE_GROUND, Heights

GRAVITY_M_S2 = STANDARD_GRAVITY_M_S2


@dataclass(frozen=True, slots=True, kw_only=True)
class EndTables:
    """One end's forces against wheel travel, on an even grid; the end slopes continue outside.

    Attributes
    ----------
    first_m, step_m : float
        Wheel travel of the first entry and between entries, along the end's own path.
    force_n : float array, shape (n,)
        What springs, gas and stops push back with, at the wheel along its path.
    ratio : float array, shape (n,)
        Wheel travel over damper travel.
    end_factor : float array, shape (n,)
        What compression damping is multiplied by, 1 but near the end of travel.
    damper : float array, shape (6,)
        Compression: slope below the knee, N s/m, knee, m/s, slope above; then rebound; all at the damper's shaft.
    friction_n, friction_band_m_s : float
        Coulomb friction at the damper's shaft, and the speed over which it turns from one way to the other:
        ``friction * v / sqrt(v**2 + band**2)``.
    vertical : float
        Vertical share of the path: sine of the head angle at the front, 1 at the rear.
    """

    first_m: float
    step_m: float
    force_n: Floats
    ratio: Floats
    end_factor: Floats
    damper: Floats
    friction_n: float
    friction_band_m_s: float
    vertical: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """An unsprung mass on its tyre, which pushes and never pulls."""

    mass_kg: float
    tyre_n_m: float
    tyre_n_s_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What both ends carry, without the rider's moving mass.

    `front_ahead_m` and `rear_behind_m` are the axles' distances from its centre of mass.
    """

    mass_kg: float
    pitch_inertia_kg_m2: float
    front_ahead_m: float
    rear_behind_m: float

    @property
    def wheelbase_m(self) -> float:
        """Distance of the axles."""
        return self.front_ahead_m + self.rear_behind_m


@dataclass(frozen=True, slots=True, kw_only=True)
class RiderBody:
    """A rider's moving mass on legs, which push and never pull, and arms.

    `legs_share` of its weight stands on the pedals at rest on level ground, whatever pitch the bike takes there.
    `pedals_ahead_m` and `hands_ahead_m` are measured from the frame's centre of mass, forward.
    `turning_n_m` and `turning_n_m_s`, a radian and a radian a second, hold the frame's pitch where legs and arms are
    taken as one spring: of two springs a distance apart it is what one between them lacks.
    """

    mass_kg: float
    legs_share: float
    legs_n_m: float
    legs_n_s_m: float
    arms_n_m: float
    arms_n_s_m: float
    pedals_ahead_m: float
    hands_ahead_m: float
    turning_n_m: float = 0.0
    turning_n_m_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bike:
    """The whole: frame, rider, both wheels, both ends, and where forces along the ground act on them."""

    frame: Frame
    rider: RiderBody
    front_wheel: Wheel
    rear_wheel: Wheel
    front: EndTables
    rear: EndTables
    heights: Heights = ON_THE_GROUND

    @property
    def mass_kg(self) -> float:
        """All of it, with its rider."""
        return self.frame.mass_kg + self.rider.mass_kg + self.front_wheel.mass_kg + self.rear_wheel.mass_kg

    def leaning(self, forward_m: float) -> Bike:
        """Return the bike with its rider standing so much further forward, m."""
        rider = self.rider
        moved = replace(
            rider, pedals_ahead_m=rider.pedals_ahead_m + forward_m, hands_ahead_m=rider.hands_ahead_m + forward_m
        )
        return replace(self, rider=moved)
