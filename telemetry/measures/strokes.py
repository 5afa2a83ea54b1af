"""Strokes between turning points; hits and returns are the long ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.motion import Stretch, Strokes
from telemetry.model.ride import EndSignal, Ride

from .turning_points import turning_points

SMALLEST_GATE_MM = 2.0
GATE_IN_NOISE = 6.0
HIT_SHARE = 0.06
BLOCK = 1 << 16


def gate_mm(noise_mm: float) -> float:
    """Return the hysteresis gate, mm: the larger of 2 mm and 6 x the noise of travel."""
    return max(SMALLEST_GATE_MM, GATE_IN_NOISE * noise_mm)


def _bounds(travel: Floats, gate: float, first: int) -> tuple[Ints, Ints, Bools]:
    """Return start, stop and whether compressing, of one segment's strokes, in the ride's samples."""
    points = turning_points(travel, gate)
    samples = points.samples
    inner = samples > 0  # the last sample is confirmed by none
    is_high = np.arange(samples.shape[0]) % 2 == (0 if points.starts_high else 1)
    keep = inner[:-1] & inner[1:]
    return samples[:-1][keep] + first, samples[1:][keep] + first, is_high[1:][keep]


def _peaks(magnitude: Floats, start: Ints, stop: Ints) -> Floats:
    """Return the largest of `magnitude` from each start to each stop, both included."""
    if start.size == 0:
        return np.empty(0)
    pairs = np.column_stack([start, stop]).ravel()
    inside: Floats = np.maximum.reduceat(magnitude, pairs)[::2]
    return np.maximum(inside, magnitude[stop])


def _shaft_peaks(signal: EndSignal, speed: Floats, start: Ints, stop: Ints) -> Floats | None:
    """Return the largest damper shaft speed of each stroke, mm/s; None where the shaft's motion isn't known.

    `speed` is the wheel's, without its sign; it is used up.
    """
    if signal.shaft_ratio is None:
        return None
    travel, ratio = signal.shaft_ratio
    if ratio[0] == ratio[-1] == np.mean(ratio):
        return np.asarray(_peaks(speed, start, stop) / ratio[0], dtype=float)
    for first in range(0, speed.shape[0], BLOCK):  # in pieces: a long log has no room for copies of itself
        block = slice(first, first + BLOCK)
        speed[block] /= np.interp(signal.travel_mm[block], travel, ratio)
    return _peaks(speed, start, stop)


def _every(
    travel: Floats, magnitude: Floats, gate: float, segments: tuple[Stretch, ...], riding: Bools
) -> tuple[Strokes, Bools]:
    """Return all strokes whose middle sample is riding time, and which of them compress."""
    parts = [_bounds(travel[a:b], gate, a) for a, b in segments]
    start = np.concatenate([part[0] for part in parts])
    stop = np.concatenate([part[1] for part in parts])
    compressing = np.concatenate([part[2] for part in parts])
    counts = riding[(start + stop) // 2]
    start, stop, compressing = start[counts], stop[counts], compressing[counts]
    every = Strokes(
        start=start,
        stop=stop,
        start_mm=travel[start],
        stop_mm=travel[stop],
        peak_mm_s=_peaks(magnitude, start, stop),
        peak_shaft_mm_s=None,
    )
    return every, compressing


def strokes_of(
    travel_mm: Floats, speed_mm_s: Floats, gate: float, segments: tuple[Stretch, ...], riding: Bools
) -> tuple[Strokes, Strokes]:
    """Return compression and rebound strokes whose middle sample is riding time.

    Parameters
    ----------
    travel_mm, speed_mm_s : float arrays, shape (n,)
    gate : float
        Of the turning points, mm.
    segments : tuple of (start, stop)
        Gap-free.
    riding : bool array, shape (n,)

    Returns
    -------
    compressions, rebounds : Strokes

    Notes
    -----
    Unfinished strokes at a segment's ends don't count, nor one whose turning point is the segment's first or
    last sample.
    """
    every, compressing = _every(travel_mm, np.abs(speed_mm_s), gate, segments, riding)
    return every.where(compressing), every.where(~compressing)


def find_strokes(ride: Ride, signal: EndSignal, riding: Bools) -> tuple[Strokes, Strokes]:
    """Return one end's strokes as `strokes_of` does, with their speeds at the damper's shaft where these are known.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    riding : bool array, shape (n,)

    Returns
    -------
    compressions, rebounds : Strokes
    """
    speed = np.abs(signal.speed_mm_s)
    every, compressing = _every(signal.travel_mm, speed, gate_mm(signal.noise.travel_mm), ride.segments, riding)
    every = replace(every, peak_shaft_mm_s=_shaft_peaks(signal, speed, every.start, every.stop))
    return every.where(compressing), every.where(~compressing)


def long_enough(strokes: Strokes, full_travel_mm: float) -> Strokes:
    """Return the strokes of at least 6 % of full travel: hits among compressions, returns among rebounds."""
    return strokes.where(strokes.length_mm >= HIT_SHARE * full_travel_mm)
