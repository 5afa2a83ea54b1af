"""Least squares, by QR: a level for each group and slopes common to all; every fit of runs goes through here."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats

APART = 1e-9
"""Share of a column's length that has to stand apart from those before it. Own choice: places and days are small whole
numbers, so that it is zero but for rounding or far above."""
ROUNDING = 1e-12
"""Share of the largest value that a spread has to exceed to be one. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What was fitted.

    Attributes
    ----------
    sizes : tuple of int
    levels : float array, shape (g,)
        Mean of each group's values.
    centres : float array, shape (g, c)
        Mean of each group's covariates.
    slopes : float array, shape (c,)
    root : float array, shape (c, c)
        Its product with its own transpose is the slopes' covariance in times s^2.
    s, nu : float, int
        Residual standard deviation, and its degrees of freedom, 1 or more.
    spread : float
        `s`; 0 where that is only rounding.
    """

    sizes: tuple[int, ...]
    levels: Floats
    centres: Floats
    slopes: Floats
    root: Floats
    s: float
    nu: int
    spread: float

    @property
    def difference(self) -> tuple[float, float]:
        """Second group less first at equal covariates, and its standard error in times `s`."""
        apart = self.centres[1] - self.centres[0]
        d = float(self.levels[1] - self.levels[0]) - float(self.slopes @ apart)
        further = float(((apart @ self.root) ** 2).sum())
        return d, math.sqrt(1 / self.sizes[0] + 1 / self.sizes[1] + further)

    def levels_at(self, covariates: Floats) -> Floats:
        """Return each group's fitted level at given covariates, shape (g,)."""
        fitted: Floats = self.levels - (self.centres - covariates) @ self.slopes
        return fitted

    def slope_error(self, place: int) -> float:
        """Return the standard error of one slope."""
        return self.s * math.sqrt(float((self.root[place] ** 2).sum()))


def least_squares(values: Sequence[Floats], covariates: Sequence[Floats]) -> Fit | None:
    """Return the fit of several groups' values by a level for each group and slopes common to all.

    Parameters
    ----------
    values : sequence of float arrays, shape (n_g,)
    covariates : sequence of float arrays, shape (n_g, c)

    Returns
    -------
    Fit or None
        None where a covariate can't be told from the groups or from those before it, or nothing is left over to
        judge by.

    Notes
    -----
    Values and covariates less their groups' means, y and X: ``X = Q R``, slopes ``R^-1 Q' y``, with covariance
    ``s^2 R^-1 R^-1'``.
    """
    within = [group - group.mean() for group in values]
    centred = [group - group.mean(axis=0) for group in covariates]
    columns, sizes = np.vstack(centred), tuple(group.size for group in values)
    nu = sum(sizes) - len(sizes) - columns.shape[1]
    if nu <= 0:
        return None
    q, r = np.linalg.qr(columns)
    if (np.abs(np.diag(r)) <= APART * np.linalg.norm(columns, axis=0)).any():
        return None
    root = np.linalg.inv(r)
    slopes = root @ (q.T @ np.concatenate(within))
    left = (y - x @ slopes for y, x in zip(within, centred, strict=True))
    s = math.sqrt(sum(float((group**2).sum()) for group in left) / nu)
    largest = max(float(np.abs(group).max()) for group in values)
    return Fit(
        sizes=sizes,
        levels=np.array([group.mean() for group in values]),
        centres=np.array([group.mean(axis=0) for group in covariates]),
        slopes=slopes,
        root=root,
        s=s,
        nu=nu,
        spread=s if s > ROUNDING * largest else 0.0,
    )
