"""A damper as it was measured: force at some speeds, straight lines between them, and the knee they fit."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.optimize import nnls

from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.model.arrays import Floats

KNEES, DIGITS = 60, 9
"""Speeds at which a knee is tried; digits by which two dampers' shapes are alike. Own choices."""


@dataclass(frozen=True, slots=True)
class MeasuredDamper:
    """Force against speed at a damper's shaft.

    Attributes
    ----------
    points : tuple of (float, float)
        Speed of the shaft (m/s) and force (N) by rising speed, compression positive; two or more.

    Notes
    -----
    Straight lines between the points and, where there is none at rest, through no force there; beyond the outermost
    point of a side its last slope goes on.

    Examples
    --------
    >>> import numpy as np
    >>> MeasuredDamper(((-0.5, -400.0), (0.5, 200.0), (1.0, 300.0))).force_n(np.array([-1.0, 0.25, 2.0]))
    array([-800.,  100.,  500.])
    """

    points: tuple[tuple[float, float], ...]

    def _line(self) -> tuple[Floats, Floats]:
        speed, force = np.array(sorted({0.0: 0.0, **dict(self.points)}.items())).T
        return speed, force

    def force_n(self, speed_m_s: Floats) -> Floats:
        """Return the force at each speed (m/s, compression positive), N, of the speed's sign."""
        known, forces = self._line()
        speed = np.asarray(speed_m_s, dtype=float)
        slope = np.diff(forces) / np.diff(known)
        inside = np.interp(speed, known, forces)
        below, above = np.minimum(speed - known[0], 0.0), np.maximum(speed - known[-1], 0.0)
        return np.asarray(inside + slope[0] * below + slope[-1] * above, dtype=float)

    def side(self, sign: int, knee_m_s: float | None = None) -> DamperSide | None:
        """Return the knee and slopes that fit one direction; None without a point of it.

        Parameters
        ----------
        sign : int
            1 for compression, -1 for rebound.
        knee_m_s : float, optional
            The knee where it is known; else the one that fits best is sought between the points.

        Notes
        -----
        Least squares with both slopes 0 or more, of what goes beyond the force at rest. Two points and no knee: the
        knee is taken at the slower one, so that both slopes are those of the lines through the points. A single point
        gives one slope.
        """
        at_rest = dict(self.points).get(0.0, 0.0)
        own = [(sign * speed, sign * (force - at_rest)) for speed, force in self.points if sign * speed > 0]
        if not own:
            return None
        most = max(abs(force) for _, force in own) or 1.0
        shape = tuple((round(speed, DIGITS), round(force / most, DIGITS)) for speed, force in own)
        below, knee, above = _fit(shape, knee_m_s)
        return DamperSide(slope_below_n_s_m=most * below, knee_m_s=knee, slope_above_n_s_m=most * above)

    def fitted(self, knees_m_s: tuple[float | None, float | None] = (None, None)) -> Damper | None:
        """Return the damper with a knee either way that fits the points; None where one way has none."""
        compression, rebound = (self.side(sign, knee) for sign, knee in zip((1, -1), knees_m_s, strict=True))
        return None if compression is None or rebound is None else Damper(compression=compression, rebound=rebound)


@lru_cache(maxsize=256)
def _fit(points: tuple[tuple[float, float], ...], knee_m_s: float | None) -> tuple[float, float, float]:
    """Return slope below, knee and slope above of one direction; each shape is fitted once, however strong it is."""
    speed, force = (np.array(column) for column in zip(*points, strict=True))
    if len(points) < 2:
        slope = max(float(force[0] / speed[0]), 0.0)
        return slope, knee_m_s or float(speed[0]), slope
    if len(points) == 2 and not knee_m_s:
        knee_m_s = float(speed.min())
    knees = [knee_m_s] if knee_m_s else np.linspace(speed.min(), speed.max(), KNEES + 2)[1:-1].tolist()
    left = {knee: _slopes(speed, force, knee) for knee in knees}
    knee = min(left, key=lambda knee: left[knee][0])
    _, below, above = left[knee]
    return below, knee, above


def _slopes(speed_m_s: Floats, force_n: Floats, knee_m_s: float) -> tuple[float, float, float]:
    """Return what two slopes leave over, and the slopes below and above a knee."""
    below = DamperSide(slope_below_n_s_m=1.0, knee_m_s=knee_m_s, slope_above_n_s_m=0.0).force_n(speed_m_s)
    above = DamperSide(slope_below_n_s_m=0.0, knee_m_s=knee_m_s, slope_above_n_s_m=1.0).force_n(speed_m_s)
    slopes, left = nnls(np.column_stack([below, above]), force_n)
    return float(left), float(slopes[0]), float(slopes[1])
