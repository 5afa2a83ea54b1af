"""Rigid bodies in a plane, pinned to each other: positions by Newton's method, many draws of the points at once."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.linkage import Linkage

NEWTON_STEPS = 40
SOLVED_MM = 1e-9
"""A constraint is met within this; one more step of Newton's method then brings it down to rounding."""
LONGEST_STEP_MM = 200.0
"""A step of Newton's method is cut to this, so that what can't be reached doesn't run off to infinity."""
_NO_LENGTH = 1e-12


class Mechanism:
    """Constraints of a linkage, as functions of the places of its points; one linkage or many draws of it.

    Of each body the two points furthest apart keep their distance; every further point keeps its place along and
    across the line between them. Distances alone would leave points in one line free to leave it, to first order.

    Parameters
    ----------
    linkage : Linkage
        Says which points belong together.
    start : float array, shape (draws, points, 2), optional
        Places of `names` in each draw, mm; the linkage's own, once, where left out.
    """

    def __init__(self, linkage: Linkage, start: Floats | None = None) -> None:
        self.names = (*linkage.fixed, *linkage.moving)
        self._moves = np.array([name in linkage.moving for name in self.names])
        self.start = places_of(linkage)[None] if start is None else start
        place = {name: index for index, name in enumerate(self.names)}
        self.axle = place[linkage.axle]
        self._shock = np.array([[place[name] for name in linkage.shock]])
        bodies = [[place[name] for name in dict.fromkeys(points)] for points in linkage.bodies.values()]
        frames = [self._frame(points) for points in bodies]
        pairs = sorted({frame for frame in frames if self._moves[list(frame)].any()})
        self._pairs = np.array(pairs, dtype=int).reshape(-1, 2)
        followers = [
            (point, *frame)
            for frame, points in zip(frames, bodies, strict=True)
            for point in points
            if point not in frame and self._moves[[point, *frame]].any()
        ]
        self._rigid = self._rigid_rows(np.array(followers, dtype=int).reshape(-1, 3))
        self._lengths = self._distances(self.start, self._pairs)

    @property
    def shock_mm(self) -> Floats:
        """The shock's length in each draw, as the points were measured; shape (draws,)."""
        return self._distances(self.start, self._shock)[:, 0]

    @property
    def unknowns(self) -> int:
        """Coordinates that move."""
        return 2 * int(self._moves.sum())

    def _frame(self, points: list[int]) -> tuple[int, int]:
        """Return the two points of a body that are furthest apart."""
        at = self.start[0]
        ends = max(combinations(sorted(points), 2), key=lambda pair: float(np.hypot(*(at[pair[0]] - at[pair[1]]))))
        return ends[0], ends[1]

    @staticmethod
    def _distances(places: Floats, pairs: np.ndarray) -> Floats:
        apart = places[:, pairs[:, 0]] - places[:, pairs[:, 1]]
        return np.asarray(np.hypot(apart[..., 0], apart[..., 1]))

    def _rigid_rows(self, followers: np.ndarray) -> Floats:
        """Return rows over all coordinates that are 0 on any change in which a body's points go along with its frame.

        Shape (draws, 2 x followers, 2 x points).
        """
        draws, points = self.start.shape[:2]
        rows = np.zeros((draws, len(followers), 2, points, 2))
        for row, (point, first, second) in enumerate(followers):
            line, out = (self.start[:, other] - self.start[:, first] for other in (second, point))
            square = np.maximum((line**2).sum(axis=1), _NO_LENGTH)
            along = (line * out).sum(axis=1) / square
            across = (line[:, 0] * out[:, 1] - line[:, 1] * out[:, 0]) / square
            turn = np.stack([np.stack([along, -across], 1), np.stack([across, along], 1)], 1)
            rows[:, row, :, point] += np.eye(2)
            rows[:, row, :, first] += turn - np.eye(2)
            rows[:, row, :, second] -= turn
        return rows.reshape(draws, 2 * len(followers), 2 * points)

    def _distance_rows(self, places: Floats, pairs: np.ndarray) -> Floats:
        draws, points = places.shape[:2]
        apart = places[:, pairs[:, 0]] - places[:, pairs[:, 1]]
        unit = apart / np.maximum(np.hypot(apart[..., 0], apart[..., 1]), _NO_LENGTH)[..., None]
        rows = np.zeros((draws, len(pairs), points, 2))
        at = np.arange(len(pairs))
        rows[:, at, pairs[:, 0]] += unit
        rows[:, at, pairs[:, 1]] -= unit
        return rows.reshape(draws, len(pairs), 2 * points)

    def jacobian(self, places: Floats, *, with_shock: bool) -> Floats:
        """Return how each constraint changes with the coordinates that move, shape (draws, constraints, unknowns).

        The shock's length, where it is one of them, is the last.
        """
        pairs = np.vstack([self._pairs, self._shock]) if with_shock else self._pairs
        rows = np.concatenate([self._rigid, self._distance_rows(places, pairs)], axis=1)
        return np.asarray(rows[:, :, np.repeat(self._moves, 2)])

    def moved(self, places: Floats, shock_mm: Floats) -> tuple[Floats, Bools]:
        """Return the places at which each draw's shock has a length, found from places nearby.

        Parameters
        ----------
        places : float array, shape (draws, points, 2)
        shock_mm : float array, shape (draws,)

        Returns
        -------
        places : float array, shape (draws, points, 2)
        solved : bool array, shape (draws,)
            False where there is no such place: the linkage locks.
        """
        found, solved = places.copy(), np.zeros(len(places), dtype=bool)
        for _ in range(NEWTON_STEPS):
            errors = self._errors(found, shock_mm)
            met = np.abs(errors).max(axis=1) < SOLVED_MM
            self._step(found, errors, with_shock=True)
            solved |= met  # with the step just made
            if solved.all():
                break
        return found, solved

    def _errors(self, places: Floats, shock_mm: Floats) -> Floats:
        left = (places - self.start).reshape(len(places), -1)
        return np.concatenate(
            [
                np.einsum("dij,dj->di", self._rigid, left),
                self._distances(places, self._pairs) - self._lengths,
                self._distances(places, self._shock) - shock_mm[:, None],
            ],
            axis=1,
        )

    def _step(self, places: Floats, errors: Floats, *, with_shock: bool) -> None:
        step = solved_for(self.jacobian(places, with_shock=with_shock), -errors)
        longest = np.maximum(np.abs(step).max(axis=1, keepdims=True), LONGEST_STEP_MM)
        places[:, self._moves] += (step * LONGEST_STEP_MM / longest).reshape(len(places), -1, 2)

    def going(self, places: Floats) -> Floats:
        """Return where each point goes for each millimetre by which the shock shortens, shape as `places`."""
        rows = self.jacobian(places, with_shock=True)
        wanted = np.zeros(rows.shape[:2])
        wanted[:, -1] = -1.0
        going = np.zeros_like(places)
        going[:, self._moves] = solved_for(rows, wanted).reshape(len(places), -1, 2)
        return going


def places_of(linkage: Linkage) -> Floats:
    """Return where a linkage's points are as measured, the fixed ones first, shape (points, 2)."""
    points: Mapping[str, tuple[float, float]] = {**linkage.fixed, **linkage.moving}
    return np.array([*points.values()], dtype=float)


def solved_for(rows: Floats, wanted: Floats) -> Floats:
    """Return each draw's step: exact where its rows are as many as unknowns, else that of least squares."""
    if rows.shape[1] == rows.shape[2]:
        try:
            return np.asarray(np.linalg.solve(rows, wanted[..., None])[..., 0])
        except np.linalg.LinAlgError:
            pass
    return np.asarray(np.einsum("dij,dj->di", np.linalg.pinv(rows), wanted))
