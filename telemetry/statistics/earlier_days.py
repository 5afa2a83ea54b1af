"""How far runs of one setup scattered on earlier days: what a few runs of today can borrow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import optimize, special

FEWEST_DAYS = 3
FEWEST_FREEDOM = 8
"""Degrees of freedom that a row's earlier days have to give together. Own choice."""
LEAST_APART = 0.02
"""How far days' log variances differ at least. Own choice."""
UNLIKE_SHARE = 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySpread:
    """Residual variance of one row on one day, above 0, on the scale of comparison, and its degrees of freedom."""

    variance: float
    nu: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Borrowed:
    """What earlier days say of a row's variance: as good as `nu` degrees of freedom of it.

    Attributes
    ----------
    variance, nu : float
    days : int
    """

    variance: float
    nu: float
    days: int

    def is_unlike(self, variance: float, nu: float) -> bool:
        """Tell whether a day scatters more than earlier ones let expect, in one case of a hundred."""
        return variance / self.variance > float(special.fdtri(nu, self.nu, UNLIKE_SHARE))

    def pooled(self, variance: float, nu: float) -> tuple[float, float]:
        """Return variance and degrees of freedom of today's runs and what is borrowed together."""
        together = self.nu + nu
        return (self.nu * self.variance + nu * variance) / together, together


@lru_cache(maxsize=256)
def inverse_trigamma(value: float) -> float:
    """Return x with ``trigamma(x) = value``, for values above 0.

    Examples
    --------
    >>> from scipy.special import polygamma
    >>> round(inverse_trigamma(float(polygamma(1, 3.7))), 9)
    3.7
    """

    def lacking(log_x: float) -> float:
        return math.log(float(special.polygamma(1, math.exp(log_x)))) - math.log(value)

    return math.exp(float(optimize.brentq(lacking, -40.0, 40.0, xtol=1e-13)))


def _usable(days: Sequence[DaySpread]) -> bool:
    return len(days) >= FEWEST_DAYS and sum(day.nu for day in days) >= FEWEST_FREEDOM


def days_apart(rows: Sequence[Sequence[DaySpread]]) -> float:
    """Return how far days' true log variances differ, as a variance common to all rows.

    Notes
    -----
    ``h = max(0.02, mean over rows of [var_k(log s_k^2) - mean_k trigamma(nu_k / 2)])``.
    """
    apart = []
    for days in rows:
        logs = np.log([day.variance for day in days])
        chance = special.polygamma(1, np.array([day.nu for day in days]) / 2)
        apart.append(float(logs.var(ddof=1) - chance.mean()))
    return max(LEAST_APART, float(np.mean(apart)))


def borrowed(rows: Sequence[Sequence[DaySpread]]) -> tuple[Borrowed | None, ...]:
    """Return what earlier days say of each row's variance; None where there are too few.

    Parameters
    ----------
    rows : sequence of sequence of DaySpread
        Each row's earlier days. It takes three, and 8 degrees of freedom.

    Notes
    -----
    With h of `days_apart`, K days of the row: ``d0 = 2 trigamma^-1(h + (h + mean trigamma(nu_k/2)) / K)``,
    ``log s0^2 = mean_k[log s_k^2 - digamma(nu_k/2) + log(nu_k/2)] + digamma(d0/2) - log(d0/2)`` [Smyth2004].
    """
    usable = [days for days in rows if _usable(days)]
    if not usable:
        return (None,) * len(rows)
    h = days_apart(usable)
    return tuple(_of_row(days, h) if _usable(days) else None for days in rows)


def _of_row(days: Sequence[DaySpread], h: float) -> Borrowed:
    half = np.array([day.nu for day in days]) / 2
    logs = np.log([day.variance for day in days])
    d0 = 2 * inverse_trigamma(h + (h + float(special.polygamma(1, half).mean())) / len(days))
    middle = float((logs - special.digamma(half) + np.log(half)).mean())
    log_variance = middle + float(special.digamma(d0 / 2)) - math.log(d0 / 2)
    return Borrowed(variance=math.exp(log_variance), nu=d0, days=len(days))
