"""Where a ride itself stands, and what that tells of a sensor; of one that never does, for how long it may be short."""

from __future__ import annotations

from dataclasses import dataclass

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .directions import angles_deg
from .mounting import AGREE_DEG, UpFound
from .rest import Rest, StillBlocks, rest_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """Where a ride stands.

    Attributes
    ----------
    rests : tuple of (start, stop)
    rest : Rest or None
        What is read there; None where it never stands.
    up : UpFound
        As the ride itself tells it: where it stands, else its mean.
    lasting : bool
        Whether it stands for a second: a moment doesn't judge a scale.
    """

    rests: tuple[Stretch, ...]
    rest: Rest | None
    up: UpFound
    lasting: bool


def stands_of(force: Floats, turning: Floats | None, rate_hz: float, still: StillBlocks, mean: UpFound) -> Stands:
    """Return where a ride stands: for a second or more, else, where that can be believed, for half of one.

    Parameters
    ----------
    force : float array, shape (3, n)
        m/s2.
    turning : float array, shape (3, n), or None
        rad/s.
    rate_hz : float
    still : StillBlocks
    mean : UpFound
        The way up as the ride's mean.
    """
    own = rest_of("where the ride stands", force, turning, rate_hz, still.rests)
    if own is not None:
        up = UpFound(up=own.up, residual_deg=own.residual_deg, source=own.source)
        return Stands(rests=still.rests, rest=own, up=up, lasting=True)
    moments = rest_of("where the ride stands for a moment", force, turning, rate_hz, still.moments)
    told = None if moments is None else up_by_moments(moments, mean)
    if told is None:
        return Stands(rests=(), rest=None, up=mean, lasting=False)
    return Stands(rests=still.moments, rest=moments, up=told, lasting=False)


def up_by_moments(moments: Rest, mean: UpFound) -> UpFound | None:
    """Return the way up by moments at rest; None where they aren't to be believed.

    Notes
    -----
    A bike may coast smoothly, down a slope, too: moments count where they agree better than the ride's parts do and lie
    near its mean. By half of what the mean differs a single one may be off.
    """
    apart = float(angles_deg(moments.up[:, None], mean.up[:, None])[0])
    residual = moments.residual_deg if moments.stretches > 1 else apart / 2
    if apart > AGREE_DEG or (moments.stretches > 1 and residual > mean.residual_deg):
        return None
    return UpFound(up=moments.up, residual_deg=residual, source=moments.source)
