"""What earlier days say of a row's spread: against Smyth's closed forms, a prior drawn from, and hand computation."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy import special, stats

from telemetry.statistics.earlier_days import (
    FEWEST_FREEDOM,
    LEAST_APART,
    Borrowed,
    DaySpread,
    borrowed,
    days_apart,
    inverse_trigamma,
)


def days(variances, nu=4.0):
    return [DaySpread(variance=float(value), nu=nu) for value in variances]


@pytest.mark.parametrize("x", [1e-3, 0.1, 0.5, 1.0, 4.2, 60.0, 1e4])
def test_inverse_trigamma_undoes_trigamma(x):
    """Known values too: trigamma(1) = pi^2/6, trigamma(1/2) = pi^2/2 [Abramowitz and Stegun 6.4.2, 6.4.4]."""
    assert inverse_trigamma(float(special.polygamma(1, x))) == pytest.approx(x, rel=1e-9)
    assert inverse_trigamma(math.pi**2 / 6) == pytest.approx(1.0, rel=1e-9)
    assert inverse_trigamma(math.pi**2 / 2) == pytest.approx(0.5, rel=1e-9)


def test_equal_days_are_worth_what_days_that_hardly_differ_are_worth():
    """Three days alike to the digit: h at its least; d0 and s0 by hand."""
    (found,) = borrowed([days([2.0] * 3)])
    chance = float(special.polygamma(1, 2.0))
    d0 = 2 * inverse_trigamma(0.02 + (0.02 + chance) / 3)
    assert (found.nu, found.days) == (pytest.approx(d0), 3)
    shift = -float(special.digamma(2.0)) + math.log(2.0) + float(special.digamma(d0 / 2)) - math.log(d0 / 2)
    assert found.variance == pytest.approx(2.0 * math.exp(shift))


def test_how_far_days_differ_is_common_to_all_rows():
    calm, wild = days([1.0, 1.0, 1.0]), days([0.01, 1.0, 100.0])
    chance = float(special.polygamma(1, 2.0))
    spread = np.var(np.log([0.01, 1.0, 100.0]), ddof=1)
    assert days_apart([calm, wild]) == pytest.approx((spread - 2 * chance) / 2)
    assert days_apart([calm]) == LEAST_APART == 0.02
    alone, beside = borrowed([calm])[0], borrowed([calm, wild])[0]
    assert beside.nu < alone.nu


def test_the_more_the_days_the_more_they_are_worth():
    worth = [borrowed([days([1.0] * count, nu=4.0)])[0].nu for count in (3, 4, 6, 12)]
    assert all(one < other for one, other in pairwise(worth))


@pytest.mark.parametrize(
    ("row", "lent"),
    [
        (days([1.0, 2.0], nu=20.0), False),
        (days([1.0, 2.0, 1.5], nu=FEWEST_FREEDOM / 3), True),
        (days([1.0, 2.0, 1.5], nu=FEWEST_FREEDOM / 3 - 0.01), False),
        ([], False),
    ],
)
def test_it_takes_three_days_and_eight_degrees_of_freedom(row, lent):
    found = borrowed([row, days([1.0] * 5)])
    assert (found[0] is not None) is lent
    assert found[1] is not None
    assert borrowed([row])[0] is None or lent


def test_pooling_weighs_by_degrees_of_freedom():
    prior = Borrowed(variance=4.0, nu=6.0, days=3)
    assert prior.pooled(1.0, 2.0) == ((6 * 4.0 + 2 * 1.0) / 8, 8.0)


def test_a_day_that_scatters_beyond_one_in_a_hundred_is_unlike():
    prior = Borrowed(variance=4.0, nu=6.0, days=3)
    limit = 4.0 * stats.f.ppf(0.99, 3, 6)
    assert not prior.is_unlike(0.9999 * limit, 3)
    assert prior.is_unlike(1.0001 * limit, 3)


def test_the_prior_that_days_were_drawn_from_is_found_again():
    """2000 rows of 6 days of 12 degrees of freedom, days' log sigma varying by 0.25 about their row's own."""
    rng = np.random.default_rng(5)
    true = np.repeat(3.0 * np.exp(rng.normal(0, 0.3, 2000))[:, None], 6, axis=1)
    apart = np.exp(rng.normal(0, 0.25, true.shape))
    rows = [days(row, nu=12.0) for row in true * apart**2 * rng.chisquare(12, true.shape) / 12]
    assert days_apart(rows) == pytest.approx(0.5**2, abs=0.03)
    found = borrowed(rows)
    middle = [math.log(item.variance) + math.log(item.nu / 2) - float(special.digamma(item.nu / 2)) for item in found]
    log_error = np.array(middle) - np.log(true[:, 0])  # s0^2 is where a variance scattered so has its middle
    assert float(np.median(log_error)) == pytest.approx(0.0, abs=0.06)
    assert float(np.std(log_error)) == pytest.approx(math.sqrt((0.5**2 + special.polygamma(1, 6.0)) / 6), rel=0.1)
