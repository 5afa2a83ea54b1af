"""A rear linkage as measured with the suspension topped out, and what becomes of it over the stroke."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from .arrays import Floats

Points: TypeAlias = Mapping[str, tuple[float, float]]
Side: TypeAlias = Literal["left", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownDistance:
    """A distance on the bike that was measured, between two points of its photograph."""

    points: tuple[str, str]
    mm: float
    plus_minus_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Photograph:
    """Where a linkage's points stand in a picture, and what makes millimetres of them.

    Attributes
    ----------
    fixed, moving : mapping of name to (column, row)
        In pixels, columns to the right and rows downward.
    distances : tuple of KnownDistance
        At least one.
    plus_minus_px : float
        How well a point was read, one standard deviation of its column and of its row.
    level : (name, name) or None
        Two points that lie level on the bike; None: rows of the picture do.
    askew : float
        By what share its distances disagree beyond their errors: the camera didn't stand square to the bike.
    """

    fixed: Points
    moving: Points
    distances: tuple[KnownDistance, ...]
    plus_minus_px: float
    level: tuple[str, str] | None = None
    askew: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage:
    """Pivots and rigid bodies in the bike's plane.

    Attributes
    ----------
    fixed, moving : mapping of name to (x, y)
        Points on the frame and those that move, as measured; mm from the bottom bracket, x forward, y up.
    bodies : mapping of name to point names
        In each body the distances between its points stay.
    shock : (name, name)
        The stroke is how much the distance between these shortens.
    axle : str
    plus_minus_mm : float or None
        How well the points were measured, one standard deviation of each coordinate.
    shock_length_mm : float or None
        From eye to eye, topped out; None: as the points were measured.
    shock_offset_mm : float
        By how much bushes bring its eyes closer to each other than its length.
    faces : {"left", "right"}
        Where the bike's front was when they were measured; here it is turned to the right.
    photo : Photograph or None
        What the points were taken from, where they weren't measured in millimetres.
    """

    fixed: Points
    moving: Points
    bodies: Mapping[str, tuple[str, ...]]
    shock: tuple[str, str]
    axle: str
    plus_minus_mm: float | None = None
    shock_length_mm: float | None = None
    shock_offset_mm: float = 0.0
    faces: Side = "right"
    photo: Photograph | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkagePath:
    """A linkage over the shock's stroke, from topped out.

    Attributes
    ----------
    linkage : Linkage
    stroke_mm, travel_mm, ratio : float arrays, shape (n,)
        Both start at 0; the ratio is d travel / d stroke.
    points_mm : mapping of name to float array, shape (n, 2)
        Every point's place, x forward and y up.
    """

    linkage: Linkage
    stroke_mm: Floats
    travel_mm: Floats
    ratio: Floats
    points_mm: Mapping[str, Floats]

    @property
    def axle_x_mm(self) -> Floats:
        """How far the axle went forward from topped out, shape (n,); negative: rearward."""
        x = self.points_mm[self.linkage.axle][:, 0]
        return np.asarray(x - x[0])
