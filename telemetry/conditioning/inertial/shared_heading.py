"""Which way is forward, by another sensor on the same bike that knows: both feel the same slow turns and slopes."""

from __future__ import annotations

import numpy as np

from .bands import PART_S, in_band, is_held
from .courses import Course
from .headings import Direction, Planar

TURNING_HZ = 0.1, 4.0
FEELING_HZ = 0.05, 0.8
LEAST_LIKENESS = 0.5


def by_another(own: tuple[Course, ...], other: tuple[Course, ...], known: Direction, whose: str) -> Direction | None:
    """Return where forward is by comparing two sensors in the level plane; None where they aren't alike.

    Parameters
    ----------
    own, other : tuple of Course
        The same blocks of both.
    known : Direction
        Forward as the other has it.
    whose : str
        The other's name.

    Notes
    -----
    Rotation where both have a gyroscope (0.1 to 4 Hz: every part of a bike pitches and leans alike), else specific
    force at 0.05 to 0.8 Hz. With both as x + i y the turn between them is the angle of ``sum(own conj(other))``.
    """
    parts, powers = [], np.zeros(2)
    for mine, theirs in zip(own, other, strict=True):
        for one, two in _cut(mine, theirs):
            parts.append((one * np.conj(two)).sum())
            powers += ((np.abs(one) ** 2).sum(), (np.abs(two) ** 2).sum())
    if not parts or abs(sum(parts)) < LEAST_LIKENESS * np.sqrt(powers.prod()):
        return None
    turn = Direction.of_parts(np.array(parts), "")
    return None if turn is None else known.turned(turn.angle_rad, turn.residual_deg, f"what {whose} feels")


def _cut(own: Course, other: Course) -> list[tuple[Planar, Planar]]:
    """Return what both feel in the level plane, part by part."""
    size = round(PART_S * own.rate_hz)
    if not is_held(own.force.shape[1], own.rate_hz, FEELING_HZ[1]):
        return []
    if own.turning is None or other.turning is None:
        band, felt = FEELING_HZ, np.vstack([own.force[:2], other.force[:2]])
    else:
        band, felt = TURNING_HZ, np.vstack([own.turning[:2], other.turning[:2]])
    slow = in_band(felt, own.rate_hz, band)
    both = slow[0] + 1j * slow[1], slow[2] + 1j * slow[3]
    places = range(0, own.force.shape[1] - size + 1, size)
    return [(both[0][start : start + size], both[1][start : start + size]) for start in places]
