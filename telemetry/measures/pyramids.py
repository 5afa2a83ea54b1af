"""A trace kept for looking at any part of it at once: lowest and highest of blocks, blocks of blocks, and so on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from telemetry.model.arrays import Floats

STEP = 8
Small = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pyramid:
    """A trace and its levels.

    Attributes
    ----------
    place : float32 array, shape (n,)
        Never falling.
    lows, highs : tuple of float32 arrays
        Level k holds the lowest and highest of each 8**k values in turn; the last ones of a level may cover fewer.
        Level 0 is the trace itself.
    breaks : tuple of int
        Samples before which the log has a gap.
    """

    place: Small
    lows: tuple[Small, ...]
    highs: tuple[Small, ...]
    breaks: tuple[int, ...] = ()

    def over(self, start: float, end: float, most_points: int) -> tuple[Floats, Floats]:
        """Return what to draw between two places: every value, or the lowest and highest of short pieces in turn.

        Parameters
        ----------
        start, end : float
            In the unit of `place`.
        most_points : int
            8 or more.

        Returns
        -------
        float arrays, shape (k,), k <= most_points + 2
            Places and values, one value further at either side where there is one. The lowest and the highest value
            between `start` and `end` are always among them. Where every value is returned, NaN stands in each gap.
        """
        first = max(0, int(np.searchsorted(self.place, np.float32(start), side="left")) - 1)
        stop = min(self.place.shape[0], int(np.searchsorted(self.place, np.float32(end), side="right")) + 1)
        if stop - first <= most_points:
            gaps = [place - first for place in self.breaks if first < place < stop]
            places, values = (array[first:stop].astype(float) for array in (self.place, self.lows[0]))
            return np.insert(places, gaps, places[gaps] if gaps else []), np.insert(values, gaps, np.nan)
        pieces = most_points // 2 - 2
        size = (stop - first) / pieces
        level = min(int(np.log(size) / np.log(STEP)), len(self.lows) - 1)
        block = STEP**level
        inner_first, inner_stop = -(-first // block), stop // block
        edges = np.unique(np.linspace(inner_first, inner_stop, pieces + 1).astype(np.int64))
        bounds = np.concatenate([[first], edges * block, [stop]])
        low = self._reduced(np.minimum, self.lows, (first, stop), edges, level)
        high = self._reduced(np.maximum, self.highs, (first, stop), edges, level)
        kept = np.diff(bounds) > 0
        begin, last = self.place[bounds[:-1][kept]], self.place[bounds[1:][kept] - 1]
        places = np.column_stack([begin + (last - begin) / 4, begin + 3 * (last - begin) / 4]).ravel()
        return places.astype(float), np.column_stack([low, high]).ravel().astype(float)

    def between(self, start: float, end: float) -> int:
        """Return how many values lie between two places."""
        return int(np.diff(np.searchsorted(self.place, np.array([start, end], dtype=np.float32)))[0])

    def of_pieces(self, edges: Floats) -> Floats:
        """Return the lowest, mean and highest value of each piece between edges.

        Parameters
        ----------
        edges : float array, shape (k + 1,)
            Rising, in the unit of `place`.

        Returns
        -------
        float array, shape (3, k)
            NaN where a piece holds no value.
        """
        borders = np.searchsorted(self.place, edges.astype(np.float32))
        told = np.diff(borders) > 0
        found = np.full((3, edges.shape[0] - 1), np.nan)
        if told.any():
            values, starts = self.lows[0][: borders[-1]], borders[:-1][told]
            found[0, told] = np.minimum.reduceat(values, starts)
            found[1, told] = np.add.reduceat(values, starts, dtype=float) / np.diff(borders)[told]
            found[2, told] = np.maximum.reduceat(values, starts)
        return found

    @staticmethod
    def _reduced(
        least: np.ufunc, levels: tuple[Small, ...], span: tuple[int, int], edges: npt.NDArray[np.int64], level: int
    ) -> Small:
        """Return the lowest (or highest) before the first whole block, of each piece of blocks, after the last."""
        block = STEP**level
        before = levels[0][span[0] : edges[0] * block]
        after = levels[0][edges[-1] * block : span[1]]
        inner = least.reduceat(levels[level][: edges[-1]], edges[:-1])
        ends = [np.array([least.reduce(part)], dtype=np.float32) if part.size else part for part in (before, after)]
        return np.concatenate([ends[0], inner, ends[1]])


def pyramid(place: Floats, value: Floats, breaks: tuple[int, ...] = ()) -> Pyramid:
    """Return a trace's pyramid.

    Parameters
    ----------
    place : float array, shape (n,)
        Never falling; n >= 1.
    value : float array, shape (n,)
        Without NaN.
    breaks : tuple of int
        Samples before which the log has a gap, rising.
    """
    low = high = np.asarray(value, dtype=np.float32)
    lows, highs = [low], [high]
    while low.shape[0] > STEP:
        starts = np.arange(0, low.shape[0], STEP)
        low, high = np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts)
        lows.append(low)
        highs.append(high)
    small = np.asarray(place, dtype=np.float32)
    for array in (small, *lows, *highs):
        array.flags.writeable = False
    return Pyramid(place=small, lows=tuple(lows), highs=tuple(highs), breaks=breaks)
