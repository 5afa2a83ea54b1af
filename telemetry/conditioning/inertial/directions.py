"""Directions in three axes: unit vectors, angles between them, and the turn that puts one of them up."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats

STEEP = 0.9
"""An axis whose unit vector reaches so far up makes no level one."""


def unit(vectors: Floats) -> Floats:
    """Return vectors of length 1; what has no length stays so.

    Parameters
    ----------
    vectors : float array, shape (3,) or (3, k)
    """
    length = np.sqrt((vectors**2).sum(axis=0))
    return np.asarray(vectors / np.where(length > 0, length, 1.0), dtype=float)


def angles_deg(ones: Floats, others: Floats) -> Floats:
    """Return the angles between unit vectors, deg.

    Parameters
    ----------
    ones, others : float arrays, shapes (3, k) or (3, 1)

    Notes
    -----
    ``2 asin(|a - b| / 2)``: good to the last digit also where they nearly agree, as the arc cosine isn't.
    """
    apart = np.sqrt(((ones - others) ** 2).sum(axis=0))
    return np.asarray(np.degrees(2 * np.arcsin((apart / 2).clip(0.0, 1.0))), dtype=float)


def levelling(up: Floats) -> Floats:
    """Return the turn that puts `up` along z, and the case's x (where that stands upright, its y) along x.

    Parameters
    ----------
    up : float array, shape (3,)
        Unit vector in the sensor's axes.

    Returns
    -------
    float array, shape (3, 3)
        Right-handed: ``level = turn @ sensor``.
    """
    flat = np.eye(3)[0 if abs(up[0]) < STEEP else 1]
    x = unit(flat - float(flat @ up) * up)
    return np.stack([x, np.cross(up, x), up])


def about_up(angle_rad: float) -> Floats:
    """Return the turn about z that brings a direction at `angle_rad` from x along x, shape (3, 3)."""
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
