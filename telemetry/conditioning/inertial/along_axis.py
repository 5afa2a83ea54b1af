"""Which way is forward, by slow acceleration: slopes, brakes and drive all lie along the bike's x axis."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats

from .bands import PART_S, in_band, is_held
from .courses import Course
from .headings import Direction

BAND_HZ = 0.05, 0.8
LEAST_RATIO = 2.0
"""Of the standard deviations along and across: what a bike that leans into its turns feels to the side is little."""

WAY_S = 3.0
"""After standing a bike gathers speed, before standing it loses it, for so long at least."""

LEAST_M_S = 1.0
"""Speed gathered and lost in all that tells the way."""

LEAST_SHARE = 0.6
"""Of the speeds gathered and lost without regard to sign, what is left with it."""

LEAST_LIKENESS = 0.3
"""Correlation of acceleration along the axis with that of the ground-speed sensor."""


def along_the_axis(courses: tuple[Course, ...], speeds: tuple[Floats, ...] | None) -> Direction | None:
    """Return where forward is by slow acceleration; None where no axis stands out or its way isn't known.

    Parameters
    ----------
    courses : tuple of Course
    speeds : tuple of float array, shape (k,), or None
        Ground speed, block by block, m/s; None without a sensor.

    Notes
    -----
    The main axis of what is felt in the level plane at 0.05 to 0.8 Hz. A bike leans into turns, so that what it feels
    to its side is little; slopes, brakes and drive it feels along. Which way is forward: acceleration goes with the
    ground-speed sensor's; else after standing speed is gathered and before standing it is lost.
    """
    parts, felt = [], np.zeros((2, 2))
    for course in courses:
        slow = _slow(course)
        if slow is None:
            continue
        felt += slow @ slow.T
        size = round(PART_S * course.rate_hz)
        cut = range(0, slow.shape[1] - size + 1, size)
        parts += [(slow[0, at : at + size] + 1j * slow[1, at : at + size]) for at in cut]
    across, along = np.sqrt(np.linalg.eigvalsh(felt).clip(min=0.0)).tolist()
    if not parts or along < LEAST_RATIO * across:
        return None
    doubled = Direction.of_parts(np.array([(part**2).sum() for part in parts]), "")
    if doubled is None:
        return None
    axis = Direction(angle_rad=doubled.angle_rad / 2, residual_deg=doubled.residual_deg / 2, source="")
    way, source = _way(courses, speeds, axis.angle_rad)
    return axis.turned(0.0 if way > 0 else np.pi, 0.0, source) if way else None


def _slow(course: Course) -> Floats | None:
    """Return what is felt slowly in the level plane; None of a course too short for it."""
    if not is_held(course.force.shape[1], course.rate_hz, BAND_HZ[1]):
        return None
    return in_band(course.force[:2], course.rate_hz, BAND_HZ)


def _way(courses: tuple[Course, ...], speeds: tuple[Floats, ...] | None, angle_rad: float) -> tuple[int, str]:
    """Return +1 where forward is along an axis, -1 where it is against it, 0 where that isn't known; and by what."""
    ahead = [_level(course, angle_rad) for course in courses]
    if speeds is not None:
        way = _by_speed(courses, speeds, ahead)
        if way:
            return way, "slow acceleration, its way by ground speed"
    gathered: list[float] = []
    for course, along in zip(courses, ahead, strict=True):
        gathered += _gathered(course, along)
    net, every = sum(gathered), sum(map(abs, gathered))
    known = every >= LEAST_M_S and abs(net) >= LEAST_SHARE * every
    return (int(np.sign(net)) if known else 0), "slow acceleration, its way by starts and stops"


def _level(course: Course, angle_rad: float) -> Floats:
    """Return acceleration along a direction in the ground's plane, gravity taken out, m/s2."""
    up = course.up
    level = course.force - (course.force * up).sum(axis=0) * up
    return np.asarray(np.cos(angle_rad) * level[0] + np.sin(angle_rad) * level[1], dtype=float)


def _gathered(course: Course, along: Floats) -> list[float]:
    """Return the speed gathered along the axis after each stand, and lost before each, m/s."""
    size = round(WAY_S * course.rate_hz)
    change = np.diff(course.resting.astype(np.int8))
    starts, stops = np.flatnonzero(change == -1) + 1, np.flatnonzero(change == 1) + 1
    after = [along[at : at + size].sum() / course.rate_hz for at in starts.tolist()]
    before = [-along[max(0, at - size) : at].sum() / course.rate_hz for at in stops.tolist()]
    return [float(speed) for speed in (*after, *before)]


def _by_speed(courses: tuple[Course, ...], speeds: tuple[Floats, ...], ahead: list[Floats]) -> int:
    """Return the sign with which acceleration along the axis goes with the speed sensor's; 0 where it doesn't."""
    sums = np.zeros(3)
    for course, speed, along in zip(courses, speeds, ahead, strict=True):
        if not is_held(along.shape[0], course.rate_hz, BAND_HZ[1]):
            continue
        told, felt = in_band(np.vstack([np.gradient(speed) * course.rate_hz, along]), course.rate_hz, BAND_HZ)
        sums += (told @ felt, told @ told, felt @ felt)
    likeness = sums[0] / np.sqrt(max(sums[1] * sums[2], 1e-300))
    return int(np.sign(likeness)) if abs(likeness) >= LEAST_LIKENESS else 0
