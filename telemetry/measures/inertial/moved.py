"""How an end moves about its ride height, out of acceleration: strokes, and how wrong that may be."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from telemetry.measures.distributions import share_in
from telemetry.measures.missing import Missing
from telemetry.measures.strokes import gate_mm, strokes_of
from telemetry.model.arrays import Bools, Floats, read_only
from telemetry.model.finding import ENDS, End, Step
from telemetry.model.motion import MovedEnd, RidingTime, Stretch
from telemetry.model.ride import Ride
from telemetry.model.stretches import mask_of

from .integration import CORNER_HZ, EDGE_S, averaged, integrated, movement_of_white_mm
from .placing import Placing, placed, placing
from .relative import Geometry, Relative, relative_motion
from .rest_to_rest import pieces

SHORTEST_HIT_MM = 10.0
"""Hits and returns are at least so long, for full travel isn't known: 6 % of 170 mm. Own choice."""

MOST_ERROR_MM = 8.0
"""Movement that is wrong by more isn't told: it lies near the corner, where 8 mm are 30 mm/s. Own choice."""

MOST_SATURATED = 0.001
"""Of riding: the peaks that ten a minute reach, some 0.1 s each, make up 2 %. Own choice."""

MOVEMENT_EDGES_MM = read_only(np.arange(-200.0, 202.5, 5.0))


def movement_step(moved: MovedEnd) -> Step:
    """Return the step that tells how an end's movement was found, and how wrong it may be."""
    words = f"above {CORNER_HZ:g} Hz, sd {moved.error_mm:.2g} mm ({moved.error_from}): {moved.words}"
    parameters = {"corner_hz": CORNER_HZ, "error_mm": moved.error_mm}
    return Step(stage="movement", end=moved.end, words=words, parameters=parameters)


def _error_from(how: Placing | None) -> str:
    if how is None:
        return "of the sensors' noise, at least"
    return "from rest to rest" if how.rested else "from slow acceleration"


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


def _unplaced_mm(found: Relative, riding: Bools, rate_hz: float) -> float | None:
    """Return what it costs, for each 100 mm, not to know how far off the path the chassis' sensor sits."""
    if found.pitching_rad_s is None:
        return None
    turning, rate = averaged(found.pitching_rad_s, rate_hz)
    missed_mm = float(np.std(integrated(np.zeros_like(turning), rate, 0.1 * turning)[0]))
    return missed_mm / math.sqrt(float(np.mean(riding)) or 1.0)


def _place_words(found: Relative, how: Placing | None, unplaced_mm: float | None) -> str:
    """Return where the chassis' sensor was found, and what it costs not to know how far off the path it sits."""
    words = ""
    if how is not None and how.above_m is not None:
        further = "apart along it" if found.pitching_rad_s is not None else "further apart along it than stated"
        words = f"; by the bike's turning the sensors sit {1e3 * how.above_m:.0f} mm {further}"
    if unplaced_mm is None:
        return words
    cost = f"{unplaced_mm:.2g} mm more for each 100 mm that the chassis' sits fore or aft of it"
    return f"{words}; {cost}: state ahead_of_axle_mm and above_axle_mm"


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
    how = placing(found, pieces(time.standing, ride.segments, ride.rate_hz), ride.rate_hz)
    found = found if how is None else placed(found, how)
    density = found.density_m2_s4_hz if how is None else how.density_m2_s4_hz
    error_mm = movement_of_white_mm(density, ride.rate_hz)
    noise_mm = movement_of_white_mm(found.density_m2_s4_hz, ride.rate_hz)
    why = _too_wrong(float(np.mean(found.saturated[counted])), error_mm)
    if why is not None:
        return why
    unplaced_mm = _unplaced_mm(found, counted, ride.rate_hz)
    movement, speed = _integrated(found, ride.segments, ride.rate_hz)
    compressions, rebounds = strokes_of(movement, speed, gate_mm(noise_mm), ride.segments, counted)
    return MovedEnd(
        end=end,
        movement_mm=read_only(movement),
        speed_mm_s=read_only(speed),
        hits=compressions.where(compressions.length_mm >= SHORTEST_HIT_MM),
        returns=rebounds.where(rebounds.length_mm >= SHORTEST_HIT_MM),
        settled=settled,
        error_mm=error_mm,
        error_from=_error_from(how),
        words=found.words + _place_words(found, how, unplaced_mm),
        unplaced_mm=unplaced_mm,
    )


def movement_shares_pct(moved: MovedEnd, riding: Bools) -> Floats:
    """Return the share of riding time in each bin of `MOVEMENT_EDGES_MM`, %; the outermost are open.

    Parameters
    ----------
    moved : MovedEnd
    riding : bool array, shape (n,)
    """
    parts = [moved.movement_mm[start:stop][riding[start:stop]] for start, stop in moved.settled]
    return share_in(np.concatenate(parts), MOVEMENT_EDGES_MM)


def moved_ends(ride: Ride, time: RidingTime, geometry: Geometry) -> Mapping[End, MovedEnd | Missing]:
    """Return how each end with a sensor on its wheel moves, or why that isn't told."""
    wheels = [end for end in ENDS if (end, "wheel") in ride.inertial]
    return MappingProxyType({end: moved_end(ride, end, time, geometry) for end in wheels})
