"""Points of a photograph to millimetres: one known distance makes the scale, every further one checks it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.linkage import KnownDistance, Photograph, Side

PLUS_MINUS_PX = 1.0
"""How well a point is read from a picture where nothing is stated, one standard deviation; own choice."""
PLUS_MINUS_MM = 1.0
"""How well a distance on the bike is measured where nothing is stated, likewise; own choice."""
BEYOND_ERROR = 3.0
"""Standard deviations of their difference by which two distances may disagree; own choice."""
ASKEW_SHARE = 0.02
"""Distances further apart contradict each other; below, the camera stood askew, at 11 degrees or less. Own choice."""
MOST_TURNED_DEG = 45.0
"""A line further from the picture's rows isn't the one that is level on the bike; own choice."""
ORIGIN = "bottom_bracket"
"""The point that a photograph's millimetres are counted from, where it has one of that name; else its first."""


class PhotographError(ValueError):
    """Distances that make no scale; the message says why.

    Attributes
    ----------
    place : int
        Which distance, from 0.
    found, expected : str
    """

    def __init__(self, place: int, found: str, expected: str) -> None:
        super().__init__(f"{found}; expected {expected}")
        self.place, self.found, self.expected = place, found, expected


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """Two distances: the logarithm of their scales' ratio, and its standard deviation."""

    places: tuple[int, int]
    apart: float
    error: float


def names_of(photo: Photograph) -> tuple[str, ...]:
    """Return the names of a photograph's points, the fixed ones first."""
    return (*photo.fixed, *photo.moving)


def pixels_of(photo: Photograph) -> Floats:
    """Return where a photograph's points stand, in pixels, shape (points, 2), in the order of `names_of`."""
    return np.array([*photo.fixed.values(), *photo.moving.values()], dtype=float)


def checked_askew(photo: Photograph) -> float:
    """Return by what share a photograph's distances disagree beyond their errors: 0 where they agree.

    Parameters
    ----------
    photo : Photograph

    Returns
    -------
    float
        The largest share by which two of them disagree, where it is beyond `BEYOND_ERROR`; below `ASKEW_SHARE`.

    Raises
    ------
    PhotographError
        If a distance lies between two points at one place, or two disagree by more: they contradict each other.
    """
    lengths = _lengths(photo, pixels_of(photo)[None])[0]
    for place, length in enumerate(lengths):
        if length < 1.0:
            pair = " and ".join(photo.distances[place].points)
            raise PhotographError(place, f"{pair} within one pixel", "two points far from each other")
    beyond = [pair for pair in _pairs(photo, lengths) if pair.apart > BEYOND_ERROR * pair.error]
    worst = max(beyond, key=lambda pair: pair.apart, default=None)
    if worst is None:
        return 0.0
    if worst.apart > ASKEW_SHARE:
        raise _contradiction(photo, lengths, worst)
    return worst.apart


def turned_deg(photo: Photograph) -> float:
    """Return how far from the picture's rows the line lies that is level on the bike, 0 to 90; 0 without one."""
    if photo.level is None:
        return 0.0
    first, second = (pixels_of(photo)[names_of(photo).index(name)] for name in photo.level)
    across, along = np.abs(second - first)
    return float(np.degrees(np.arctan2(along, across)))


def _contradiction(photo: Photograph, lengths: Floats, worst: _Pair) -> PhotographError:
    told = [
        f"{photo.distances[place].mm / lengths[place]:.4g} mm a pixel from {photo.distances[place].points[0]!r} "
        f"to {photo.distances[place].points[1]!r}"
        for place in worst.places
    ]
    found = (
        f"{told[1]} but {told[0]}, {100 * worst.apart:.1f} % apart where ±{photo.plus_minus_px:g} px and "
        f"the tape explain {100 * BEYOND_ERROR * worst.error:.1f} %"
    )
    tilt = np.degrees(np.arccos(np.exp(-worst.apart)))
    expected = (
        "distances that agree: measure both again, or photograph the bike square from the side and from further away "
        f"(a camera {tilt:.0f}° askew would do this)"
    )
    return PhotographError(worst.places[1], found, expected)


def _pairs(photo: Photograph, lengths: Floats) -> list[_Pair]:
    errors = _errors(photo, lengths)
    scales = np.log([known.mm for known in photo.distances]) - np.log(lengths)
    return [
        _Pair(
            places=(one, other),
            apart=abs(float(scales[one] - scales[other])),
            error=float(np.hypot(*errors[[one, other]])),
        )
        for one, other in combinations(range(len(lengths)), 2)
    ]


def _lengths(photo: Photograph, pixels: Floats) -> Floats:
    """Return how long each known distance is in each draw, in pixels, shape (draws, distances)."""
    place = {name: index for index, name in enumerate(names_of(photo))}
    ends = np.array([[place[name] for name in known.points] for known in photo.distances])
    apart = pixels[:, ends[:, 0]] - pixels[:, ends[:, 1]]
    return np.asarray(np.hypot(apart[..., 0], apart[..., 1]))


def _errors(photo: Photograph, lengths: Floats) -> Floats:
    """Return how well each distance knows the scale, as a share, one standard deviation."""
    tape = np.array([known.plus_minus_mm / known.mm for known in photo.distances])
    return np.asarray(np.hypot(np.sqrt(2.0) * photo.plus_minus_px / lengths, tape))


def _scales(photo: Photograph, pixels: Floats, distances_mm: Floats) -> Floats:
    """Return millimetres a pixel in each draw, shape (draws,)."""
    nominal = _errors(photo, _lengths(photo, pixels_of(photo)[None])[0])
    weights = 1.0 / np.maximum(nominal, 1e-9) ** 2
    logs = np.log(distances_mm) - np.log(np.maximum(_lengths(photo, pixels), 1e-9))
    return np.asarray(np.exp((logs * weights).sum(axis=1) / weights.sum()))


def mm_per_pixel(photo: Photograph) -> float:
    """Return a photograph's scale."""
    return float(_scales(photo, pixels_of(photo)[None], known_mm(photo.distances))[0])


def millimetres(photo: Photograph, faces: Side, pixels: Floats, distances_mm: Floats) -> Floats:
    """Return draws of a photograph's points in millimetres: x forward, y up, from `ORIGIN` or else the first point.

    Parameters
    ----------
    photo : Photograph
    faces : {"left", "right"}
    pixels : float array, shape (draws, points, 2)
        In the order of `names_of`.
    distances_mm : float array, shape (draws, distances)

    Returns
    -------
    float array, shape (draws, points, 2)

    Notes
    -----
    Every distance gives a scale; the mean of their logarithms, weighted by how well each is known, makes it.
    """
    scale = _scales(photo, pixels, distances_mm)
    names = names_of(photo)
    origin = names.index(ORIGIN) if ORIGIN in names else 0
    upward = (pixels - pixels[:, origin : origin + 1]) * [1.0, -1.0]
    upward = _levelled(photo, upward) * scale[:, None, None]
    turned: Floats = upward * [1.0 if faces == "right" else -1.0, 1.0]
    return turned


def _levelled(photo: Photograph, places: Floats) -> Floats:
    """Return places turned so that the two points that lie level do."""
    if photo.level is None:
        return places
    first, second = (places[:, names_of(photo).index(name)] for name in photo.level)
    line = second - first
    line = line * np.where(line[:, :1] < 0, -1.0, 1.0)  # the turn is the smaller one
    line = line / np.maximum(np.hypot(line[:, 0], line[:, 1]), 1e-9)[:, None]
    x = places[..., 0] * line[:, :1] + places[..., 1] * line[:, 1:]
    y = places[..., 1] * line[:, :1] - places[..., 0] * line[:, 1:]
    return np.stack([x, y], axis=-1)


def known_mm(distances: tuple[KnownDistance, ...]) -> Floats:
    """Return the distances as they were measured, mm, shape (1, distances)."""
    return np.array([[known.mm for known in distances]])
