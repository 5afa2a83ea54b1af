"""Signals in short blocks: means and spreads that stillness, direction and attitude are told from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats, Ints
from telemetry.model.motion import Stretch


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocks:
    """Equal blocks of samples; none reaches across a gap, what is left over at a segment's end is in none.

    Attributes
    ----------
    size : int
        Samples of a block.
    starts : int array, shape (k,)
        Each block's first sample.
    parts : tuple of (first, last)
        Ranges of blocks that follow each other without a gap; they cover all k.
    """

    size: int
    starts: Ints
    parts: tuple[Stretch, ...]

    def means(self, signal: Floats) -> Floats:
        """Return each block's mean.

        Parameters
        ----------
        signal : float array, shape (m, n)

        Returns
        -------
        float array, shape (m, k)
        """
        if not self.starts.size:
            return np.empty((signal.shape[0], 0))
        return np.concatenate([self._cut(signal, part).mean(axis=2) for part in self.parts], axis=1)

    def spreads(self, signal: Floats) -> Floats:
        """Return each block's standard deviation, of the axis that has the largest, shape (k,)."""
        if not self.starts.size:
            return np.empty(0)
        return np.concatenate([_spread(self._cut(signal, part)) for part in self.parts])

    def _cut(self, signal: Floats, part: Stretch) -> Floats:
        start = int(self.starts[part[0]])
        stop = start + (part[1] - part[0]) * self.size
        return signal[:, start:stop].reshape(signal.shape[0], -1, self.size)


def _spread(cut: Floats) -> Floats:
    squares = np.einsum("ijk,ijk->ij", cut, cut) / cut.shape[2] - cut.mean(axis=2) ** 2
    return np.asarray(np.sqrt(squares.max(axis=0).clip(min=0.0)), dtype=float)


def blocks_of(segments: tuple[Stretch, ...], size: int) -> Blocks:
    """Return the blocks of `size` samples that gap-free segments hold.

    Examples
    --------
    >>> blocks_of(((0, 7), (7, 12)), 2).starts
    array([0, 2, 4, 7, 9])
    """
    starts, parts, count = [], [], 0
    for start, stop in segments:
        held = (stop - start) // size
        if held:
            starts.append(start + size * np.arange(held))
            parts.append((count, count + held))
            count += held
    return Blocks(size=size, starts=np.concatenate([np.empty(0, dtype=np.int64), *starts]), parts=tuple(parts))
