"""Riding time: what is neither standing nor lifted, and the flights within it."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import RidingTime, Stretch
from telemetry.model.ride import Ride
from telemetry.model.stretches import lasting, mask_of, stretches

from .inertial.still import still_by_acceleration
from .missing import TWO_CLOCKS
from .phases.airborne import found_flights

STANDING_S = 2.0
NEAR_ZERO_SHARE = 0.03
FLIGHT_S = 0.10
LIFTED_S = 3.0
NO_FLIGHT = "one end measured and no chassis acceleration: flight can't be told"
ONLY_WHEELS = "no inertial sensor on the chassis: flight can't be told"


def where_still(ride: Ride) -> Bools:
    """Tell where every measured end's slow speed stays within 20 mm/s; with none measured, where acceleration says so.

    A ride without any sensor stands all the time.
    """
    if ride.inertial and not ride.ends:
        return still_by_acceleration(ride)
    still = np.ones(ride.time_s.shape[0], dtype=bool)
    for signal in ride.ends.values():
        still &= signal.still
    return still


def find_standing(ride: Ride) -> tuple[Stretch, ...]:
    """Return stretches of 2 s or more in which the bike is still."""
    return lasting(stretches(where_still(ride), ride.segments), ride.rate_hz, STANDING_S)


def near_zero(ride: Ride) -> Bools | None:
    """Tell which samples lie within 3 % of full travel of zero at both ends; None with one end measured."""
    if len(ride.ends) < 2:
        return None
    near = np.ones(ride.time_s.shape[0], dtype=bool)
    for signal in ride.ends.values():
        near &= np.abs(signal.travel_mm) <= NEAR_ZERO_SHARE * signal.full_travel_mm
    return near


def _flights(ride: Ride, near: Bools | None, riding: Bools) -> tuple[Stretch, ...] | None:
    felt = found_flights(ride, riding)
    if felt is not None:
        return felt
    if near is None or ride.clocks == "rough":
        return None
    return lasting(stretches(near & riding, ride.segments), ride.rate_hz, FLIGHT_S, LIFTED_S)


def within(time_s: Floats, start_s: float, end_s: float) -> Bools:
    """Tell which samples lie from `start_s` to `end_s`, both included."""
    return (time_s >= start_s - 1e-9) & (time_s <= end_s + 1e-9)


def find_lifted(ride: Ride, near: Bools | None = None) -> tuple[Stretch, ...]:
    """Return stretches of more than 3 s near zero at both ends; none with one end measured.

    `near` is what `near_zero` tells, where it is known already.
    """
    near = near_zero(ride) if near is None else near
    at_top = () if near is None else stretches(near, ride.segments)
    longest = LIFTED_S * ride.rate_hz + 0.5
    return tuple((start, stop) for start, stop in at_top if stop - start > longest)


def _why_no_flight(ride: Ride) -> str:
    if not ride.ends:
        return ONLY_WHEELS
    return TWO_CLOCKS if ride.clocks == "rough" else NO_FLIGHT


def find_riding(ride: Ride) -> RidingTime:
    """Tell which samples of a ride are riding time and which of those are flown.

    Parameters
    ----------
    ride : Ride

    Returns
    -------
    RidingTime

    Notes
    -----
    Standing and lifted (near zero for longer than 3 s) are judged first. A chassis sensor's specific force
    below 0.4 g for 0.15 s or more decides flight where there is one, and its unsmoothed signal from which sample to
    which; else travel within 3 % of zero at both ends for 0.10 s to 3 s.
    """
    count = ride.time_s.shape[0]
    standing = find_standing(ride)
    near = near_zero(ride)
    lifted = find_lifted(ride, near)
    riding = within(ride.time_s, ride.start_s, ride.end_s)
    riding &= ~(mask_of(standing, count) | mask_of(lifted, count))
    flights = _flights(ride, near, riding)
    return RidingTime(
        riding=riding,
        airborne=None if flights is None else mask_of(flights, count) & riding,
        standing=standing,
        lifted=lifted,
        flights=flights or (),
        why_no_flight="" if flights is not None else _why_no_flight(ride),
        rate_hz=ride.rate_hz,
    )
