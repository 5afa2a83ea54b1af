"""Runs needed and changes seen, by the reference library's noncentral t: a second writing for the tests."""

import math

from scipy import optimize, stats


def freedom(n):
    """Return the degrees of freedom of n runs of each: from 4 of each on a drift takes one."""
    return 2 * n - 2 - (n >= 4)


def chance(change, n, s, level, further=0.0):
    """Return the chance that a true change is seen at a two-sided level, with degrees of freedom of earlier days."""
    nu = freedom(n) + further
    shift, critical = change / s / math.sqrt(2 / n), stats.t.isf(level / 2, nu)
    return stats.nct.sf(critical, nu, shift) + stats.nct.cdf(-critical, nu, shift)


def detectable(n, s, level):
    """Return the change that n runs of each have an 80 % chance to see; far beyond it the library gives no number."""
    step = 0.25 * s * math.sqrt(2 / n)
    high = next(k * step for k in range(1, 400) if chance(k * step, n, s, level) >= 0.8)
    return optimize.brentq(lambda change: chance(change, n, s, level) - 0.8, high - step, high)


def fewest_runs(s, margin, level, further=0.0):
    """Return the fewest runs of each with both chances of 80 %: of "unchanged" at no change, of "changed" at one."""

    def enough(n):
        nu = 2 * n - 2 + further
        reach = stats.t.ppf(0.95, nu) + stats.t.ppf(0.90, nu)
        return reach * s * math.sqrt(2 / n) <= margin and chance(margin, n, s, level, further) >= 0.8

    return next(n for n in range(2, 100) if enough(n))


def upper(s, nu):
    """Return the spread that the true one exceeds in one case of five."""
    return s * math.sqrt(nu / stats.chi2.ppf(0.2, nu))
