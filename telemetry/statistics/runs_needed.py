"""How many runs it takes."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable
from functools import cache, lru_cache

import numpy as np
from scipy import optimize, special

from telemetry.model.arrays import Floats
from telemetry.model.comparison import MOST_MORE_RUNS

from .family import INNER_LEVEL
from .order_ridden import fits_drift

CHANCE = 0.80
UPPER_TAIL = 0.20


@cache
def _nodes() -> tuple[Floats, Floats]:
    """Return nodes from -1 to 1 and their weights."""
    nodes, weights = np.polynomial.legendre.leggauss(400)
    return nodes, weights


def fewest(enough: Callable[[int], bool], most: int) -> int | None:
    """Return the fewest runs of each, 2 to `most`, that are enough; once enough, more are too. None where none are."""
    runs = range(2, most + 1)
    place = bisect_left(runs, 1, key=lambda n: int(enough(n)))
    return runs[place] if place < len(runs) else None


@lru_cache(maxsize=1024)
def unchanged_reach(nu: float, inner_level: float = INNER_LEVEL) -> float:
    """Return how many standard errors the smallest change has to be for an 80 % chance of "unchanged" at none.

    Notes
    -----
    ``t[.95, nu] + t[.90, nu]``: to the end of the two one-sided tests' interval, and the chance on either side.
    A look that spends only part of the tests' level reaches further.
    """
    return float(special.stdtrit(nu, 1 - inner_level / 2) + special.stdtrit(nu, (1 + CHANCE) / 2))


def runs_for_unchanged(
    s: float, margin: float, *, most: int, inner_level: float = INNER_LEVEL, further_nu: float = 0.0
) -> int | None:
    """Return the smallest n with an 80 % chance of "unchanged" when two setups are truly equal.

    Parameters
    ----------
    s : float
        Run-to-run standard deviation on the scale of comparison.
    margin : float
        Smallest change that matters, same scale.
    most : int
    inner_level : float
        Of the two one-sided tests.
    further_nu : float
        Degrees of freedom borrowed from earlier days.

    Notes
    -----
    ``(t[.95, 2n-2] + t[.90, 2n-2]) s sqrt(2/n) <= D``.
    """

    def enough(n: int) -> bool:
        return unchanged_reach(2 * n - 2 + further_nu, inner_level) * s * math.sqrt(2 / n) <= margin

    return fewest(enough, most)


@lru_cache(maxsize=256)
def _spreads_found(nu: float) -> tuple[Floats, Floats, float]:
    """Return nodes r = sqrt(chi2/nu), the found spread in times the true one, their weights, and half their range."""
    top = math.sqrt(float(special.chdtri(nu, 1e-13)) / nu)
    nodes, weights = _nodes()
    r = 0.5 * top * (nodes + 1)
    density = np.exp(
        math.log(2) + nu / 2 * math.log(nu / 2) - math.lgamma(nu / 2) + (nu - 1) * np.log(r) - nu * r**2 / 2
    )
    return r, weights * density, 0.5 * top


def chance_seen(noncentrality: float, nu: float, level: float, least: float = 0.0) -> float:
    """Return the chance that a true difference is seen at a two-sided level.

    Parameters
    ----------
    noncentrality : float
        The true difference over its standard error.
    nu : float
    level : float
    least : float
        Standard errors the interval's half-width has at least, however small the spread turns out (counts).

    Notes
    -----
    With t the two-sided quantile, delta the noncentrality and c(r) = max(t r, least),
    ``E[Phi(delta - c(r)) + Phi(-delta - c(r))]`` over ``r = sqrt(chi2/nu)``, by Gauss-Legendre with 400 nodes: the
    noncentral t where `least` is 0. The library's own noncentral t gives no number for many large changes.
    """
    r, weights, half_top = _spreads_found(nu)
    width = np.maximum(-float(special.stdtrit(nu, level / 2)) * r, least)
    seen = special.ndtr(noncentrality - width) + special.ndtr(-noncentrality - width)
    return float(half_top * (weights * seen).sum())


def freedom(n: int) -> int:
    """Return the degrees of freedom with n runs of each: ``2n - 2``, one less where the order is fitted too."""
    return 2 * n - 2 - fits_drift(n)


@lru_cache(maxsize=1024)
def seen_from(nu: float, level: float) -> float:
    """Return how many standard errors a true difference must be to have an 80 % chance of "changed"."""
    high = 1.0
    while chance_seen(high, nu, level) < CHANCE:
        high *= 2
    return float(optimize.brentq(lambda delta: chance_seen(delta, nu, level) - CHANCE, 0.0, high, xtol=1e-9))


def detectable_change(n: int, s: float, level: float, further_nu: float = 0.0) -> float:
    """Return the true difference that n runs of each, ridden in an order without shift, see with an 80 % chance."""
    return seen_from(freedom(n) + further_nu, level) * s * math.sqrt(2 / n)


def runs_for_changed(s: float, change: float, level: float, *, most: int, further_nu: float = 0.0) -> int | None:
    """Return the smallest n with an 80 % chance of "changed" at a true change of `change`."""
    return fewest(lambda n: detectable_change(n, s, level, further_nu) <= change, most)


def upper_share(nu: float) -> float:
    """Return what a variance is multiplied by for one that the true exceeds in one case of five: nu / chi2[.20, nu]."""
    return nu / float(special.chdtri(nu, 1 - UPPER_TAIL))


def upper_spread(s: float, nu: float) -> float:
    """Return the spread that the true one exceeds in one case of five."""
    return s * math.sqrt(upper_share(nu))


def runs_for_both(
    s: float, margin: float, level: float, *, most: int, inner_level: float = INNER_LEVEL, further_nu: float = 0.0
) -> int | None:
    """Return the smallest n that gives both chances: of "unchanged" at no change, of "changed" at the smallest."""
    same = runs_for_unchanged(s, margin, most=most, inner_level=inner_level, further_nu=further_nu)
    seen = runs_for_changed(s, margin, level, most=most, further_nu=further_nu)
    return None if same is None or seen is None else max(same, seen)


def more_runs(
    s: float, margin: float, level: float, have: int, *, inner_level: float = INNER_LEVEL, further_nu: float = 0.0
) -> int | None:
    """Return how many more runs of each settle a measure either way; None where 30 would not.

    Parameters
    ----------
    s, margin : float
    level : float
        Two-sided level the measure is judged at.
    have : int
        Runs of the setup with fewer.
    inner_level : float
        Of the two one-sided tests.
    further_nu : float
        Degrees of freedom borrowed from earlier days.
    """
    most = have + MOST_MORE_RUNS
    needed = runs_for_both(s, margin, level, most=most, inner_level=inner_level, further_nu=further_nu)
    return None if needed is None else max(1, needed - have)
