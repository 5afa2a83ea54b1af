"""Quantiles of few values: what bounds them, by binomial sums, a printed table and simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from telemetry.statistics.quantiles import quantile, ranks

# Of the median at 95 % or more, as tables of the sign test print them; from memory
MEDIANS = {6: (1, 6), 8: (1, 8), 9: (2, 8), 10: (2, 9), 12: (3, 10), 15: (4, 12), 20: (6, 15), 25: (8, 18)}


@pytest.mark.parametrize(("count", "expected"), MEDIANS.items())
def test_ranks_of_the_median_are_those_of_the_sign_test(count: int, expected: tuple[int, int]) -> None:
    assert ranks(count, 0.5) == expected


def binomial_below(r: int, count: int, share: float) -> float:
    """Return P(B < r), summed."""
    return math.fsum(math.comb(count, j) * share**j * (1 - share) ** (count - j) for j in range(r))


@pytest.mark.parametrize("count", [10, 12, 30, 60])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_each_side_misses_in_one_case_of_forty_at_most_and_none_is_nearer(count: int, share: float) -> None:
    lower, upper = ranks(count, share)
    if lower is not None:
        assert binomial_below(lower, count, share) <= 0.025 < binomial_below(lower + 1, count, share)
    else:
        assert binomial_below(1, count, share) > 0.025
    if upper is not None:
        assert 1 - binomial_below(upper, count, share) <= 0.025 < 1 - binomial_below(upper - 1, count, share)
    else:
        assert 1 - binomial_below(count, count, share) > 0.025


def test_it_takes_36_values_to_bound_a_tenth_from_below() -> None:
    """0.9^35 is 0.0250 and a bit, 0.9^36 less."""
    assert [ranks(count, 0.1)[0] for count in (35, 36)] == [None, 1]
    assert [ranks(count, 0.9)[1] for count in (35, 36)] == [None, 36]


def test_turned_round_the_least_is_the_most() -> None:
    values = np.random.default_rng(2).normal(size=17)
    own, turned = quantile(values, 0.1), quantile(-values, 0.9)
    assert turned.value == pytest.approx(-own.value)
    assert (own.low, turned.high) == (None, None)
    assert own.high is not None
    assert turned.low == -own.high


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_the_interval_holds_the_quantile_as_often_as_it_says(share: float) -> None:
    chance, held = np.random.default_rng(3), 0
    truth = -math.log(1 - share)  # of the exponential distribution
    for _ in range(800):
        own = quantile(chance.exponential(size=14), share)
        held += (own.low is None or own.low <= truth) and (own.high is None or truth <= own.high)
    assert held / 800 >= 0.95 - 2 * math.sqrt(0.95 * 0.05 / 800)
