"""Flight: the chassis falls freely. A slow look says whether, the unsmoothed signal from which sample to which."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch
from telemetry.model.ride import Ride
from telemetry.model.stretches import lasting, stretches
from telemetry.units import STANDARD_GRAVITY_M_S2

from .slow import SlowClock

FORCE_CUTOFF_HZ = 15.0
FLIGHT_FORCE_G = 0.4
FLIGHT_FORCE_S = 0.15
CALM_G = 0.1
CALM_SD = 6.0
LET_GO_G = 0.25
CALM_S = 0.015
LETS_GO_S = 0.015
AROUND_S = 0.06
"""Own choices: a tyre leaves the ground while its leg still pushes and lets go within 10 to 20 ms, a tyre that touches
shows at once; the 15 Hz low-pass moves an edge by less than 60 ms."""


def chassis_signals(ride: Ride) -> tuple[InertialSignal, ...]:
    """Return a ride's inertial sensors on the chassis, the front's first."""
    return tuple(signal for site in (("front", "chassis"), ("rear", "chassis")) if (signal := ride.inertial.get(site)))


def weightless(forces_m_s2: Sequence[Floats], rate_hz: float, segments: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    """Return where the specific force, low-passed at 15 Hz, is below 0.4 g; of two sensors their mean.

    Parameters
    ----------
    forces_m_s2 : sequence of float arrays, shape (n, 3)
        In one frame of axes.
    rate_hz : float
    segments : tuple of (start, stop)
    """
    clock = SlowClock(rate_hz, segments)
    squares = np.zeros(clock.count)
    for axis in range(3):
        mean = np.mean([clock.means(force[:, axis]) for force in forces_m_s2], axis=0)
        squares += clock.lowpassed(mean, FORCE_CUTOFF_HZ) ** 2
    light = np.sqrt(squares) < FLIGHT_FORCE_G * STANDARD_GRAVITY_M_S2
    return clock.in_samples(clock.stretches(light))


def _runs(mask: Bools, shortest: int) -> list[Stretch]:
    return [item for item in stretches(mask) if item[1] - item[0] >= shortest]


def refined(forces_m_s2: Sequence[Floats], rate_hz: float, flight: Stretch, within: Stretch) -> Stretch:
    """Return a flight from the sample at which nothing holds the bike any more to that of the first touch.

    Parameters
    ----------
    forces_m_s2 : sequence of float arrays, shape (n, 3)
        Unsmoothed.
    rate_hz : float
    flight : (start, stop)
        As the slow look has it.
    within : (start, stop)
        The gap-free range it lies in.

    Notes
    -----
    In the air the length of the specific force keeps to its own median and spread m, s there; it is calm below
    c = max(0.1 g, m + 6 s), at most 0.4 g. Touched down: where any sensor is first no longer calm for 15 ms. Taken off:
    before the first 15 ms in which every sensor keeps to max(c, 0.25 g), the last leg lets go; the tyre has left where
    the sensor that feels it most falls through half of the most it felt within 15 ms. Where there is no such stretch
    the slow edge stands. On one end alone a sensor hardly feels the other wheel: bodies turn about a far point.
    """
    start, stop = flight
    around, shortest = round(AROUND_S * rate_hz), max(2, round(CALM_S * rate_hz))
    first, last = max(within[0], start - around), min(within[1], stop + around)
    middle = (start + stop) // 2 - first
    length = np.array([np.linalg.norm(force[first:last], axis=1) for force in forces_m_s2]) / STANDARD_GRAVITY_M_S2
    quarter = max(1, (stop - start) // 4)
    inner = length[:, middle - quarter : middle + quarter]
    level = np.median(inner, axis=1)
    spread = 1.4826 * np.median(np.abs(inner - level[:, None]), axis=1)
    limit = np.clip(level + CALM_SD * spread, CALM_G, FLIGHT_FORCE_G)[:, None]
    let_go: Bools = np.all(length < np.maximum(limit, LET_GO_G), axis=0)
    touched: Bools = np.any(length >= limit, axis=0)
    before, after = _runs(let_go[:middle], shortest), _runs(touched[middle:], shortest)
    off = first + _left(length, before[0][0], round(LETS_GO_S * rate_hz)) if before else start
    return off, first + middle + after[0][0] if after else stop


def _left(length: Floats, calm_from: int, reach: int) -> int:
    """Return the sample by which the last leg has let go, before it is calm."""
    earliest = max(0, calm_from - reach)
    if earliest == calm_from:
        return calm_from
    felt = length[:, earliest:calm_from]
    most = felt[int(np.argmax(felt.max(axis=1)))]
    pushed = np.flatnonzero(most >= float(most.max()) / 2)
    return earliest + int(pushed[-1]) + 1


def found_flights(ride: Ride, riding: Bools) -> tuple[Stretch, ...] | None:
    """Return a ride's flights by its chassis sensors, to a sample; None without such a sensor.

    Parameters
    ----------
    ride : Ride
    riding : bool array, shape (n,)
        Flight is looked for where it is ridden only.
    """
    signals = chassis_signals(ride)
    if not signals:
        return None
    forces = [signal.specific_force_m_s2 for signal in signals]
    light = weightless(forces, ride.rate_hz, ride.segments)
    slow = [item for item in lasting(light, ride.rate_hz, FLIGHT_FORCE_S) if riding[item[0] : item[1]].all()]
    flights: list[Stretch] = []
    for item in slow:
        within = next(segment for segment in ride.segments if segment[0] <= item[0] < segment[1])
        start, stop = refined(forces, ride.rate_hz, item, within)
        flights.append((max(start, flights[-1][1]) if flights else start, stop))
    return tuple(flights)
