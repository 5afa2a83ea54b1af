"""How an end moves about its ride height, out of acceleration: strokes, and how wrong that may be."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from telemetry.measures.distributions import share_in
from telemetry.measures.missing import Missing
from telemetry.measures.strokes import gate_mm, strokes_of
from telemetry.model.arrays import Floats, read_only
from telemetry.model.finding import ENDS, End, Step
from telemetry.model.motion import RidingTime, Stretch, Strokes
from telemetry.model.ride import Ride
from telemetry.model.stretches import mask_of

from .integration import CORNER_HZ, EDGE_S, integrated, movement_of_speed_mm2_s, movement_of_white_mm
from .relative import Geometry, Relative, relative_motion
from .rest_to_rest import slow_density

SHORTEST_HIT_MM = 10.0
"""Hits and returns are at least so long, for full travel isn't known: 6 % of 170 mm. Own choice."""

MOST_ERROR_MM = 5.0
"""Movement that is wrong by more isn't told: its gate, 30 mm, passes a hit in two by. Own choice."""

MOST_SATURATED = 0.001
"""Of riding: the peaks that ten a minute reach, some 0.1 s each, make up 2 %. Own choice."""

MOVEMENT_EDGES_MM = read_only(np.arange(-200.0, 202.5, 5.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedEnd:
    """One end's movement about its ride height, above the corner.

    Attributes
    ----------
    hits, returns : Strokes
        Of at least 10 mm; heights are about the ride height.
    settled : tuple of (start, stop)
        Where movement is told: 3 s and more from the ends of a gap-free stretch.
    error_mm : float
        Standard deviation of what movement is wrong by.
    rested : bool
        Whether that was found from rest to rest; else it is the sensors' noise alone, and at least that.
    lever_mm_a_m : float or None
        Standard deviation of what it misses for each metre that a sensor sits fore or aft of its place; None without a
        gyroscope.
    share_pct : float array, shape (80,)
        Share of riding time in each bin of `MOVEMENT_EDGES_MM`, %.
    words : str
        From what, and along what.
    """

    end: End
    hits: Strokes
    returns: Strokes
    settled: tuple[Stretch, ...]
    error_mm: float
    rested: bool
    lever_mm_a_m: float | None
    share_pct: Floats
    words: str

    @property
    def step(self) -> Step:
        """The step that tells how movement was found, and how wrong it may be."""
        source = "from rest to rest" if self.rested else "from the sensors' noise: at least"
        lever = ""
        if self.lever_mm_a_m is not None:
            lever = f"; a sensor 100 mm fore or aft of its place: {0.1 * self.lever_mm_a_m:.2g} mm more"
        words = f"{self.words}, above {CORNER_HZ:g} Hz: sd {self.error_mm:.2g} mm ({source}){lever}"
        parameters = {"corner_hz": CORNER_HZ, "error_mm": self.error_mm}
        return Step(stage="movement", end=self.end, words=words, parameters=parameters)


def _settled(segments: tuple[Stretch, ...], rate_hz: float) -> tuple[Stretch, ...]:
    edge = math.ceil(EDGE_S * rate_hz)
    return tuple((start + edge, stop - edge) for start, stop in segments if stop - start > 2 * edge)


def _integrated(found: Relative, segments: tuple[Stretch, ...], rate_hz: float) -> tuple[Floats, Floats]:
    """Return movement and speed of every segment that is long enough to settle, 0 elsewhere."""
    movement, speed = np.zeros_like(found.acceleration_m_s2), np.zeros_like(found.acceleration_m_s2)
    for start, stop in segments:
        if stop - start > 2 * math.ceil(EDGE_S * rate_hz):
            known = None if found.speed_m_s is None else found.speed_m_s[start:stop]
            movement[start:stop], speed[start:stop] = integrated(found.acceleration_m_s2[start:stop], rate_hz, known)
    return movement, speed


def _lever_mm_a_m(found: Relative, segments: tuple[Stretch, ...], riding_s: float, rate_hz: float) -> float | None:
    if found.lever_m_s_a_m is None:
        return None
    missed = sum(movement_of_speed_mm2_s(found.lever_m_s_a_m[start:stop], rate_hz) for start, stop in segments)
    return math.sqrt(missed / riding_s)


def _error(found: Relative, ride: Ride, time: RidingTime) -> tuple[float, bool]:
    """Return what movement is wrong by, mm, and whether that was found from rest to rest."""
    slow = slow_density(found.acceleration_m_s2, time.standing, ride.segments, ride.rate_hz)
    density = found.density_m2_s4_hz if slow is None else max(slow, found.density_m2_s4_hz)
    return movement_of_white_mm(density, ride.rate_hz), slow is not None


def _too_wrong(saturated: float, error_mm: float) -> Missing | None:
    if saturated > MOST_SATURATED:
        most = f"{100 * MOST_SATURATED:g} % at most expected"
        return Missing(f"a sensor is at the end of its range for {100 * saturated:.2g} % of riding, {most}")
    if error_mm > MOST_ERROR_MM:
        return Missing(f"movement is wrong by {error_mm:.1f} mm (sd), {MOST_ERROR_MM:g} mm at most expected")
    return None


def moved_end(ride: Ride, end: End, time: RidingTime, geometry: Geometry) -> MovedEnd | Missing:
    """Return how one end moves about its ride height.

    Parameters
    ----------
    ride : Ride
        With inertial signals.
    end : {"front", "rear"}
    time : RidingTime
    geometry : Geometry
    """
    found = relative_motion(ride, end, geometry)
    if isinstance(found, Missing):
        return found
    settled = _settled(ride.segments, ride.rate_hz)
    counted = time.riding & mask_of(settled, time.riding.shape[0])
    if not counted.any():
        return Missing(f"no riding that is {EDGE_S:g} s away from a gap or the log's ends")
    error_mm, rested = _error(found, ride, time)
    why = _too_wrong(float(np.mean(found.saturated[counted])), error_mm)
    if why is not None:
        return why
    movement, speed = _integrated(found, ride.segments, ride.rate_hz)
    compressions, rebounds = strokes_of(movement, speed, gate_mm(error_mm), ride.segments, counted)
    return MovedEnd(
        end=end,
        hits=compressions.where(compressions.length_mm >= SHORTEST_HIT_MM),
        returns=rebounds.where(rebounds.length_mm >= SHORTEST_HIT_MM),
        settled=settled,
        error_mm=error_mm,
        rested=rested,
        lever_mm_a_m=_lever_mm_a_m(found, ride.segments, float(counted.sum()) / ride.rate_hz, ride.rate_hz),
        share_pct=read_only(share_in(movement[counted], MOVEMENT_EDGES_MM)),
        words=found.words,
    )


def moved_ends(ride: Ride, time: RidingTime, geometry: Geometry) -> Mapping[End, MovedEnd | Missing]:
    """Return how each end with a sensor on its wheel moves, or why that isn't told."""
    wheels = [end for end in ENDS if (end, "wheel") in ride.inertial]
    return MappingProxyType({end: moved_end(ride, end, time, geometry) for end in wheels})
