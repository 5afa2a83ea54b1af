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
CHANGE_S = 0.005
ROUGH_G = 0.15
ROUGH_SD, ROUGHEST_G = 6.0, 0.4
TOUCH_S = 0.015
BEFORE_S, AFTER_S = 0.2, 0.06
KINK_G, LET_GO = 0.25, 0.15
LEAST_OF_SLOW = 0.5
"""Own choices: ground shakes a bike, air doesn't. A rider whose legs still push the frame unloads it within 0.2 s of
take-off, and so do springs that extend, but without a kink; the 15 Hz low-pass moves an edge by less than 60 ms."""


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


def _changes(forces_m_s2: Sequence[Floats], first: int, last: int, step: int) -> Floats:
    """Return how far the force of that sensor which feels most changes from each sample to `step` later, g."""
    changes = [np.linalg.norm(force[first + step : last] - force[first : last - step], axis=1) for force in forces_m_s2]
    return np.asarray(np.max(changes, axis=0)) / STANDARD_GRAVITY_M_S2


def _bends(forces_m_s2: Sequence[Floats], first: int, last: int, step: int) -> Floats:
    """Return by how much the changes from each sample to `step` later, and from there to twice `step`, differ, g."""
    bends = [
        np.linalg.norm(
            force[first + 2 * step : last] - 2 * force[first + step : last - step] + force[first : last - 2 * step],
            axis=1,
        )
        for force in forces_m_s2
    ]
    return np.asarray(np.max(bends, axis=0)) / STANDARD_GRAVITY_M_S2


def _rough(felt_g: Floats, inner: slice, least_g: float) -> Bools:
    """Tell where more is felt than within a flight's middle half: from max(least, m + 6 s) on, at most 0.4 g."""
    level = float(np.median(felt_g[inner]))
    spread = 1.4826 * float(np.median(np.abs(felt_g[inner] - level)))
    return np.asarray(felt_g >= min(max(least_g, level + ROUGH_SD * spread), ROUGHEST_G))


def _first_run(mask: Bools, shortest: int, gap: int) -> int | None:
    """Return where the first run of at least so many samples begins; gaps of up to `gap` samples break none."""
    runs: list[Stretch] = []
    for start, stop in stretches(mask):
        if runs and start - runs[-1][1] <= gap:
            runs[-1] = (runs[-1][0], stop)
        else:
            runs.append((start, stop))
    return next((start for start, stop in runs if stop - start >= shortest), None)


def refined(forces_m_s2: Sequence[Floats], rate_hz: float, flight: Stretch, within: Stretch) -> Stretch:
    """Return a flight from the sample at which the last tyre leaves the ground to that of the first touch.

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
    In the air little changes, at the sensor that feels most: but springs that extend and a rider's legs take their
    push away from the frame for a tenth of a second, evenly. *Taken off*: what bends the force within 10 ms, the
    change of the second 5 ms less that of the first. The last that is rough, from max(0.25 g, m + 6 s) on, at most
    0.4 g, with the median and spread m, s of the flight's middle half, within 0.2 s before the slow edge or after it;
    from there back to where it is 0.15 of the largest of the 15 ms before. *Touched down*: where for 15 ms the change
    within 5 ms is first rough, here from 0.15 g on, or the force is 0.4 g or more. Where there is none the slow edge
    stands; both do where less than half of the slow flight is left, for then it is shaken throughout.
    """
    start, stop = flight
    step, touch = max(1, round(CHANGE_S * rate_hz)), max(2, round(TOUCH_S * rate_hz))
    first = max(within[0], start - round(BEFORE_S * rate_hz))
    last = min(within[1], stop + round(AFTER_S * rate_hz))
    middle, quarter = (start + stop) // 2 - first, max(1, (stop - start) // 4)
    inner = slice(middle - quarter, middle + quarter)
    bends = _bends(forces_m_s2, first, last, step)
    before = np.flatnonzero(_rough(bends, inner, KINK_G)[:middle])
    rough = _rough(_changes(forces_m_s2, first, last, step), inner, ROUGH_G)
    mean = np.linalg.norm(np.mean([force[first:last] for force in forces_m_s2], axis=0), axis=1)
    touched: Bools = mean >= FLIGHT_FORCE_G * STANDARD_GRAVITY_M_S2
    touched[step:] |= rough
    after = _first_run(touched[middle:], touch, step)
    off = start if not before.size else first + _let_go(bends, int(before[-1]), touch)
    down = stop if after is None else first + middle + after
    return (off, down) if down - off >= LEAST_OF_SLOW * (stop - start) else flight


def _let_go(bends_g: Floats, last: int, reach: int) -> int:
    """Return the last sample at which the force bends by 0.15 of the most it does in the moment before."""
    felt = bends_g[max(0, last - reach) : last + 1]
    return last - int(np.argmax(felt[::-1] >= LET_GO * felt.max()))


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
