"""A sensor's course in short blocks, segment by segment: what attitude and heading are found from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.model.stretches import mask_of

from .attitude import FEW_TIMES, LEAST_DEG, WITHIN_PCT, UpAlong, up_along
from .blocks import blocks_of
from .directions import unit
from .slow_gravity import slow_up

BLOCKS_HZ = 50.0
"""Turns are summed up over so short blocks: nothing of them is lost, and each is one step of the filter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One gap-free stretch in blocks, in the sensor's level axes (z up at rest).

    Attributes
    ----------
    size : int
        Samples of a block.
    rate_hz : float
        Blocks a second.
    force, turning : float array, shape (3, k)
        m/s2 and rad/s; `turning` None without a gyroscope.
    resting : bool array, shape (k,)
    along : UpAlong
    """

    size: int
    rate_hz: float
    force: Floats
    turning: Floats | None
    resting: Bools
    along: UpAlong

    @property
    def up(self) -> Floats:
        """The way up in the middle of each block, shape (3, k)."""
        return unit(self.along.up[:, 1:] + self.along.up[:, :-1])


def within_deg(courses: tuple[Course, ...]) -> float:
    """Return how far the way up along a ride may be off, deg.

    Parameters
    ----------
    courses : tuple of Course
    """
    apart = np.concatenate([course.along.apart_deg for course in courses])
    return float(np.hypot(FEW_TIMES * float(np.percentile(apart, WITHIN_PCT)), LEAST_DEG))


@dataclass(frozen=True, slots=True, kw_only=True)
class Levelled:
    """What a sensor reads and the turn that levels its axes.

    Attributes
    ----------
    force, turning : float array, shape (3, n)
        In its own axes, m/s2 and rad/s, bias taken out; `turning` None without a gyroscope.
    level : float array, shape (3, 3)
    rests : tuple of (start, stop)
    """

    force: Floats
    turning: Floats | None
    level: Floats
    rests: tuple[Stretch, ...]


def course_of(read: Levelled, rate_hz: float, segment: Stretch) -> Course:
    """Return one gap-free stretch in blocks, with the way up along it.

    Parameters
    ----------
    read : Levelled
    rate_hz : float
        Samples a second.
    segment : tuple of (start, stop)
    """
    start, stop = segment
    size = max(1, min(round(rate_hz / BLOCKS_HZ), stop - start))
    blocks = blocks_of(((0, stop - start),), size)
    force = read.level @ blocks.means(read.force[:, start:stop])
    resting = mask_of(read.rests, stop)[start + size // 2 + blocks.starts]
    if read.turning is None:
        turning, along = None, slow_up(force, rate_hz / size)
    else:
        turning = read.level @ blocks.means(read.turning[:, start:stop])
        along = up_along(force, turning, resting, rate_hz / size)
    return Course(size=size, rate_hz=rate_hz / size, force=force, turning=turning, resting=resting, along=along)
