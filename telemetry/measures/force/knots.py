"""Straight lines between knots: the columns of a force that is free but for being continuous."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Floats, Ints

Knots: TypeAlias = tuple[Floats, Floats]
TRAVEL_PCT = (0, 2, *range(5, 100, 5), 98, 100)
"""Knots of the spring, % of full travel; close together where stops begin. Own choice."""
SPEED_M_S = (0.05, 0.1, 0.15, 0.2, 0.3, 0.45, 0.7, 1.0, 1.5, 2.2, 3.2, 4.5)
"""Knots of the damper to either side of rest, m/s. Own choice: a knee within a step shifts neither slope by 10 %."""
FRICTION_BAND_M_S = 0.015
"""Speed over which friction turns from one way to the other. Own choice: what noise of speed leaves of a jump."""


def places(values: Floats, knots: Floats) -> Ints:
    """Return in which of the bands between knots each value lies; beyond the outermost -1 or one too many."""
    found: Ints = np.searchsorted(knots, values, side="right") - 1
    found[values == knots[-1]] = knots.shape[0] - 2
    return found


def hats(values: Floats, knots: Floats) -> Floats:
    """Return the columns, shape (n, k), of a function straight between knots: its values there are their weights.

    Parameters
    ----------
        values : float array, shape (n,)
            From the first to the last knot.
        knots : float array, shape (k,)
            Increasing.

    Examples
    --------
        >>> import numpy as np
        >>> hats(np.array([0.0, 0.25, 2.0]), np.array([0.0, 1.0, 2.0])).tolist()
        [[1.0, 0.0, 0.0], [0.75, 0.25, 0.0], [0.0, 0.0, 1.0]]
    """
    band, rows = places(values, knots), np.arange(values.shape[0])
    share = (values - knots[band]) / (knots[band + 1] - knots[band])
    columns = np.zeros((values.shape[0], knots.shape[0]))
    columns[rows, band] = 1.0 - share
    columns[rows, band + 1] = share
    return columns


def friction_shape(speed_m_s: Floats) -> Floats:
    """Return friction's share of itself at each speed, -1 to 1: ``v / sqrt(v^2 + band^2)``."""
    return np.asarray(speed_m_s / np.hypot(speed_m_s, FRICTION_BAND_M_S), dtype=float)


def force_columns(travel_mm: Floats, speed_m_s: Floats, lever: Floats, rubbing: Floats, knots: Knots) -> Floats:
    """Return the columns of spring, damper and friction, shape (n, t + s).

    Parameters
    ----------
    travel_mm : float array, shape (n,)
    speed_m_s : float array, shape (n,)
        Of the damper.
    lever : float array, shape (n,)
        Wheel speed over that speed: a force at the damper is so many times smaller at the wheel.
    rubbing : float array, shape (n,)
        Friction's column: its shape over `lever`, through the low-pass of the force.
    knots : (float array, shape (t,), float array, shape (s,))
        Of travel and of speed; the speed 0 is one of them, and its force 0, so that the last column is friction's.
    """
    travel, speed = knots
    at_rest = int(np.flatnonzero(speed == 0)[0])
    damper = np.delete(hats(speed_m_s, speed), at_rest, axis=1)
    return np.hstack([hats(travel_mm, travel), damper / lever[:, None], rubbing[:, None]])
