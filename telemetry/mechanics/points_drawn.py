"""Where a linkage's points may be, as well as they were measured: draws of them."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.linkage import Linkage, Photograph

from .mechanism import places_of
from .photograph import known_mm, millimetres, pixels_of


def points_drawn(linkage: Linkage, draws: int, rng: np.random.Generator) -> Floats | None:
    """Return draws of a linkage's points; None where it isn't known how well they were measured.

    Parameters
    ----------
    linkage : Linkage
    draws : int
    rng : numpy.random.Generator

    Returns
    -------
    float array, shape (draws, points, 2), or None
        Fixed points first, then the moving ones, mm, x forward and y up.

    Notes
    -----
    Each coordinate is off by a normal error of its own. Of a photograph its pixels are, and with them the distances
    that make its scale, which have an error besides; where those disagree, the picture is squeezed along a direction
    of which nothing is known, by as much.
    """
    if linkage.photo is not None:
        return _of_picture(linkage.photo, linkage, draws, rng)
    if not linkage.plus_minus_mm:
        return None
    places = places_of(linkage)
    return places + rng.normal(0.0, linkage.plus_minus_mm, (draws, *places.shape))


def _of_picture(photo: Photograph, linkage: Linkage, draws: int, rng: np.random.Generator) -> Floats:
    pixels = pixels_of(photo)
    read = pixels + rng.normal(0.0, photo.plus_minus_px, (draws, *pixels.shape))
    tape = known_mm(photo.distances) + rng.normal(
        0.0, [known.plus_minus_mm for known in photo.distances], (draws, len(photo.distances))
    )
    return millimetres(photo, linkage.faces, _squeezed(read, photo.askew, rng), tape)


def _squeezed(places: Floats, share: float, rng: np.random.Generator) -> Floats:
    """Return places stretched along a direction by a share of normal error, a draw each."""
    if share == 0.0:
        return places
    way = rng.uniform(0.0, np.pi, len(places))
    along = np.stack([np.cos(way), np.sin(way)], axis=-1)
    reach = np.einsum("dpc,dc->dp", places, along) * rng.normal(0.0, share, len(places))[:, None]
    return np.asarray(places + reach[..., None] * along[:, None])
