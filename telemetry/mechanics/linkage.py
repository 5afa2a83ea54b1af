"""Planar linkages: degrees of freedom, and wheel travel against shock stroke."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.day import LeverageTable
from telemetry.model.linkage import Linkage

STEPS = 50
NEWTON_STEPS = 40
TOLERANCE_MM = 1e-9
RANK_TOLERANCE = 1e-8


class LinkageError(ValueError):
    """A linkage that can't be solved; the message says why."""


class _Mechanism:
    """Constraints of a linkage: distances that stay, as functions of the moving points' coordinates."""

    def __init__(self, linkage: Linkage) -> None:
        self.linkage = linkage
        self.names = list(linkage.moving)
        self.start = np.array([linkage.moving[name] for name in self.names], dtype=float).ravel()
        self.pairs = sorted(
            {
                tuple(sorted(pair))
                for points in linkage.bodies.values()
                for pair in combinations(points, 2)
                if not set(pair) <= set(linkage.fixed)
            }
        )
        self.lengths = np.array([self.distance(self.start, pair) for pair in self.pairs])

    def point(self, state: Floats, name: str) -> Floats:
        if name in self.linkage.fixed:
            return np.array(self.linkage.fixed[name], dtype=float)
        place = 2 * self.names.index(name)
        return state[place : place + 2]

    def distance(self, state: Floats, pair: tuple[str, ...]) -> float:
        return float(np.linalg.norm(self.point(state, pair[0]) - self.point(state, pair[1])))

    def gradient(self, state: Floats, pair: tuple[str, ...]) -> Floats:
        row = np.zeros(state.shape[0])
        apart = self.point(state, pair[0]) - self.point(state, pair[1])
        unit = apart / max(float(np.linalg.norm(apart)), 1e-12)
        for name, sign in zip(pair, (1.0, -1.0), strict=True):
            if name in self.names:
                place = 2 * self.names.index(name)
                row[place : place + 2] += sign * unit
        return row

    def jacobian(self, state: Floats, pairs: list[tuple[str, ...]]) -> Floats:
        return np.array([self.gradient(state, pair) for pair in pairs]).reshape(len(pairs), state.shape[0])

    def moved(self, state: Floats, shock_mm: float) -> Floats:
        """Return the state in which the shock has this length, found from a state nearby."""
        pairs = [*self.pairs, self.linkage.shock]
        wanted = np.concatenate([self.lengths, [shock_mm]])
        for _ in range(NEWTON_STEPS):
            error = np.array([self.distance(state, pair) for pair in pairs]) - wanted
            if np.max(np.abs(error)) < TOLERANCE_MM:
                return state
            step, *_ = np.linalg.lstsq(self.jacobian(state, pairs), -error, rcond=None)
            state = state + step
        raise LinkageError(f"the linkage locks: it can't reach a shock length of {shock_mm:.1f} mm")


def degrees_of_freedom(linkage: Linkage) -> int:
    """Return how many ways the moving points can move while every body keeps its shape.

    Parameters
    ----------
    linkage : Linkage

    Returns
    -------
    int
        1 for a working rear suspension.

    Notes
    -----
    Twice the moving points less the rank of the distances' Jacobian (Maxwell's count, redundant bars left out).
    """
    mechanism = _Mechanism(linkage)
    if not mechanism.pairs:
        return int(mechanism.start.shape[0])
    jacobian = mechanism.jacobian(mechanism.start, list(mechanism.pairs))
    return int(mechanism.start.shape[0] - np.linalg.matrix_rank(jacobian, tol=RANK_TOLERANCE))


def solve_linkage(linkage: Linkage, stroke_mm: float, *, steps: int = STEPS) -> LeverageTable:
    """Return wheel travel against shock stroke.

    Parameters
    ----------
    linkage : Linkage
        With one degree of freedom.
    stroke_mm : float
        Full stroke of the shock, mm, > 0.
    steps : int
        Rows of the table less one.

    Returns
    -------
    LeverageTable
        Travel is the axle's rise against topped out.

    Raises
    ------
    LinkageError
        If it has another number of degrees of freedom, locks within the stroke, or the axle doesn't rise throughout.

    Notes
    -----
    The shock's length is shortened step by step; each position is found by Newton's method from the one before.
    """
    freedom = degrees_of_freedom(linkage)
    if freedom != 1:
        raise LinkageError(f"the mechanism has {freedom} degrees of freedom")
    mechanism = _Mechanism(linkage)
    topped_out = mechanism.distance(mechanism.start, linkage.shock)
    if stroke_mm >= topped_out:
        raise LinkageError(f"the shock is only {topped_out:.1f} mm long, the stroke {stroke_mm:.1f} mm")
    strokes = np.linspace(0.0, stroke_mm, steps + 1)
    height = mechanism.point(mechanism.start, linkage.axle)[1]
    state, rise = mechanism.start, [0.0]
    for stroke in strokes[1:]:
        state = mechanism.moved(state, topped_out - float(stroke))
        rise.append(float(mechanism.point(state, linkage.axle)[1] - height))
    if np.any(np.diff(rise) <= 0):
        raise LinkageError("the axle doesn't rise while the shock shortens")
    return LeverageTable(stroke_mm=tuple(float(stroke) for stroke in strokes), travel_mm=tuple(rise), source="linkage")
