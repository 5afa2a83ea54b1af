"""Which way is forward, by pitching: the end a chassis sensor sits at rises as the bike turns about its y axis."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End
from telemetry.units import STANDARD_GRAVITY_M_S2

from .bands import HIGHEST_SHARE, PART_S, in_band
from .courses import Course
from .headings import Direction

BAND_HZ = 1.5, 8.0
"""Where a chassis bounces and pitches over a trail, and where three pushes lie."""

LEAST_LIKENESS = 0.45
"""Correlation of upward and angular acceleration about the direction found; a rover without springs reaches 0.3."""


def by_pitching(courses: tuple[Course, ...], end: End) -> Direction | None:
    """Return where forward is by how a chassis sensor's rise goes with its turning; None where nothing tells it.

    Parameters
    ----------
    courses : tuple of Course
        Of a chassis sensor.
    end : {"front", "rear"}
        Where it sits: the front rises as the nose comes up, the rear as it goes down.

    Notes
    -----
    ``d = sum(a_up alpha)`` over 1.5 to 8 Hz, alpha the angular acceleration about the two level axes: leaning goes
    with rising no more often to one side than to the other, pitching does. The bike's y, to the left, is -d at the
    front and d at the rear; forward is y x z.
    """
    parts, powers = [], np.zeros(2)
    for course in courses:
        if course.turning is None:
            return None
        for rise, turns in _cut(course):
            parts.append(turns @ rise)
            powers += (rise @ rise, (turns**2).sum())
    if not parts:
        return None
    left = np.array(parts).T * (-1.0 if end == "front" else 1.0)
    likeness = float(np.hypot(*left.sum(axis=1)) / np.sqrt(max(powers.prod(), 1e-300)))
    if likeness < LEAST_LIKENESS:
        return None
    return Direction.of_parts(left[1] - 1j * left[0], "how it rises as the bike pitches")


def _cut(course: Course) -> list[tuple[Floats, Floats]]:
    """Return upward and angular acceleration, part by part, where the bike isn't at rest."""
    count, size = course.force.shape[1], round(PART_S * course.rate_hz)
    if course.turning is None or count < size or HIGHEST_SHARE * course.rate_hz <= BAND_HZ[0]:
        return []
    up = course.up
    rise = (course.force * up).sum(axis=0) - STANDARD_GRAVITY_M_S2
    bent = np.gradient(course.turning[:2], axis=1) * course.rate_hz
    both = in_band(np.vstack([rise, bent]), course.rate_hz, BAND_HZ) * ~course.resting
    places = range(0, count - size + 1, size)
    return [(both[0, start : start + size], both[1:, start : start + size]) for start in places]
