"""Whether a sensor's axes are right-handed: a bike's front swings to the side to which it begins to turn."""

from __future__ import annotations

import numpy as np

from .bands import in_band, is_held
from .courses import Course
from .headings import Direction

BAND_HZ = 0.5, 3.0
"""A rider's turns begin and end so fast; slower, what is felt to the side leans away."""

MIRRORED_LIKENESS = 0.7
"""Correlation, the wrong way round, of what is felt to the left with the change of turning to the left."""


def mirrored(courses: tuple[Course, ...], forward: Direction) -> bool:
    """Tell whether a chassis sensor above the front axle feels its turns the wrong way round.

    Parameters
    ----------
    courses : tuple of Course
    forward : Direction
        By its own pitching or acceleration.

    Notes
    -----
    A bike balances its lean about its centre of mass, where nothing pulls to the side; at d ahead of it and about as
    high, ``d dw/dt`` is felt to the left as turning w to the left grows. At the rear, lower and behind, leaning and
    turning are both felt.
    """
    sums = np.zeros(3)
    for course in courses:
        if course.turning is None or not is_held(course.force.shape[1], course.rate_hz, BAND_HZ[1]):
            continue
        left = np.cos(forward.angle_rad) * course.force[1] - np.sin(forward.angle_rad) * course.force[0]
        grows = np.gradient(course.turning[2]) * course.rate_hz
        felt, turned = in_band(np.vstack([left, grows]), course.rate_hz, BAND_HZ)
        sums += (felt @ turned, felt @ felt, turned @ turned)
    return bool(sums[0] < -MIRRORED_LIKENESS * np.sqrt(sums[1] * sums[2]))
