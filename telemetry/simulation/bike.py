"""A simulated bike: frame, rider, wheels and both ends, as it stands and as it rides."""

from __future__ import annotations

from dataclasses import dataclass

from telemetry.dynamics.car import GRAVITY_M_S2, Bike, EndTables, Frame, RiderBody, Wheel
from telemetry.dynamics.given import ON_THE_GROUND, Heights
from telemetry.dynamics.half_car import axle_loads_n, travel_under_m
from telemetry.dynamics.suspension import SLOW_EXPONENT, Suspension

from .body import Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedBike:
    """Everything that moves: frame, rider, wheels, both ends.

    Attributes
    ----------
    ride_exponent : float
        Of the gas while riding, about where it settled.
    wheel_radius_m : (front, rear)
        Over the tyre.
    heights : Heights or None
        Where forces along the ground act; None where nothing acts along it.
    swingarm_m : float
        The rear axle's distance from its pivot.
    """

    frame: Frame
    rider: RiderBody
    front_wheel: Wheel
    rear_wheel: Wheel
    front: Suspension
    rear: Suspension
    ride_exponent: float
    wheel_radius_m: tuple[float, float]
    heights: Heights | None = None
    swingarm_m: float = 0.45

    def _with(self, front: EndTables, rear: EndTables) -> Bike:
        return Bike(
            frame=self.frame,
            rider=self.rider,
            front_wheel=self.front_wheel,
            rear_wheel=self.rear_wheel,
            front=front,
            rear=rear,
            heights=self.heights or ON_THE_GROUND,
        )

    @property
    def geometry(self) -> Geometry:
        """Lengths that an inertial sensor's place counts by; without heights all places lie as high as the frame's."""
        frame, own = self.frame, self.heights or ON_THE_GROUND
        return Geometry(
            front_ahead_m=frame.front_ahead_m,
            rear_behind_m=frame.rear_behind_m,
            front_down_m=own.centre_m - own.front_axle_m,
            rear_down_m=own.centre_m - own.rear_axle_m,
            fork_sine=self.front.vertical,
            swingarm_m=self.swingarm_m,
        )

    def settled(self) -> Bike:
        """Return the bike as it stands: gas slow, exponent 1.0."""
        return self._with(self.front.tables(SLOW_EXPONENT), self.rear.tables(SLOW_EXPONENT))

    def sag_m(self) -> tuple[float, float]:
        """Return wheel travel at rest with the rider aboard, front and rear, without friction, m."""
        slow = self.settled()
        front_n, rear_n = axle_loads_n(slow)
        return travel_under_m(slow.front, front_n), travel_under_m(slow.rear, rear_n)

    def hanging_m(self) -> tuple[float, float]:
        """Return wheel travel with the wheels off the ground, front and rear: what a lifted recording calls zero, m."""
        slow = self.settled()
        front = travel_under_m(slow.front, -self.front_wheel.mass_kg * GRAVITY_M_S2)
        return front, travel_under_m(slow.rear, -self.rear_wheel.mass_kg * GRAVITY_M_S2)

    def riding(self) -> Bike:
        """Return the bike as it rides: gas polytropic with `ride_exponent` about where it settled."""
        front_m, rear_m = self.sag_m()
        return self._with(self.front.tables(self.ride_exponent, front_m), self.rear.tables(self.ride_exponent, rear_m))
