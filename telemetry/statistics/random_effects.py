"""One difference found on several days: their mean, how far days differ, and where the next one may lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import optimize, special

from telemetry.model.arrays import Floats

from .earlier_days import DaySpread, borrowed

FEWEST_DAYS = 3
"""With two the interval of the mean is 12.7 standard errors wide on either side, and how far days differ is unknown:
own choice."""
SPREAD_LEVEL = 0.05
"""Of the interval of how far days differ; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayDifferences:
    """One difference on each of several days, on the scale of comparison.

    Attributes
    ----------
    d : float array, shape (k,)
    se, nu : float array, shape (k,)
        Standard errors by the days' runs, 0 or more, and their degrees of freedom.
    reach : float array, shape (k,)
        `se` in times the spread between runs, above 0.
    least_se : float array, shape (k,)
        Below what a standard error isn't taken, 0 or more.
    counted : bool
        Whether it is the ratio of two counts: they scatter by chance at least, whatever other days did.
    """

    d: Floats
    se: Floats
    nu: Floats
    reach: Floats
    least_se: Floats
    counted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What days say together.

    Attributes
    ----------
    days : int
    mean, se : float
        Of all such days, not of these alone; see `together`.
    between : float
        Standard deviation from day to day beyond what their runs explain.
    between_most : float
        Upper end of its interval, 97.5 % one-sided.
    scatter : float
        Cochran's Q of the days about their mean with nothing between them.
    shares : float array, shape (k,)
        Share that each day has in the mean; they sum to 1.
    """

    days: int
    mean: float
    se: float
    between: float
    between_most: float
    scatter: float
    shares: Floats

    @property
    def p(self) -> float:
        """Two-sided p of the mean."""
        return 2 * float(special.stdtr(self.days - 1, -abs(self.mean) / self.se))

    @property
    def p_alike(self) -> float:
        """Chance of days that scatter so far, were the change the same on all of them."""
        return float(special.chdtrc(self.days - 1, self.scatter))

    @property
    def share_between(self) -> float:
        """Share of the days' scatter that their runs don't explain, 0 to 1 [HigginsThompson2002]."""
        return max(0.0, 1 - (self.days - 1) / self.scatter) if self.scatter > 0 else 0.0

    def half_width(self, level: float) -> float:
        """Return the half-width of the mean's two-sided interval."""
        return -float(special.stdtrit(self.days - 1, level / 2)) * self.se

    def next_half_width(self, level: float) -> float:
        """Return the half-width about the mean within which the next day's true difference lies."""
        t = -float(special.stdtrit(self.days - 2, level / 2))
        return t * math.hypot(self.between, self.se)


def scatter(d: Floats, variance: Floats, between: float) -> float:
    """Return ``sum w (d - mean)^2``, ``w = 1 / (variance + between)``, about the mean weighted by w.

    Parameters
    ----------
    d, variance : float array, shape (k,)
        Differences, and the squares of their standard errors, above 0.
    between : float
        Variance between days.
    """
    weights = 1 / (variance + between)
    mean = float((weights * d).sum() / weights.sum())
    return float((weights * (d - mean) ** 2).sum())


def variance_between(d: Floats, variance: Floats, wanted: float) -> float:
    """Return the variance between days at which `scatter` is as wanted; 0 where it is below that without any.

    Notes
    -----
    At its expectation, k - 1, it is the estimate of [PauleMandel1982]; at a quantile of chi-square on k - 1 degrees of
    freedom an end of its interval [Viechtbauer2007]. `scatter` falls as the variance grows.
    """
    if scatter(d, variance, 0.0) <= wanted:
        return 0.0
    most = float(((d - d.mean()) ** 2).sum()) / wanted  # there, scatter is below wanted
    return float(optimize.brentq(lambda between: scatter(d, variance, between) - wanted, 0.0, most, xtol=1e-12 * most))


def weighed(days: DayDifferences) -> Floats:
    """Return the standard error each day is weighed by, shape (k,).

    Notes
    -----
    A few runs tell a day's own spread badly: where one day happens to scatter little it would rule the mean. The
    spreads are taken as draws of one distribution, and each is moderated by the others as a day is by earlier ones
    [Smyth2004], where there is enough to tell it by; of counts none.
    """
    spread = (days.se / days.reach) ** 2
    common = None
    if not days.counted and spread.all():
        rows = [DaySpread(variance=s2, nu=nu) for s2, nu in zip(spread.tolist(), days.nu.tolist(), strict=True)]
        (common,) = borrowed([rows])
    if common is not None:
        spread = (common.nu * common.variance + days.nu * spread) / (common.nu + days.nu)
    found: Floats = np.maximum(np.sqrt(spread) * days.reach, days.least_se)
    return found


def together(days: DayDifferences) -> Together:
    """Return what three days or more say together.

    Parameters
    ----------
    days : DayDifferences
        Independent of each other.

    Raises
    ------
    ValueError
        With fewer than three days, or where a day has no standard error.

    Notes
    -----
    Random effects by day: ``d_i = mu + u_i + e_i``, var(u) = tau^2 by Paule and Mandel [PauleMandel1982], var(e_i) of
    `weighed`. With ``w_i = 1 / (var(e_i) + tau^2)`` the mean is ``sum w d / sum w`` and its standard error
    ``sqrt(max(1, q) / sum w)``, ``q = sum w (d - mean)^2 / (k - 1)``, on k - 1 degrees of freedom
    [HartungKnapp2001] [SidikJonkman2002] [IntHout2014]; q below 1 narrows nothing [KnappHartung2003], so that the
    interval is never narrower than that of a change which is the same on all days. The next day's true difference lies
    within ``t[k - 2] sqrt(tau^2 + se^2)`` of the mean [Higgins2009].

    Examples
    --------
    >>> d, even = np.arange(1.0, 4.0), np.ones(3)
    >>> found = together(DayDifferences(d=d, se=even / 2, nu=1e9 * even, reach=even, least_se=0 * even))
    >>> round(found.mean, 6), round(found.between**2, 6), round(found.se, 6)
    (2.0, 0.75, 0.57735)
    """
    d, count = days.d, int(days.d.shape[0])
    if count < FEWEST_DAYS:
        raise ValueError(f"{count} days; at least {FEWEST_DAYS} are needed")
    variance = weighed(days) ** 2
    if not variance.all():
        raise ValueError("a day without a standard error")
    nu = count - 1
    between = variance_between(d, variance, nu)
    least = float(special.chdtri(nu, 1 - SPREAD_LEVEL / 2))
    weights = 1 / (variance + between)
    total = float(weights.sum())
    q = scatter(d, variance, between) / nu
    return Together(
        days=count,
        mean=float((weights * d).sum()) / total,
        se=math.sqrt(max(1.0, q) / total),
        between=math.sqrt(between),
        between_most=math.sqrt(variance_between(d, variance, least)),
        scatter=scatter(d, variance, 0.0),
        shares=weights / total,
    )
