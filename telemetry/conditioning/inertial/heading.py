"""Which way is forward, for every sensor of a ride together."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .along_axis import along_the_axis
from .blocks import blocks_of
from .handed import mirrored
from .headings import DISAGREE_DEG, Direction, Heading, apart_deg, best_of
from .pitching import by_pitching
from .readied import Readied
from .shared_heading import by_another


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
