"""Pitch, roll, and acceleration along the ground's own directions, from the way up."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats, read_only
from telemetry.model.inertial import Attitude
from telemetry.model.motion import Stretch
from telemetry.units import STANDARD_GRAVITY_M_S2

from .courses import Course, within_deg


def _at_every_sample(course: Course, count: int, turn: Floats) -> Floats:
    """Return the way up in turned axes at each of a segment's samples, between the edges of its blocks."""
    edges, size = turn @ course.along.up, course.size
    within = (np.arange(size) + 0.5) / size
    up = np.empty((3, count))
    held = size * (edges.shape[1] - 1)
    up[:, held:] = edges[:, -1:]
    between = up[:, :held].reshape(3, -1, size)  # where it lies, without a copy
    np.multiply(np.diff(edges, axis=1)[:, :, None], within, out=between)
    between += edges[:, :-1, None]
    return up


def attitude_of(force: Floats, courses: tuple[Course, ...], segments: tuple[Stretch, ...], turn: Floats) -> Attitude:
    """Return how a place is turned, and what it does along the ground.

    Parameters
    ----------
    force : float array, shape (3, n)
        In bike axes, m/s2.
    courses : tuple of Course
        One a segment.
    segments : tuple of (start, stop)
        They cover all n samples.
    turn : float array, shape (3, 3)
        From the courses' axes to the bike's.

    Notes
    -----
    Against the bike's axes up is ``(-sin p, sin r cos p, cos r cos p)`` for a pitch p, nose down, after a roll r to
    the right. Upward: ``f . up - g``. Forward: along x as far as it lies level, ``f . h`` with
    ``h = (x - (x . up) up) / |...|``; gravity has no part in it.
    """
    parts = [
        _at_every_sample(course, stop - start, turn) for course, (start, stop) in zip(courses, segments, strict=True)
    ]
    up = parts[0] if len(parts) == 1 else np.concatenate(parts, axis=1)
    up /= np.sqrt(np.einsum("ij,ij->j", up, up))
    pitch = -np.arcsin(up[0].clip(-1.0, 1.0))
    roll = np.arctan2(up[1], up[2])
    along_up = np.einsum("ij,ij->j", force, up)
    level = np.sqrt((1.0 - up[0] ** 2).clip(min=1e-12))
    forward = (force[0] - up[0] * along_up) / level
    return Attitude(
        pitch_rad=read_only(pitch),
        roll_rad=read_only(roll),
        within_deg=within_deg(courses),
        upward_m_s2=read_only(along_up - STANDARD_GRAVITY_M_S2),
        forward_m_s2=read_only(forward),
    )
