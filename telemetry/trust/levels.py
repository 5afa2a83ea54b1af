"""How deep a run lies along its trail and where it stands: what tells a sensor that moves or another gain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints, read_only
from telemetry.model.finding import End
from telemetry.model.motion import RidingTime, Stretch
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.stretches import stretches

WINDOWS = 12
FEWEST_SAMPLES = 50
THINNED_HZ = 100.0
STOOD_S, NEAR_S = 0.5, 3.0
LEAST_STOOD_SHARE, SETTLED_SHARE = 0.05, 0.0025
"""Own choices: an end that stands less deep carries no rider; one that creeps further from each quarter of the stand
to the next is still coming out, as damped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndLevels:
    """One end of a run, in shares of full travel.

    Attributes
    ----------
    mean, spread : float array, shape (WINDOWS,)
        Mean travel, and from the lowest to the highest tenth, of equal shares of riding time on the ground.
    stood : (before, after) or None
        Where it stood still before the ride and after it; None where it didn't, or hadn't settled.
    """

    full_travel_mm: float
    mean: Floats
    spread: Floats
    stood: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLevels:
    """One run: `begins_s` are the seconds at which its equal shares of riding time begin."""

    run: str
    setup: str | None
    riding_s: float
    begins_s: Floats
    ends: Mapping[End, EndLevels]


def _stood(ride: Ride, still: Bools) -> tuple[Stretch, Stretch] | None:
    """Return the last stretch in which the bike stands before it is ridden, and the first after it."""
    length = STOOD_S * ride.rate_hz
    calm = [(start, stop) for start, stop in stretches(still, ride.segments) if stop - start >= length]
    before = [item for item in calm if ride.time_s[item[0]] < ride.start_s + NEAR_S]
    after = [item for item in calm if ride.time_s[item[1] - 1] > ride.end_s - NEAR_S and item not in before]
    return (before[-1], after[0]) if before and after else None


def _settled(quarters: list[Floats]) -> float | None:
    """Return where an end stands in the middle one of three quarters of a stand; None where it creeps on both sides."""
    first, level, last = (float(np.median(quarter)) for quarter in quarters)
    creeps = min(abs(level - first), abs(last - level)) > SETTLED_SHARE
    return None if creeps or level <= LEAST_STOOD_SHARE else level


def _end_levels(signal: EndSignal, parts: list[Ints], stood: tuple[Stretch, Stretch] | None) -> EndLevels:
    travel, full = signal.travel_mm, signal.full_travel_mm
    pieces = [travel[part] / full for part in parts]
    spans = np.array([np.quantile(piece, (0.1, 0.9)) for piece in pieces])
    before = after = None
    if stood is not None:
        quarters = [np.array_split(travel[start:stop] / full, 4) for start, stop in stood]
        before, after = _settled(quarters[0][:3]), _settled(quarters[1][1:])  # it sets off at the end of the first
    return EndLevels(
        full_travel_mm=full,
        mean=read_only(np.array([piece.mean() for piece in pieces])),
        spread=read_only(spans[:, 1] - spans[:, 0]),
        stood=None if before is None or after is None else (before, after),
    )


def run_levels(ride: Ride, time: RidingTime) -> RunLevels | None:
    """Return how deep a run lies along its trail; None where it is too short to tell, or no end's travel is measured.

    Parameters
    ----------
    ride : Ride
    time : RidingTime
    """
    ridden = time.riding if time.airborne is None else time.riding & ~time.airborne
    samples = np.flatnonzero(ridden)[:: max(1, int(ride.rate_hz / THINNED_HZ))]
    if samples.size < WINDOWS * FEWEST_SAMPLES or not ride.ends:
        return None
    parts = np.array_split(samples, WINDOWS)
    still = np.logical_and.reduce([signal.still for signal in ride.ends.values()])
    stood = _stood(ride, still)
    return RunLevels(
        run=ride.name,
        setup=ride.setup,
        riding_s=time.riding_s,
        begins_s=read_only(np.array([ride.time_s[part[0]] for part in parts])),
        ends=MappingProxyType({end: _end_levels(signal, parts, stood) for end, signal in ride.ends.items()}),
    )
