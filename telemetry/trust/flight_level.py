"""Whether zero is where an end comes to rest in the air: no leg extends further than to its top-out."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.finding_codes import Severity
from telemetry.model.motion import RidingTime, Stretch
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

from .zero import ERROR_SHARE, PLAUSIBLE_SHARE, ZeroFacts, flat_within_mm

LONG_ENOUGH_S = 0.25
LOOKED_AT_S = 0.06
BEFORE_TOUCH_S = 0.02
SETTLED_MM = 1.0
FEWEST_FLIGHTS = 3
ALIKE_MM = 1.0
"""Own choices: a leg takes about a quarter of a second to extend; the low-pass shows a touch 20 ms early."""


def flight_levels_mm(travel_mm: Floats, flights: tuple[Stretch, ...], rate_hz: float, within_mm: float) -> Floats:
    """Return at which travel an end has come to rest shortly before each touch-down, mm; those that move left out.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Filtered.
    flights : tuple of (start, stop)
    rate_hz, within_mm : float
        The range that an end at rest may span.
    """
    looked_at, before = max(2, round(LOOKED_AT_S * rate_hz)), round(BEFORE_TOUCH_S * rate_hz)
    levels = []
    for start, stop in flights:
        last = travel_mm[stop - before - looked_at : stop - before]
        if (stop - start) / rate_hz >= LONG_ENOUGH_S and float(np.ptp(last)) <= within_mm:
            levels.append(float(np.median(last)))
    return np.array(levels)


def zero_in_flight(ride: Ride, signal: EndSignal, time: RidingTime, facts: ZeroFacts) -> tuple[Finding, ...]:
    """Find an end that rests below zero in flights told by a chassis sensor, three times or more and alike.

    Above zero says nothing: friction and a negative spring hold a leg in a little, and nothing draws it out.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime
    facts : ZeroFacts
    """
    if not any(on == "chassis" for _, on in ride.inertial):
        return ()
    within_mm = max(SETTLED_MM, flat_within_mm(signal))
    levels = flight_levels_mm(signal.travel_mm, time.flights, ride.rate_hz, within_mm)
    if levels.size < FEWEST_FLIGHTS:
        return ()
    level = float(np.median(levels))
    alike = float(np.median(np.abs(levels - level))) <= ALIKE_MM
    if not alike or not facts.limit_mm < -level <= PLAUSIBLE_SHARE * signal.full_travel_mm:
        return ()
    error_mm = ERROR_SHARE * signal.full_travel_mm
    severity: Severity = "error" if -level > error_mm else "warning"
    message = (
        f"{ride.name}, {signal.end}: comes to rest at {figure(level, 2, signed=True)} mm in {levels.size} flights "
        f"instead of 0 or a little above (limit {-facts.limit_mm:.2f} mm, error below {-error_mm:.1f} mm): the sensor "
        "moved; record both wheels lifted for 5 s and ride again"
    )
    return (Finding(severity=severity, code="zero_shift", message=message, end=signal.end),)
