"""How a sensor's case sits on the bike: which of its directions is up, and what to say of it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations, product

import numpy as np

from telemetry.model.arrays import Floats, read_only
from telemetry.model.inertial import Mounting
from telemetry.model.motion import Stretch

from .blocks import blocks_of
from .directions import about_up, angles_deg, levelling, unit
from .headings import Direction
from .rest import Rest

AGREE_DEG = 20.0
"""A recording at rest and the ride it goes with: further apart, the sensor was turned in between, or the bike lay."""

PARTS = 3
"""Of a ride, whose mean directions show how well gravity is known where the sensor is never at rest."""

TILTED_DEG = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UpFound:
    """The way up in the sensor's axes at rest on level ground, as well as it is known.

    `apart_deg` is by how much a recording at rest lies off the ride, where that was too much to use it; else 0.
    """

    up: Floats
    residual_deg: float
    source: str
    apart_deg: float = 0.0


def slow_rest(force: Floats, segments: tuple[Stretch, ...]) -> UpFound:
    """Return the way up as the mean over a ride, where the sensor is never at rest.

    Parameters
    ----------
    force : float array, shape (3, n)
        m/s2.
    segments : tuple of (start, stop)
    """
    longest = max(stop - start for start, stop in segments)
    means = blocks_of(segments, max(1, longest // PARTS)).means(force)
    up = unit(means.sum(axis=1))
    return UpFound(
        up=up, residual_deg=float(angles_deg(unit(means), up[:, None]).max()), source="gravity's mean over the ride"
    )


def find_up(still: Rest | None, ridden: UpFound) -> UpFound:
    """Return the way up: from a recording at rest, else as the ride itself tells it.

    Parameters
    ----------
    still : Rest or None
        Of a recording in which the bike stands upright on level ground.
    ridden : UpFound
    """
    if still is None:
        return ridden
    apart = float(angles_deg(still.up[:, None], ridden.up[:, None])[0])
    if apart > AGREE_DEG:
        return UpFound(up=ridden.up, residual_deg=ridden.residual_deg, source=ridden.source, apart_deg=apart)
    return UpFound(up=still.up, residual_deg=still.residual_deg, source=still.source)


def mounting_of(found: UpFound, heading: Direction | None) -> Mounting:
    """Return a sensor's mounting from what is up and what is forward."""
    level = levelling(found.up)
    turn = level if heading is None else about_up(heading.angle_rad) @ level
    residual = found.residual_deg if heading is None else max(found.residual_deg, heading.residual_deg)
    words = found.source if heading is None else f"{found.source}; forward by {heading.source}"
    return Mounting(to_bike=read_only(turn), residual_deg=residual, heading_known=heading is not None, found_from=words)


def _orders() -> list[Floats]:
    """Return the 24 turns that bring axes onto axes."""
    found = []
    for order, signs in product(permutations(range(3)), product((1.0, -1.0), repeat=3)):
        turn = np.zeros((3, 3))
        turn[range(3), order] = signs
        if np.linalg.det(turn) > 0:
            found.append(turn)
    return found


ORDERS = tuple(_orders())
TOWARD = {0: ("forward", "backward"), 1: ("left", "right"), 2: ("up", "down")}


def seat_in_words(mounting: Mounting) -> str:
    """Return how a case sits that doesn't sit along the bike's axes, in words; "" where it does.

    Examples
    --------
    >>> upside_down = np.diag([1.0, -1.0, -1.0])
    >>> seat_in_words(Mounting(to_bike=upside_down, residual_deg=0.2, heading_known=True, found_from="still_1.csv"))
    'upside down (its x points forward, its y right, its z down)'
    """
    turn = mounting.to_bike
    if not mounting.heading_known:
        return _tilt_in_words(turn[2])
    nearest = max(ORDERS, key=lambda order: float(np.trace(order.T @ turn)))
    tilt = float(np.degrees(np.arccos(((np.trace(nearest.T @ turn) - 1) / 2).clip(-1.0, 1.0))))
    pointing = ", ".join(f"its {'xyz'[axis]} {_toward(nearest[:, axis])}" for axis in range(3))
    pointing = pointing.replace("its x ", "its x points ")
    words = []
    if nearest[2, 2] < 0:
        words.append(f"upside down ({pointing})")
    elif nearest[0, 0] < 0:
        words.append(f"backward ({pointing})")
    elif not np.array_equal(nearest, np.eye(3)):
        words.append(f"turned ({pointing})")
    if tilt > TILTED_DEG:
        words.append(f"tilted by {tilt:.0f} degrees")
    return " and ".join(words)


def _toward(column: Floats) -> str:
    axis = int(np.argmax(np.abs(column)))
    return TOWARD[axis][int(column[axis] < 0)]


def _tilt_in_words(up: Floats) -> str:
    """Return how a case sits of which only the way up is known."""
    axis = int(np.argmax(np.abs(up)))
    tilt = float(np.degrees(np.arccos(min(1.0, abs(float(up[axis]))))))
    words = []
    if axis != 2:
        words.append(f"on its side (its {'xyz'[axis]} points {'up' if up[axis] > 0 else 'down'})")
    elif up[axis] < 0:
        words.append("upside down (its z points down)")
    if tilt > TILTED_DEG:
        words.append(f"tilted by {tilt:.0f} degrees")
    return " and ".join(words)
