"""Least squares by stretches of the ride: coefficients, and how they scatter when one stretch is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats, Ints

RIDGE = 1e-11
"""Added to the diagonal, of ones, of normal equations: a dead channel's column gets nothing then."""


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
        """Return the coefficients of all stretches, shape (p,), and those without each one, shape (b, p)."""
        whole, sums = self.squares.sum(axis=0), self.products.sum(axis=0)
        left = np.concatenate([whole[None], whole - self.squares])
        found = solved(left, np.concatenate([sums[None], sums - self.products]))
        return found[0], found[1:]


def solved(squares: Floats, products: Floats) -> Floats:
    """Return the solutions of normal equations, shape (..., p); what they don't determine is 0.

    Parameters
    ----------
    squares : float array, shape (..., p, p)
    products : float array, shape (..., p)
    """
    lengths = np.sqrt(np.diagonal(squares, axis1=-2, axis2=-1))
    scale = 1.0 / np.where(lengths > 0, lengths, 1.0)
    left = squares * scale[..., :, None] * scale[..., None, :] + RIDGE * np.eye(squares.shape[-1])
    return np.asarray(np.linalg.solve(left, (products * scale)[..., None])[..., 0] * scale)


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
