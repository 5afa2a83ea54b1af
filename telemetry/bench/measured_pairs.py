"""A few pairs of stroke and travel, measured by hand: the smooth ratio behind them, and how well they know it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from scipy.interpolate import PchipInterpolator

from telemetry.model.arrays import Floats
from telemetry.model.day import LeverageTable

FEW = 12
"""Rows up to which a table is taken as measured by hand, its first, 0 and 0, not counted; own choice."""
OFF_MM = (0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2)
USUAL_MM, TIMES = 0.6, 2.5
"""How well travel is measured with a rule and a caliper, one standard deviation: about so much, give or take so many
times; the pairs themselves tell which. Own choice."""
BENT = (0.003, 0.01, 0.03, 0.1, 0.3, 1.0)
"""By how much the ratio may leave a straight line over the whole stroke, one standard deviation; each as likely."""
GRID = tuple(product(OFF_MM, BENT))
ANY_MM = 1e4
PLACES = 15
"""Strokes at which the curve is worked out, shape-preserving pieces between them; own choice."""
NODES, WEIGHTS = np.polynomial.legendre.leggauss(4)
LEAST_SHARE = 1e-3


@dataclass(frozen=True, slots=True)
class PairsCurve:
    """Travel and ratio at strokes, and draws of both.

    Attributes
    ----------
    travel_mm, ratio : float arrays, shape (n,)
    drawn_travel_mm, drawn_ratio : float arrays, shape (draws, n)
    off_mm : float
        How well a pair's travel was measured, one standard deviation.
    """

    travel_mm: Floats
    ratio: Floats
    drawn_travel_mm: Floats
    drawn_ratio: Floats
    off_mm: float


def is_few(table: LeverageTable) -> bool:
    """Tell whether a table is taken as measured by hand."""
    return 2 <= len(table.stroke_mm) - 1 <= FEW


def pairs_curve(table: LeverageTable, stroke_mm: Floats, draws: int, seed: int) -> PairsCurve:
    """Return the smooth curve behind a few measured pairs.

    Parameters
    ----------
    table : LeverageTable
        Of which `is_few` holds.
    stroke_mm : float array, shape (n,)
    draws, seed : int

    Notes
    -----
    A smoothing spline as a Gaussian process [RasmussenWilliams2006]: the ratio is a straight line, about which nothing
    is known, and a deviation whose second derivative is white noise. How bent that is and how well travel was
    measured are weighed by how likely they make the pairs.
    """
    whole = table.stroke_mm[-1]
    at, travel = np.array(table.stroke_mm[1:]) / whole, np.array(table.travel_mm[1:])
    wanted = np.linspace(0.0, max(1.0, float(np.max(stroke_mm)) / whole), PLACES)
    likely = np.array([_log_likely(at, travel, off, bent * whole) for off, bent in GRID])
    share = np.exp(likely - likely.max())
    share[share < LEAST_SHARE] = 0.0
    share /= share.sum()
    kept = np.flatnonzero(share)
    told = [_Told.of(at, travel, wanted, GRID[place][0], GRID[place][1] * whole) for place in kept]
    chance = np.random.default_rng(seed)
    counts = chance.multinomial(draws, share[kept])
    drawn = np.concatenate([one.drawn(int(count), chance) for one, count in zip(told, counts, strict=True)])
    mean = np.tensordot(share[kept], np.stack([one.mean for one in told]), 1)

    def read(values: Floats) -> Floats:
        return np.asarray(PchipInterpolator(wanted * whole, values, axis=-1)(stroke_mm))

    return PairsCurve(
        travel_mm=read(mean[:PLACES]),
        ratio=read(mean[PLACES:]) / whole,
        drawn_travel_mm=read(drawn[:, :PLACES]),
        drawn_ratio=read(drawn[:, PLACES:]) / whole,
        off_mm=float(np.exp(share[kept] @ np.log([GRID[place][0] for place in kept]))),
    )


def _log_likely(at: Floats, travel: Floats, off: float, bent: float) -> float:
    """Return how likely it makes the pairs, and itself, that they were measured so well and the ratio is so bent."""
    own = _of_pairs(at, off, bent)
    of_pairs = -0.5 * (travel @ np.linalg.solve(own, travel) + np.linalg.slogdet(own)[1])
    return float(of_pairs - 0.5 * (np.log(off / USUAL_MM) / np.log(TIMES)) ** 2)


def _of_pairs(at: Floats, off: float, bent: float) -> Floats:
    none = np.zeros(len(at), int)
    return _covariance(at, none, at, none, bent) + off**2 * np.eye(len(at))


@dataclass(frozen=True, slots=True)
class _Told:
    """What pairs tell of travel and its slope if they were measured so well and the ratio is so bent."""

    mean: Floats
    spread: Floats

    @classmethod
    def of(cls, at: Floats, travel: Floats, wanted: Floats, off: float, bent: float) -> _Told:
        """Return it: `at` and `wanted` as shares of the stroke, travel, `off` and `bent` in mm."""
        orders = np.repeat([0, 1], len(wanted))
        places = np.concatenate([wanted, wanted])
        across = _covariance(places, orders, at, np.zeros(len(at), int), bent)
        solved = np.linalg.solve(_of_pairs(at, off, bent), np.column_stack([travel, across.T]))
        spread = _covariance(places, orders, places, orders, bent) - across @ solved[:, 1:]
        return cls(across @ solved[:, 0], spread)

    def drawn(self, draws: int, chance: np.random.Generator) -> Floats:
        """Return draws of travel and slope, shape (draws, 2 n)."""
        if not draws:
            return np.empty((0, len(self.mean)))
        values, vectors = np.linalg.eigh((self.spread + self.spread.T) / 2)
        wide = vectors * np.sqrt(np.maximum(values, 0.0))
        return np.asarray(self.mean + chance.standard_normal((draws, len(values))) @ wide.T)


def _covariance(x: Floats, x_order: np.ndarray, y: Floats, y_order: np.ndarray, bent: float) -> Floats:
    """Return how travel (order 0) and slope (order 1) at two sets of places go together, before any pair is known."""
    line = sum(ANY_MM**2 * np.outer(_power(x, x_order, p), _power(y, y_order, p)) for p in (1, 2))
    least = np.minimum(x[:, None], y[None])
    deviation = np.zeros_like(least)
    for node, weight in zip(NODES, WEIGHTS, strict=True):
        u = least * (1 + node) / 2
        deviation += weight * least / 2 * _reach(x[:, None] - u, x_order[:, None]) * _reach(y[None] - u, y_order[None])
    return np.asarray(line + 3 * bent**2 * deviation)


def _power(x: Floats, order: np.ndarray, power: int) -> Floats:
    return np.where(order == 0, x**power, power * x ** (power - 1))


def _reach(apart: Floats, order: np.ndarray) -> Floats:
    return np.where(order == 0, apart**2 / 2, apart)
