"""Least squares, by QR: a level for each group and slopes common to all; every fit of runs goes through here."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

import numpy as np

from telemetry.model.arrays import Floats

APART = 1e-9
"""Share of a column's length that has to stand apart from those before it. Own choice: places and days are small whole
numbers, so that it is zero but for rounding or far above."""
ROUNDING = 1e-12
"""Share of the largest value that a spread has to exceed to be one. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """What groups and covariates say before any value is known; one serves every row of the same runs.

    Attributes
    ----------
    sizes : tuple of int
    columns : float array, shape (n, c)
        Covariates less their groups' means.
    centres : float array, shape (g, c)
        Mean of each group's covariates.
    across : float array, shape (n, c)
        Orthonormal, with the same span as `columns`.
    root : float array, shape (c, c)
        Its product with its own transpose is the slopes' covariance in times s^2.
    nu : int
        Degrees of freedom left over, 1 or more.
    """

    sizes: tuple[int, ...]
    columns: Floats
    centres: Floats
    across: Floats
    root: Floats
    nu: int

    @property
    def reach(self) -> float:
        """Standard error of the second group less the first at equal covariates, in times `s`."""
        further = float((((self.centres[1] - self.centres[0]) @ self.root) ** 2).sum())
        return math.sqrt(1 / self.sizes[0] + 1 / self.sizes[1] + further)

    def slope_reach(self, place: int) -> float:
        """Return the standard error of one slope, in times `s`."""
        return math.sqrt(float((self.root[place] ** 2).sum()))

    def fit(self, values: Sequence[Floats]) -> Fit:
        """Return the fit of each group's values."""
        levels = [mean_of(group) for group in values]
        left = np.concatenate([group - level for group, level in zip(values, levels, strict=True)])
        slopes = np.empty(0)
        if self.columns.shape[1]:
            slopes = self.root @ (self.across.T @ left)
            left = left - self.columns @ slopes
        ends = [0, *accumulate(self.sizes)]
        squares = left**2
        s = math.sqrt(sum(float(squares[start:end].sum()) for start, end in pairwise(ends)) / self.nu)
        largest = max(float(np.abs(group).max()) for group in values)
        return Fit(
            design=self, levels=np.array(levels), slopes=slopes, s=s, spread=s if s > ROUNDING * largest else 0.0
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What was fitted.

    Attributes
    ----------
    design : Design
    levels : float array, shape (g,)
        Mean of each group's values.
    slopes : float array, shape (c,)
    s : float
        Residual standard deviation.
    spread : float
        `s`; 0 where that is only rounding.
    """

    design: Design
    levels: Floats
    slopes: Floats
    s: float
    spread: float

    @property
    def nu(self) -> int:
        """Degrees of freedom of `s`."""
        return self.design.nu

    @property
    def difference(self) -> float:
        """Second group less first at equal covariates."""
        apart = self.design.centres[1] - self.design.centres[0]
        return float(self.levels[1] - self.levels[0]) - float(self.slopes @ apart)

    def levels_at(self, covariates: Floats) -> Floats:
        """Return each group's fitted level at given covariates, shape (g,)."""
        fitted: Floats = self.levels - (self.design.centres - covariates) @ self.slopes
        return fitted

    def slope_error(self, place: int) -> float:
        """Return the standard error of one slope."""
        return self.s * self.design.slope_reach(place)


def mean_of(values: Floats) -> float:
    """Return the mean of a few values, in half the time that numpy's own takes."""
    return float(values.sum()) / values.size


def design_of(covariates: Sequence[Floats]) -> Design | None:
    """Return the design of several groups with a level each and slopes common to all.

    Parameters
    ----------
    covariates : sequence of float arrays, shape (n_g, c)

    Returns
    -------
    Design or None
        None where a covariate can't be told from the groups or from those before it, or nothing is left over to
        judge by.

    Notes
    -----
    Values and covariates less their groups' means, y and X: ``X = Q R``, slopes ``R^-1 Q' y``, with covariance
    ``s^2 R^-1 R^-1'``.
    """
    centres = np.array([group.mean(axis=0) for group in covariates])
    columns = np.vstack([group - centre for group, centre in zip(covariates, centres, strict=True)])
    sizes = tuple(len(group) for group in covariates)
    nu = sum(sizes) - len(sizes) - columns.shape[1]
    if nu <= 0:
        return None
    q, r = np.linalg.qr(columns)
    if (np.abs(np.diag(r)) <= APART * np.linalg.norm(columns, axis=0)).any():
        return None
    return Design(sizes=sizes, columns=columns, centres=centres, across=q, root=np.linalg.inv(r), nu=nu)


def least_squares(values: Sequence[Floats], covariates: Sequence[Floats]) -> Fit | None:
    """Return the fit of several groups' values by the design of their covariates; None where it has none."""
    design = design_of(covariates)
    return None if design is None else design.fit(values)
