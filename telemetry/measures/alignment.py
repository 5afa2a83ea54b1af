"""The same trail in two runs laid over each other by how travel moves, or the bike shakes: warped coarse envelopes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from telemetry.model.arrays import Floats
from telemetry.model.finding import End
from telemetry.model.inertial import Site

from .view import RunMotion

Where: TypeAlias = End | Site
"""What moves: an end whose travel is measured, or where an inertial sensor sits."""

CELLS_HZ = 5.0
MOST_CELLS = 2000
SMOOTH_S = 1.0
FLOOR_MM_S = 20.0
FLOOR_M_S2 = 0.3
"""Movement of so much is told from none, little more: as much as a bike that stands. Own choice."""
FURTHEST_SHARE = 0.10
BEND_COST = 0.05
"""What leaving the even pace costs, a step, in squared standard deviations. Own choice."""
ENOUGH = 0.88
ABOVE_CHANCE = 0.05
"""What the correlation has to reach, and to be above that of the run backwards. Own choice, from simulated laps: the
same trail gives 0.90 or more whatever the line and pace, another trail 0.48 in the middle and at most 0.87."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alignment:
    """Where in a run the places of another one are, as shares of riding time, and how good that is.

    Attributes
    ----------
    reference, run : float arrays, shape (n,)
        Shares of riding time that belong together, from 0 to 1, neither falling.
    before, after : float
        Correlation of the envelopes at equal shares of riding time, and once warped.
    chance : float
        What warping makes of the same run backwards: how much of the correlation any two runs would give.
    furthest_s : float
        How far the warp leaves equal shares at most, s of the run's riding time.
    """

    reference: Floats
    run: Floats
    before: float
    after: float
    chance: float
    furthest_s: float

    @property
    def good(self) -> bool:
        """Whether it may be used: correlation at least 0.88, and 0.05 more than chance gives."""
        return self.after >= self.needed

    @property
    def needed(self) -> float:
        """The correlation it has to reach."""
        return max(ENOUGH, self.chance + ABOVE_CHANCE)


def shared_places(one: RunMotion, other: RunMotion) -> tuple[Where, ...]:
    """Return what two runs are laid over each other by: the ends both measure, else inertial sensors both have."""
    return tuple(
        sorted(one.ends.keys() & other.ends.keys()) or sorted(one.ride.inertial.keys() & other.ride.inertial.keys())
    )


def _movement(run: RunMotion, place: Where) -> tuple[Floats, float]:
    """Return what moves at an end, mm/s, or where an inertial sensor sits, m/s2; and how little counts as none."""
    if isinstance(place, tuple):
        return run.ride.inertial[place].attitude.upward_m_s2, FLOOR_M_S2
    return run.ride.ends[place].speed_mm_s, FLOOR_MM_S


def envelopes(run: RunMotion, cells: int, places: Sequence[Where]) -> Floats:
    """Return how strongly each place moves, over equal shares of riding time.

    Parameters
    ----------
    run : RunMotion
        With riding time.
    cells : int
    places : sequence of End or Site
        Ends it measures, or places of its inertial sensors.

    Returns
    -------
    float array, shape (places, cells)
        Logarithm of rms wheel speed, or of rms upward acceleration, smoothed over about 1 s, mean 0 and standard
        deviation 1 in every row: how stiff a setup is moves a whole row, and so moves nothing here.
    """
    riding = run.time.riding
    bounds = np.linspace(0, int(riding.sum()), cells + 1).astype(np.int64)
    window = np.hanning(max(3, round(SMOOTH_S * cells / run.time.riding_s)) + 2)
    rows = []
    for place in places:
        movement, floor = _movement(run, place)
        squares = np.concatenate([[0.0], np.cumsum(np.square(movement[riding]))])
        mean = np.diff(squares[bounds]) / np.maximum(np.diff(bounds), 1)
        level = np.log(np.sqrt(mean) + floor)
        weight = np.convolve(np.ones(cells), window, "same")
        smooth = np.convolve(level, window, "same") / weight
        spread = float(smooth.std())
        rows.append((smooth - smooth.mean()) / (spread if spread > 0 else 1.0))
    return np.array(rows).reshape(len(rows), cells)


def _costs(reference: Floats, other: Floats) -> Floats:
    """Return the mean squared difference of every cell to every cell, infinite further than a tenth off."""
    count = reference.shape[1]
    costs = np.zeros((count, count))
    for a, b in zip(reference, other, strict=True):
        costs += np.square(a[:, None] - b[None, :]) / reference.shape[0]
    off = np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
    costs[off > max(2.0, FURTHEST_SHARE * count)] = np.inf
    return costs


def _shifted(row: Floats, by: int) -> Floats:
    return np.concatenate([np.full(by, np.inf), row[:-by]])


def warp(reference: Floats, other: Floats) -> tuple[Floats, Floats]:
    """Return which cells of two rows of envelopes belong together, by dynamic programming.

    Parameters
    ----------
    reference, other : float arrays, shape (ends, n)

    Returns
    -------
    at, there : float arrays
        Cells of the reference and of the other, both from 0 to n, neither falling.

    Notes
    -----
    The symmetric rule with slopes from 1/2 to 2 [SakoeChiba1978], each step off the even pace costing a little more;
    both begin and end together, and no cell is laid further than a tenth of all cells off.
    """
    costs = _costs(reference, other)
    count = costs.shape[0]
    best = np.full((count, count), np.inf)
    came = np.zeros((count, count), dtype=np.int8)
    best[0, 0] = 2 * costs[0, 0]
    for i in range(1, count):
        even = _shifted(best[i - 1], 1) + 2 * costs[i]
        fast = _shifted(best[i - 1], 2) + 2 * _shifted(costs[i], 1) + costs[i] + BEND_COST
        slow = even if i < 2 else _shifted(best[i - 2], 1) + 2 * costs[i - 1] + costs[i] + BEND_COST
        ways = np.stack([even, fast, slow])
        came[i] = np.argmin(ways, axis=0)
        best[i] = np.min(ways, axis=0)
    return _walked_back(came)


def _walked_back(came: npt.NDArray[np.int8]) -> tuple[Floats, Floats]:
    """Return the path from the last pair of cells back to the first."""
    last = came.shape[0] - 1
    steps = ((1, 1), (1, 2), (2, 1))
    at, there = [last + 1.0, last + 0.5], [last + 1.0, last + 0.5]
    i = j = last
    while i > 0 and j > 0:
        down, across = steps[came[i, j]]
        i, j = max(i - down, 0), max(j - across, 0)
        at.append(i + 0.5)
        there.append(j + 0.5)
    return np.array([0.0, *reversed(at)]), np.array([0.0, *reversed(there)])


def correlation(a: Floats, b: Floats) -> float:
    """Return the correlation of two arrays of one shape, all rows together; 0 where one doesn't vary or is empty."""
    if a.size == 0:
        return 0.0
    a, b = a.ravel() - a.mean(), b.ravel() - b.mean()
    scale = float(np.sqrt((a @ a) * (b @ b)))
    return float(a @ b) / scale if scale > 0 else 0.0


def _warped(reference: Floats, other: Floats) -> tuple[Floats, Floats, float]:
    """Return the warp of one run onto another, and the correlation it reaches."""
    at, there = warp(reference, other)
    middle = np.arange(reference.shape[1]) + 0.5
    found = np.interp(middle, at, there)
    moved = np.array([np.interp(found, middle, row) for row in other])
    return at, there, correlation(reference, moved)


def align(reference: RunMotion, run: RunMotion) -> Alignment:
    """Return where in a run the places of another are.

    Parameters
    ----------
    reference, run : RunMotion
        With riding time; ends that both measure are looked at, without one inertial sensors in the same place.

    Returns
    -------
    Alignment
        Its `good` says whether it may be used at all.
    """
    seconds = reference.time.riding_s
    cells = int(np.clip(round(seconds * CELLS_HZ), 4, MOST_CELLS))
    shared = shared_places(reference, run)
    a, b = (envelopes(one, cells, shared) for one in (reference, run))
    at, there, after = _warped(a, b)
    *_, chance = _warped(a, b[:, ::-1])
    return Alignment(
        reference=at / cells,
        run=there / cells,
        before=correlation(a, b),
        after=after,
        chance=chance,
        furthest_s=float(np.abs(there - at).max()) / cells * run.time.riding_s,
    )


def aligned_shares(alignment: Alignment, count: int) -> Floats:
    """Return the shares of a run's riding time at which equal shares of the reference's begin and end.

    Returns
    -------
    float array, shape (count + 1,)
    """
    return np.asarray(np.interp(np.linspace(0, 1, count + 1), alignment.reference, alignment.run))
