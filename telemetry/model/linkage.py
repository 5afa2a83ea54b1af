"""A rear linkage as measured with the suspension topped out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage:
    """Pivots and rigid bodies in the bike's plane.

    Attributes
    ----------
    fixed, moving : mapping of name to (x, y)
        Points on the frame and those that move; mm from the bottom bracket, x forward, y up, topped out.
    bodies : mapping of name to point names
        In each body the distances between its points stay.
    shock : (name, name)
        The stroke is how much the distance between these shortens.
    axle : str
    plus_minus_mm : float or None
        How well the points were measured.
    """

    fixed: Mapping[str, tuple[float, float]]
    moving: Mapping[str, tuple[float, float]]
    bodies: Mapping[str, tuple[str, ...]]
    shock: tuple[str, str]
    axle: str
    plus_minus_mm: float | None = None
