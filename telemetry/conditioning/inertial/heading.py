"""Which way is forward, for every sensor of a ride together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .along_axis import along_the_axis
from .bands import PART_S, in_band, is_held
from .blocks import blocks_of
from .courses import Course
from .handed import mirrored
from .headings import DISAGREE_DEG, Direction, Heading, Planar, apart_deg, best_of
from .pitching import by_pitching
from .readied import Readied

TURNING_HZ = 0.1, 4.0
FEELING_HZ = 0.05, 0.8
LEAST_LIKENESS = 0.5


def headings_of(
    sensors: Sequence[Readied], segments: tuple[Stretch, ...], speed_m_s: Floats | None
) -> tuple[Heading, ...]:
    """Return where forward is for each sensor.

    Parameters
    ----------
    sensors : sequence of Readied
        Of one ride, in the same blocks.
    segments : tuple of (start, stop)
        Of the samples.
    speed_m_s : float array, shape (n,), or None
        Ground speed.

    Notes
    -----
    Each by itself first; then by the one that knows it best, where that is better than what it knows itself.
    """
    own = [_by_itself(item, segments, speed_m_s) for item in sensors]
    known = [(mine.seen, place) for place, mine in enumerate(own) if mine.seen is not None]
    if not known:
        return tuple(own)
    seen, best = min(known, key=lambda found: found[0].residual_deg)
    return tuple(
        mine if place == best or mine.wrong else _with(mine, item, sensors[best], seen)
        for place, (mine, item) in enumerate(zip(own, sensors, strict=True))
    )


def _with(mine: Heading, item: Readied, other: Readied, known: Direction) -> Heading:
    shared = by_another(item.courses, other.courses, known, repr(other.sensor.name))
    return Heading(seen=best_of([seen for seen in (mine.seen, shared) if seen is not None]))


def _by_itself(item: Readied, segments: tuple[Stretch, ...], speed_m_s: Floats | None) -> Heading:
    speeds = None
    if speed_m_s is not None:
        speeds = tuple(
            blocks_of(((0, stop - start),), course.size).means(speed_m_s[None, start:stop])[0]
            for course, (start, stop) in zip(item.courses, segments, strict=True)
        )
    along = along_the_axis(item.courses, speeds)
    pitching = by_pitching(item.courses, item.sensor.end) if item.sensor.on == "chassis" else None
    if along is not None and pitching is not None and apart_deg(along, pitching) > DISAGREE_DEG:
        return Heading(seen=None, disagree_deg=apart_deg(along, pitching))
    seen = best_of([found for found in (along, pitching) if found is not None])
    if seen is not None and (item.sensor.end, item.sensor.on) == ("front", "chassis") and mirrored(item.courses, seen):
        return Heading(seen=None, mirrored=True)
    return Heading(seen=seen)


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
