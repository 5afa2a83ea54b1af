"""Riding time, turning points and strokes, walked sample by sample."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tests.plain.plain_signal import Array, PlainSegment, PlainSpec, low_passed

Mask = NDArray[np.bool_]

STILL_MM_S = 20.0
STILL_S = 2.0
NEAR_ZERO = 0.03
FLIGHT_S = (0.10, 3.0)


@dataclass(frozen=True, kw_only=True)
class PlainStroke:
    """One stroke between two confirmed turning points of a segment."""

    segment: int
    first: int
    last: int
    start_mm: float
    end_mm: float
    peak_mm_s: float
    peak_shaft_mm_s: float

    @property
    def length_mm(self) -> float:
        return abs(self.end_mm - self.start_mm)

    @property
    def compresses(self) -> bool:
        return self.end_mm > self.start_mm


def stretches_of(mask: Mask) -> list[tuple[int, int]]:
    """Return first and last-plus-one index of each run of true samples."""
    found, start = [], None
    for i, value in enumerate([*mask.tolist(), False]):
        if value and start is None:
            start = i
        if not value and start is not None:
            found.append((start, i))
            start = None
    return found


def is_standing(segment: PlainSegment) -> Mask:
    """Tell per sample whether the bike stands: 2 s or more within 20 mm/s at every end, low-passed at 10 Hz."""
    still = np.ones(len(segment.time_s), dtype=bool)
    for speed in segment.speed_mm_s.values():
        still &= np.abs(low_passed(speed, segment.rate_hz, 10.0)) <= STILL_MM_S
    standing = np.zeros_like(still)
    for a, b in stretches_of(still):
        standing[a:b] = (b - a) / segment.rate_hz >= STILL_S
    return standing


def is_near_zero(segment: PlainSegment, spec: PlainSpec) -> Mask:
    """Tell per sample whether every measured end is within 3 % of zero; never with one end."""
    near = np.full(len(segment.time_s), len(segment.filtered_mm) == 2)
    for name, travel in segment.filtered_mm.items():
        near &= np.abs(travel) <= NEAR_ZERO * spec.ends[name].full_mm
    return near


def is_lifted(segment: PlainSegment, spec: PlainSpec) -> Mask:
    """Tell per sample whether both ends have been near zero for longer than any flight."""
    near = is_near_zero(segment, spec)
    lifted = np.zeros_like(near)
    for a, b in stretches_of(near):
        lifted[a:b] = (b - a) / segment.rate_hz > FLIGHT_S[1]
    return lifted


def is_within(segment: PlainSegment, spec: PlainSpec, log_start_s: float) -> Mask:
    """Tell per sample whether it lies within the run's start and end."""
    since = segment.time_s - log_start_s
    within = np.ones(len(since), dtype=bool)
    if spec.start_s is not None:
        within &= since >= spec.start_s - 1e-9
    if spec.end_s is not None:
        within &= since <= spec.end_s + 1e-9
    return within


def is_riding(segment: PlainSegment, spec: PlainSpec, log_start_s: float) -> Mask:
    """Tell per sample whether the bike is ridden: within start and end, neither standing nor lifted."""
    return is_within(segment, spec, log_start_s) & ~is_standing(segment) & ~is_lifted(segment, spec)


def is_airborne(segment: PlainSegment, spec: PlainSpec, riding: Mask) -> Mask:
    """Tell per sample whether both ends hang near zero while riding, for 0.10 s to 3 s."""
    airborne = np.zeros_like(riding)
    for a, b in stretches_of(is_near_zero(segment, spec) & riding):
        airborne[a:b] = FLIGHT_S[0] <= (b - a) / segment.rate_hz <= FLIGHT_S[1]
    return airborne


def turning_points(x: Array, gate: float) -> list[tuple[int, bool]]:
    """Return confirmed turning points in order: sample, and whether it is a high.

    A high is confirmed once `x` has since fallen by the gate, a low once it has risen; each is the extreme sample
    between confirmations, the last one of a plateau.
    """
    points: list[tuple[int, bool]] = []
    high = low = 0
    rising: bool | None = None  # unknown until the first confirmation
    for i, value in enumerate(x.tolist()):
        if value >= x[high]:
            high = i
        if value <= x[low]:
            low = i
        if rising is not False and value <= x[high] - gate:
            points.append((high, True))
            rising, low = False, i
        elif rising is not True and value >= x[low] + gate:
            points.append((low, False))
            rising, high = True, i
    return points


def strokes_of(x: Array, speed: Array, shaft: Array | None, gate: float, segment: int) -> list[PlainStroke]:
    """Return a segment's strokes: between confirmed turning points that are neither its first nor last sample."""
    points = turning_points(x, gate)
    strokes = []
    for (a, _), (b, _) in pairwise(points):
        if a == 0 or b == len(x) - 1:
            continue
        strokes.append(
            PlainStroke(
                segment=segment,
                first=a,
                last=b,
                start_mm=float(x[a]),
                end_mm=float(x[b]),
                peak_mm_s=max(abs(v) for v in speed[a : b + 1].tolist()),
                peak_shaft_mm_s=float("nan") if shaft is None else max(abs(v) for v in shaft[a : b + 1].tolist()),
            )
        )
    return strokes
