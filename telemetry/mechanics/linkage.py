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
    """Constraints of a linkage, as functions of the moving points' coordinates.

    Of each body the two points furthest apart keep their distance; every further point keeps its place along and
    across the line between them. Distances alone would leave points in one line free to leave it, to first order.
    """

    def __init__(self, linkage: Linkage) -> None:
        self.linkage = linkage
        self.names = list(linkage.moving)
        self.start = np.array([linkage.moving[name] for name in self.names], dtype=float).ravel()
        frames = [self._frame(points) for points in linkage.bodies.values()]
        self.pairs = sorted({pair for pair in frames if not set(pair) <= set(linkage.fixed)})
        self.lengths = np.array([self.distance(self.start, pair) for pair in self.pairs])
        rows = [
            self._follow(point, frame)
            for frame, points in zip(frames, linkage.bodies.values(), strict=True)
            for point in dict.fromkeys(points)
            if point not in frame
        ]
        rigid = np.vstack(rows) if rows else np.empty((0, self.start.shape[0]))
        self.rigid = rigid[np.any(rigid != 0, axis=1)]

    def _frame(self, points: tuple[str, ...]) -> tuple[str, str]:
        """Return the two points of a body that are furthest apart."""
        first, second = max(combinations(sorted(points), 2), key=lambda pair: self.distance(self.start, pair))
        return first, second

    def _follow(self, point: str, frame: tuple[str, str]) -> Floats:
        """Return two rows that are 0 on any change in which `point` moves as `frame` carries it."""
        first, second = (self.point(self.start, name) for name in frame)
        line = second - first
        square = max(float(line @ line), 1e-12)
        out = self.point(self.start, point) - first
        along = float(line @ out) / square
        across = float(line[0] * out[1] - line[1] * out[0]) / square
        turn = np.array([[along, -across], [across, along]])
        rows = np.zeros((2, self.start.shape[0]))
        for name, share in ((point, np.eye(2)), (frame[0], turn - np.eye(2)), (frame[1], -turn)):
            if name in self.names:
                place = 2 * self.names.index(name)
                rows[:, place : place + 2] += share
        return rows

    def point(self, state: Floats, name: str) -> Floats:
        if name in self.linkage.fixed:
            return np.array(self.linkage.fixed[name], dtype=float)
        place = 2 * self.names.index(name)
        return state[place : place + 2]

    def distance(self, state: Floats, pair: tuple[str, str]) -> float:
        return float(np.linalg.norm(self.point(state, pair[0]) - self.point(state, pair[1])))

    def gradient(self, state: Floats, pair: tuple[str, str]) -> Floats:
        row = np.zeros(state.shape[0])
        apart = self.point(state, pair[0]) - self.point(state, pair[1])
        unit = apart / max(float(np.linalg.norm(apart)), 1e-12)
        for name, sign in zip(pair, (1.0, -1.0), strict=True):
            if name in self.names:
                place = 2 * self.names.index(name)
                row[place : place + 2] += sign * unit
        return row

    def jacobian(self, state: Floats, pairs: list[tuple[str, str]]) -> Floats:
        distances = np.array([self.gradient(state, pair) for pair in pairs]).reshape(len(pairs), state.shape[0])
        return np.vstack([distances, self.rigid])

    def moved(self, state: Floats, shock_mm: float) -> Floats:
        """Return the state in which the shock has this length, found from a state nearby."""
        pairs = [*self.pairs, self.linkage.shock]
        wanted = np.concatenate([self.lengths, [shock_mm]])
        for _ in range(NEWTON_STEPS):
            apart = np.array([self.distance(state, pair) for pair in pairs]) - wanted
            error = np.concatenate([apart, self.rigid @ (state - self.start)])
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
    Twice the moving points less the rank of the constraints' Jacobian (Maxwell's count, redundant bars left out).
    """
    mechanism = _Mechanism(linkage)
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
