"""A wheel's inertial sensor that is shaken less than the chassis' above it: each entered as the other."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import ENDS, Finding
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import RidingTime
from telemetry.model.ride import Ride

from .looked_at import looked_at

MOST_TIMES = 1.5
"""Own choice: without springs both are shaken alike, 1; a spring lets less through: on simulated trails 0.2 to 0.6."""


def wheel_calmer(ride: Ride, time: RidingTime) -> tuple[Finding, ...]:
    """Return what is told of ends whose chassis is shaken harder than their wheel.

    Parameters
    ----------
    ride : Ride
    time : RidingTime
    """
    found = []
    for end in ENDS:
        wheel, chassis = ride.inertial.get((end, "wheel")), ride.inertial.get((end, "chassis"))
        if wheel is None or chassis is None or not time.riding.any():
            continue
        below, above = _shaken_m_s2(wheel, time.riding), _shaken_m_s2(chassis, time.riding)
        if above <= MOST_TIMES * below:
            continue
        message = (
            f"{ride.name}, {end}: the chassis, by {chassis.sensor!r}, is shaken {above:.3g} m/s2 (sd), its wheel, by "
            f"{wheel.sensor!r}, {below:.3g} (the wheel more is expected, limit {MOST_TIMES:g} times its): is each "
            "entered as what it sits on? Check `on` and the columns of both"
        )
        found.append(Finding(code="wheel_calmer", message=message, end=end))
    return tuple(found)


def _shaken_m_s2(signal: InertialSignal, riding: Bools) -> float:
    """Return how far the length of what is felt spreads."""
    return float(np.sqrt(np.square(signal.specific_force_m_s2[looked_at(riding)]).sum(axis=1)).std())
