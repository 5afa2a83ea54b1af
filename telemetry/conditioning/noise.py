"""How much of travel and speed is noise."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End, Step
from telemetry.model.ride import Noise, Ride

FEW_STEPS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class RestNoise:
    """Standard deviations seen in recordings where nothing moves, after the filter."""

    travel_mm: float
    speed_mm_s: float
    source: str


def _smallest(step: Floats, floor: float) -> float:
    """Return the smallest of steps over `floor`, infinite where there is none; `step` is used up."""
    step[step <= floor] = np.inf
    return float(np.min(step, initial=np.inf))


def sensor_step(readings: Floats) -> float:
    """Return the converter's step, in readings: the smallest between readings that differ; 0 where none do.

    Parameters
    ----------
    readings : float array, shape (n,)

    Returns
    -------
    float

    Notes
    -----
    Successive readings show it in all but a short and lively log. Where theirs is over 1/500 of the range, all readings
    are put in order to find smaller ones.
    """
    if readings.shape[0] < 2:
        return 0.0
    lowest, highest = float(np.min(readings)), float(np.max(readings))
    floor = 1e-9 * max(-lowest, highest, 1e-300)
    smallest = _smallest(np.abs(np.diff(readings)), floor)
    if highest - lowest < FEW_STEPS * smallest < math.inf:
        smallest = _smallest(np.diff(np.sort(readings)), floor)
    return smallest if math.isfinite(smallest) else 0.0


def travel_noise_mm(step_mm: float, rate_hz: float, cutoff_hz: float) -> float:
    """Return the standard deviation of filtered travel that rounding to `step_mm` leaves, mm.

    Notes
    -----
    ``q / sqrt(12) * sqrt(2 fc / rate)``: rounding error is white over half the rate, the filter keeps fc.
    """
    return step_mm / math.sqrt(12) * math.sqrt(2 * cutoff_hz / rate_hz)


def speed_noise_mm_s(step_mm: float, rate_hz: float, cutoff_hz: float) -> float:
    """Return the standard deviation of speed that rounding to `step_mm` leaves, mm/s.

    Notes
    -----
    ``sqrt(2 q^2 / 12 / rate * 4 pi^2 fc^3 / 3)``: the same white error, differentiated, up to fc.
    """
    return math.sqrt(2 * step_mm**2 / 12 / rate_hz * 4 * math.pi**2 * cutoff_hz**3 / 3)


def noise_of_step(step_mm: float, rate_hz: float, cutoff_hz: float) -> Noise:
    """Return the noise that the converter's step alone makes."""
    return Noise(
        travel_mm=travel_noise_mm(step_mm, rate_hz, cutoff_hz),
        speed_mm_s=speed_noise_mm_s(step_mm, rate_hz, cutoff_hz),
        sensor_step_mm=step_mm,
        source="sensor step",
    )


def noise_step(end: End, noise: Noise) -> Step:
    """Return the step that tells an end's noise."""
    return Step(
        stage="noise",
        end=end,
        words=f"sd {noise.travel_mm:.3f} mm of travel, {noise.speed_mm_s:.1f} mm/s of speed ({noise.source})",
        parameters={"travel_mm": noise.travel_mm, "speed_mm_s": noise.speed_mm_s, "source": noise.source},
    )


def with_rest_noise(ride: Ride, seen: Mapping[End, RestNoise]) -> Ride:
    """Return a ride in which of each end's noise the larger counts: of the converter's step, or as seen at rest.

    Parameters
    ----------
    ride : Ride
    seen : mapping of end to RestNoise
    """
    ends, steps = dict(ride.ends), dict[End | None, Step]()
    for end in ends.keys() & seen.keys():
        own, found = ends[end].noise, seen[end]
        noise = replace(
            own,
            travel_mm=max(own.travel_mm, found.travel_mm),
            speed_mm_s=max(own.speed_mm_s, found.speed_mm_s),
            source=found.source if found.travel_mm > own.travel_mm else own.source,
        )
        ends[end], steps[end] = replace(ends[end], noise=noise), noise_step(end, noise)
    history = tuple(steps.get(step.end, step) if step.stage == "noise" else step for step in ride.history)
    return replace(ride, ends=MappingProxyType(ends), history=history)
