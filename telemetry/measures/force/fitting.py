"""Least squares by stretches of the ride: coefficients, and how they scatter when one stretch is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocks:
    """Normal equations of each stretch of the ride.

    Attributes
    ----------
    squares : float array, shape (b, p, p)
    products : float array, shape (b, p)
    """

    squares: Floats
    products: Floats

    def solved(self) -> tuple[Floats, Floats]:
        """Return the coefficients of all stretches, shape (p,), and those without each one, shape (b, p).

        Raises
        ------
        numpy.linalg.LinAlgError
            If they don't determine the coefficients.
        """
        whole, sums = self.squares.sum(axis=0), self.products.sum(axis=0)
        scale = 1.0 / np.sqrt(np.diag(whole))
        left = np.concatenate([whole[None], whole - self.squares]) * np.outer(scale, scale)
        right = np.concatenate([sums[None], sums - self.products]) * scale
        found = np.linalg.solve(left, right[..., None])[..., 0] * scale
        return found[0], found[1:]


def blocks_of(columns: Floats, values: Floats, blocks: Ints) -> Blocks:
    """Return the normal equations of ``columns @ c = values``, by stretches.

    Parameters
    ----------
    columns : float array, shape (n, p)
    values : float array, shape (n,)
    blocks : int array, shape (n,)
        Number of each row's stretch, never falling.
    """
    bounds = np.concatenate([[0], np.flatnonzero(np.diff(blocks)) + 1, [blocks.shape[0]]]).tolist()
    squares, products = [], []
    for start, stop in pairwise(bounds):
        part = columns[start:stop]
        squares.append(part.T @ part)
        products.append(part.T @ values[start:stop])
    return Blocks(squares=np.array(squares), products=np.array(products))


def with_half_width(blocks: Blocks, figures: Callable[[Floats], Floats], level: float) -> tuple[Floats, Floats]:
    """Return figures of the coefficients, and the half-width of each one's interval.

    Parameters
    ----------
    blocks : Blocks
    figures : callable
        Figures, shape (..., f), of coefficients, shape (..., p).
    level : float
        Chance of missing the truth, both sides together.

    Notes
    -----
    The delete-one-block jackknife, ``(b - 1) / b`` times the sum of squares about their mean [Efron1993], with
    Student's t of b - 1 degrees of freedom.
    """
    whole, each = blocks.solved()
    count = each.shape[0]
    without = figures(each)
    spread = np.sqrt((count - 1) / count * ((without - without.mean(axis=0)) ** 2).sum(axis=0))
    return figures(whole), -float(special.stdtrit(count - 1, level / 2)) * spread
