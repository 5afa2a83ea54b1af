"""Directions in the level plane as several ways see them: how well each is known, and which to go by."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Complexes

Planar: TypeAlias = Complexes
"""Vectors in the level plane: x + i y."""

FEWEST_PARTS = 3
DISAGREE_DEG = 60.0
"""Two ways that lie further apart, each known to 10 degrees: an axis is reversed, or two are swapped."""

WORST_DEG = 10.0
"""A direction known no better than so is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """A direction in the level plane.

    Attributes
    ----------
    angle_rad : float
        From the level axes' x, by the right hand about up.
    residual_deg : float
        Standard error, by how the parts of a ride scatter about it.
    source : str
        In words.
    """

    angle_rad: float
    residual_deg: float
    source: str

    @classmethod
    def of_parts(cls, parts: Planar, source: str) -> Direction | None:
        """Return the direction of a sum of vectors and how well it is known; None with too few or too scattered.

        Notes
        -----
        The standard error of the sum across its own direction: ``sqrt(n / (n - 1) sum(across^2)) / |sum|``.
        """
        whole, count = complex(parts.sum()), parts.shape[0]
        if count < FEWEST_PARTS or abs(whole) == 0.0:
            return None
        across = (parts * np.conj(whole) / abs(whole)).imag
        off = float(np.degrees(np.arctan(np.sqrt(count / (count - 1) * (across**2).sum()) / abs(whole))))
        if off > WORST_DEG:
            return None
        return cls(angle_rad=float(np.angle(whole)), residual_deg=off, source=source)

    def turned(self, angle_rad: float, residual_deg: float, source: str) -> Direction:
        """Return this direction as seen from axes that are turned, with what that turn may be off by."""
        return Direction(
            angle_rad=self.angle_rad + angle_rad,
            residual_deg=float(np.hypot(self.residual_deg, residual_deg)),
            source=source,
        )


def apart_deg(one: Direction, other: Direction) -> float:
    """Return the angle between two directions, deg, 0 to 180."""
    return abs(float(np.degrees(np.angle(np.exp(1j * (one.angle_rad - other.angle_rad))))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Which way is forward, as far as it is known.

    Attributes
    ----------
    seen : Direction or None
    disagree_deg : float
        How far a sensor's own ways of telling it lie apart, where that is too much to believe either; else 0.
    mirrored : bool
        Whether its axes are left-handed.
    """

    seen: Direction | None
    disagree_deg: float = 0.0
    mirrored: bool = False

    @property
    def wrong(self) -> bool:
        """Whether the sensor's own axes don't fit together."""
        return self.mirrored or self.disagree_deg > 0


def best_of(seen: list[Direction]) -> Direction | None:
    """Return the direction that is known best; how far the next best lies off goes into what it may be off by."""
    if not seen:
        return None
    first, *others = sorted(seen, key=lambda item: item.residual_deg)
    if not others:
        return first
    off = float(np.hypot(first.residual_deg, apart_deg(first, others[0]) / 2))
    return replace(first, residual_deg=off) if off <= WORST_DEG else None
