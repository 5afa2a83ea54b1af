"""How many runs: against statsmodels' power of the two-sample t, and against counting outcomes."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.power import TTestIndPower

from telemetry.statistics.runs_needed import (
    chance_seen,
    freedom,
    more_runs,
    runs_for_changed,
    runs_for_unchanged,
    upper_spread,
)


def power(n, s, change, level):
    """Return the chance that a true change is seen at a two-sided level with n runs of each."""
    return chance_seen(change / (s * math.sqrt(2 / n)), freedom(n), level)


@pytest.mark.parametrize("effect", [0.8, 1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("level", [0.05, 0.05 / 5, 0.05 / 23])
def test_runs_to_see_a_change_as_statsmodels_within_one_run(effect, level):
    theirs = math.ceil(TTestIndPower().solve_power(effect_size=effect, alpha=level, power=0.8))
    ours = runs_for_changed(1.0, effect, level, most=200)
    assert abs(ours - max(theirs, 2)) <= 1


@pytest.mark.parametrize("n", [2, 3, 4, 6, 10, 25])
@pytest.mark.parametrize("effect", [0.5, 1.0, 2.0])
def test_power_as_the_noncentral_t(n, effect):
    nu = 2 * n - 2 - (n >= 4)
    shift = effect * math.sqrt(n / 2)
    critical = stats.t.isf(0.025, nu)
    theirs = stats.nct.sf(critical, nu, shift) + stats.nct.cdf(-critical, nu, shift)
    assert power(n, 1.0, effect, 0.05) == pytest.approx(theirs, abs=1e-6)


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6, 8])
def test_power_is_a_number_for_large_changes_too(n):
    """The library's noncentral t is NaN at some of these; the chance only grows with the change."""
    chances = [power(n, s, 2.0, 0.05 / 23) for s in (1.0, 0.5, 0.3, 0.2, 0.1, 0.05, 0.001)]
    assert all(0 <= chance <= 1 + 1e-9 for chance in chances)
    assert chances == sorted(chances)
    assert chances[-1] == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("level", [0.05, 0.05 / 23])
def test_more_runs_only_raise_the_power(level):
    chances = [power(n, 1.0, 1.2, level) for n in range(2, 40)]
    assert chances == sorted(chances)


@pytest.mark.parametrize("effect", [1.0, 2.0, 4.0])
def test_runs_for_unchanged_hold_their_promise(effect):
    """With so many runs, truly equal setups come out unchanged in at least 80 % of days; with one fewer, not."""
    rng = np.random.default_rng(11)
    n = runs_for_unchanged(1.0, effect, most=100)

    def share(runs):
        days = rng.normal(size=(20000, 2, runs))
        d = days[:, 1].mean(axis=1) - days[:, 0].mean(axis=1)
        s = np.sqrt(days.var(axis=2, ddof=1).mean(axis=1))
        half = stats.t.isf(0.05, 2 * runs - 2) * s * math.sqrt(2 / runs)
        return np.mean(np.abs(d) + half < effect)

    assert share(n) > 0.78
    assert share(n - 1) < 0.80


def test_runs_for_unchanged_is_the_smallest_that_meets_the_formula():
    def reach(n):
        return (stats.t.ppf(0.95, 2 * n - 2) + stats.t.ppf(0.90, 2 * n - 2)) * 0.9 * math.sqrt(2 / n)

    n = runs_for_unchanged(0.9, 2.0, most=100)
    assert reach(n) <= 2.0 < reach(n - 1)


def test_more_runs_counts_from_those_ridden_and_is_at_least_one():
    needed = more_runs(0.9, 2.0, 0.05 / 23, 2) + 2
    assert more_runs(0.9, 2.0, 0.05 / 23, 5) == needed - 5
    assert more_runs(0.9, 2.0, 0.05 / 23, needed) == 1
    assert more_runs(0.9, 2.0, 0.05 / 23, needed + 5) == 1


def test_thirty_further_runs_are_the_limit_however_many_were_ridden():
    needed = runs_for_changed(2.0, 2.0, 0.05 / 23, most=200)
    assert needed > 30
    assert more_runs(2.0, 2.0, 0.05 / 23, needed - 31) is None
    assert more_runs(2.0, 2.0, 0.05 / 23, needed - 30) == 30


@pytest.mark.parametrize("nu", [1, 2, 4, 9])
def test_the_true_spread_exceeds_the_upper_figure_in_one_case_of_five(nu):
    """chi2 of s^2 nu / sigma^2: sigma > s sqrt(nu/chi2[.20]) exactly when that chi2 is below its 20 % point."""
    rng = np.random.default_rng(2)
    seen = np.sqrt(rng.chisquare(nu, 40000) / nu)
    assert np.mean(seen * upper_spread(1.0, nu) < 1.0) == pytest.approx(0.20, abs=0.01)
