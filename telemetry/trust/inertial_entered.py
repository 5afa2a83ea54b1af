"""Whether inertial sensors are entered as they sit: a wheel's as the chassis', a place that isn't stated."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import ENDS, Finding
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import MovedEnd, RidingTime
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


def unplaced(run: str, moved: MovedEnd) -> tuple[Finding, ...]:
    """Return what a run is told of an end whose movement hangs on where the chassis' sensor sits.

    Parameters
    ----------
    run : str
    moved : MovedEnd
    """
    if moved.unplaced_mm is None:
        return ()
    message = (
        f"{run}, {moved.end}: where the chassis' inertial sensor sits isn't stated (ahead_of_axle_mm and "
        f"above_axle_mm are expected): movement is wrong by {moved.unplaced_mm:.2g} mm (sd) for each 100 mm that it "
        "sits fore or aft of the wheel's path, its speeds and lengths with it, in every run alike; state them"
    )
    return (Finding(severity="note", code="unplaced", message=message, end=moved.end),)
