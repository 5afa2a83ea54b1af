"""Which way is forward, for every sensor of a ride together."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .along_axis import along_the_axis
from .blocks import blocks_of
from .headings import Seen, best_of
from .pitching import by_pitching
from .readied import Readied
from .shared_heading import by_another


def headings_of(
    sensors: Sequence[Readied], segments: tuple[Stretch, ...], speed_m_s: Floats | None
) -> tuple[Seen | None, ...]:
    """Return where forward is for each sensor, None where it isn't known.

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
    known = [(seen.residual_deg, place) for place, seen in enumerate(own) if seen is not None]
    if not known:
        return tuple(own)
    _, best = min(known)
    return tuple(
        mine if place == best else _with(mine, item, sensors[best], own[best])
        for place, (mine, item) in enumerate(zip(own, sensors, strict=True))
    )


def _with(mine: Seen | None, item: Readied, other: Readied, known: Seen | None) -> Seen | None:
    if known is None:
        return mine
    shared = by_another(item.courses, other.courses, known, repr(other.sensor.name))
    return best_of([seen for seen in (mine, shared) if seen is not None])


def _by_itself(item: Readied, segments: tuple[Stretch, ...], speed_m_s: Floats | None) -> Seen | None:
    speeds = None
    if speed_m_s is not None:
        speeds = tuple(
            blocks_of(((0, stop - start),), course.size).means(speed_m_s[None, start:stop])[0]
            for course, (start, stop) in zip(item.courses, segments, strict=True)
        )
    seen = [along_the_axis(item.courses, speeds)]
    if item.sensor.on == "chassis":
        seen.append(by_pitching(item.courses, item.sensor.end))
    return best_of([found for found in seen if found is not None])
