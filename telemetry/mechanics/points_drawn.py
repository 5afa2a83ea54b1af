"""Where a linkage's points may be, as well as they were measured: draws of them."""

from __future__ import annotations

from zlib import crc32

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.linkage import Linkage, Photograph, Points

from .mechanism import places_of
from .photograph import millimetres, pixels_of

SEED = 20_260_516


def points_drawn(linkage: Linkage, draws: int) -> Floats | None:
    """Return draws of a linkage's points; None where it isn't known how well they were measured.

    Parameters
    ----------
    linkage : Linkage
    draws : int

    Returns
    -------
    float array, shape (draws, points, 2), or None
        Fixed points first, then the moving ones, mm, x forward and y up. The same for the same points at any time; a
        point that two linkages share is off alike in both.

    Notes
    -----
    Each coordinate is off by a normal error of its own. Of a photograph its pixels are, and with them the distances
    that make its scale, which have an error besides; where those disagree, the picture is stretched along a direction
    of which nothing is known, by as much.
    """
    if linkage.photo is not None:
        return _of_picture(linkage.photo, linkage, draws)
    if not linkage.plus_minus_mm:
        return None
    return places_of(linkage) + linkage.plus_minus_mm * _errors({**linkage.fixed, **linkage.moving}, draws)


def _chance(name: str, *at: float) -> np.random.Generator:
    return np.random.default_rng([SEED, crc32(f"{name} {at}".encode())])


def _errors(points: Points, draws: int) -> Floats:
    """Return standard normal errors, shape (draws, points, 2); a point's go with its name and place."""
    return np.stack([_chance(name, *at).standard_normal((draws, 2)) for name, at in points.items()], axis=1)


def _of_picture(photo: Photograph, linkage: Linkage, draws: int) -> Floats:
    read = pixels_of(photo) + photo.plus_minus_px * _errors({**photo.fixed, **photo.moving}, draws)
    tape = [
        known.mm + known.plus_minus_mm * _chance(" ".join(known.points), known.mm).standard_normal(draws)
        for known in photo.distances
    ]
    return millimetres(photo, linkage.faces, _stretched(read, photo.askew), np.maximum(np.stack(tape, axis=1), 1.0))


def _stretched(places: Floats, share: float) -> Floats:
    """Return places stretched along a direction by a share of normal error, a draw each."""
    if share == 0.0:
        return places
    chance = _chance("askew", share)
    way = chance.uniform(0.0, np.pi, len(places))
    along = np.stack([np.cos(way), np.sin(way)], axis=-1)
    reach = np.einsum("dpc,dc->dp", places, along) * chance.normal(0.0, share, len(places))[:, None]
    return np.asarray(places + reach[..., None] * along[:, None])
