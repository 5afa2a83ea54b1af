"""The difference, its standard error, the section floor: against published values and statsmodels."""

from itertools import combinations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.weightstats import CompareMeans, DescrStatsW, ttost_ind

from telemetry.statistics.difference import difference, riding_of, section_floor
from telemetry.statistics.least_squares import least_squares
from telemetry.statistics.order_ridden import fits_drift
from tests.comparison.days import sample, with_moments
from tests.published.two_sample_tests import AUTO83B, MOERY


def pooled(first, second):
    """Return the fit on three runs or fewer, where the drift isn't taken out."""
    return difference(sample(first, [1, 4, 5][: len(first)]), sample(second, [2, 3, 6][: len(second)]))


def pooled_test(first, second):
    """Return d, SE, s, nu of the fit without any covariate; the day's rule would fit a drift from four runs on."""
    fit = least_squares([first, second], [np.empty((first.size, 0)), np.empty((second.size, 0))])
    return fit.difference, fit.s * fit.design.reach, fit.s, fit.nu


def test_nist_auto83b_pooled_t():
    d, se, s, nu = pooled_test(with_moments(**AUTO83B["japanese"]), with_moments(**AUTO83B["american"]))
    assert nu == AUTO83B["nu"]
    assert s == pytest.approx(AUTO83B["pooled_sd"], abs=5e-6)
    assert d / se == pytest.approx(AUTO83B["t"], abs=5e-6)
    critical = stats.t.isf(0.025, nu)
    assert critical == pytest.approx(AUTO83B["critical_975"], abs=5e-5)
    assert (d - critical * se, d + critical * se) == pytest.approx((AUTO83B["low"], AUTO83B["high"]), abs=2e-5)


def test_moery_two_one_sided_tests():
    d, se, _, nu = pooled_test(with_moments(**MOERY["second"]), with_moments(**MOERY["first"]))
    assert nu == MOERY["nu"]
    assert d / se == pytest.approx(MOERY["t_no_difference"], abs=5e-7)
    assert (d - MOERY["bound"]) / se == pytest.approx(MOERY["t_nearer_bound"], abs=5e-7)
    assert (d + MOERY["bound"]) / se == pytest.approx(MOERY["t_farther_bound"], abs=5e-7)
    half = stats.t.isf(0.05, nu) * se
    assert (d - half, d + half) == pytest.approx((MOERY["inner_low"], MOERY["inner_high"]), abs=5e-7)
    # the inner interval lies inside the bounds exactly because the larger one-sided p is below 0.05
    assert stats.t.sf((MOERY["bound"] - d) / se, nu) == pytest.approx(MOERY["p"], abs=5e-8)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(("n", "other"), [(2, 2), (3, 3), (3, 2)])
def test_pooled_t_as_statsmodels(seed, n, other):
    rng = np.random.default_rng(seed)
    a, b = rng.normal(30, 1, n), rng.normal(31, 1, other)
    found = pooled(a, b)
    theirs = CompareMeans(DescrStatsW(b), DescrStatsW(a))
    t, p, nu = theirs.ttest_ind()
    assert found.d / found.se == pytest.approx(t, rel=1e-9)
    assert found.p == pytest.approx(p, rel=1e-9)
    assert found.nu == nu
    for level in (0.05, 0.05 / 23, 0.10):
        low, high = theirs.tconfint_diff(alpha=level)
        assert found.half_width(level) == pytest.approx((high - low) / 2, rel=1e-9)


@pytest.mark.parametrize("order", ["abbaabba", "aabbbbaa", "aaaabbbb", "aabbb", "aaabbb", "abbbaabba"])
@pytest.mark.parametrize("seed", range(3))
def test_drift_as_statsmodels_ordinary_least_squares(order, seed):
    rng = np.random.default_rng(seed)
    k = np.sort(rng.choice(np.arange(1, 15), len(order), replace=False)).astype(float)
    setup = np.array([float(name == "b") for name in order])
    y = 30 + 0.3 * k + setup + rng.normal(0, 0.5, k.size)
    found = difference(
        sample(y[setup == 0], k[setup == 0]),
        sample(y[setup == 1], k[setup == 1]),
    )
    theirs = sm.OLS(y, np.column_stack([np.ones_like(y), setup, k])).fit()
    assert found.d == pytest.approx(theirs.params[1], rel=1e-9)
    assert found.se == pytest.approx(theirs.bse[1], rel=1e-9)
    assert found.s == pytest.approx(np.sqrt(theirs.mse_resid), rel=1e-9)
    assert found.nu == theirs.df_resid
    assert found.p == pytest.approx(theirs.pvalues[1], rel=1e-9)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("margin", [0.5, 1.0, 2.0])
def test_inner_interval_inside_the_margin_exactly_when_both_one_sided_tests_reject(seed, margin):
    rng = np.random.default_rng(seed)
    a, b = rng.normal(30, 0.4, 3), rng.normal(30.2, 0.4, 3)
    found = pooled(a, b)
    p, _, _ = ttost_ind(b, a, -margin, margin, usevar="pooled")
    assert (abs(found.d) + found.half_width(0.10) < margin) == (p < 0.05)


def test_order_shift_of_exactly_one_never_rounds_above():
    for ours in combinations(range(1, 9), 3):
        for theirs in combinations([k for k in range(1, 9) if k not in ours], 3):
            a, b = sample(np.zeros(3), ours), sample(np.zeros(3), theirs)
            exact = abs(sum(theirs) - sum(ours)) > 3
            shift = riding_of(a.ridden, b.ridden).shift
            assert fits_drift(3, shift) == exact, (ours, theirs, shift)


def test_four_of_each_always_takes_the_drift_out():
    runs = np.array([30.0, 31.0, 30.4, 30.2])
    balanced = sample(runs, [1, 4, 6, 7]), sample(runs, [2, 3, 5, 8])
    assert riding_of(*(item.ridden for item in balanced)).shift == 0
    assert difference(*balanced).nu == 8 - 3


@given(
    st.floats(-5, 5),
    st.lists(st.floats(-1, 1), min_size=4, max_size=4),
    st.floats(-3, 3),
)
def test_a_straight_drift_cancels_in_abba(slope, noise, step):
    """Each setup's mean place is 2.5: whatever the slope, the difference is the same."""
    a_places, b_places = np.array([1.0, 4.0]), np.array([2.0, 3.0])
    a, b = np.array(noise[:2]), np.array(noise[2:]) + step
    still = difference(sample(a, a_places), sample(b, b_places))
    drifting = difference(sample(a + slope * a_places, a_places), sample(b + slope * b_places, b_places))
    assert drifting.d == pytest.approx(still.d, abs=1e-9)


@given(st.floats(-5, 5), st.lists(st.floats(-1, 1), min_size=8, max_size=8), st.integers(0, 3))
def test_a_fitted_drift_takes_out_any_straight_drift(slope, noise, seed):
    places = np.random.default_rng(seed).permutation(np.arange(1.0, 9.0))
    a, b = np.array(noise[:4]), np.array(noise[4:])
    still = difference(sample(a, places[:4]), sample(b, places[4:]))
    drifting = difference(
        sample(a + slope * places[:4], places[:4]),
        sample(b + slope * places[4:], places[4:]),
    )
    assert drifting.d == pytest.approx(still.d, abs=1e-8)


def test_section_floor_is_the_standard_error_of_section_differences():
    rng = np.random.default_rng(3)
    a, b = rng.normal(30, 1, (3, 12)), rng.normal(31, 1, (2, 12))
    a[0, 4] = b[1, 7] = np.nan
    whole = [s for s in range(12) if s not in (4, 7)]
    each = [sum(b[:, s]) / 2 - sum(a[:, s]) / 3 for s in whole]
    floor = section_floor(sample(a.mean(axis=1), sections=a), sample(b.mean(axis=1), sections=b))
    assert floor.nu == 9
    assert floor.se == pytest.approx(stats.sem(each), rel=1e-12)


def test_under_five_whole_sections_there_is_no_floor():
    a, b = np.ones((2, 6)), np.ones((2, 6))
    a[0, 0] = b[1, 1] = np.nan
    assert section_floor(sample([1, 1], sections=a), sample([1, 1], sections=b)) is None
    a[0, 0] = 1.0
    assert section_floor(sample([1, 1], sections=a), sample([1, 1], sections=b)) is not None


def test_the_wider_of_runs_and_sections_counts():
    rng = np.random.default_rng(5)
    sections = rng.normal(0, 3, (2, 3, 10)) + 30
    a, b = [30.0, 30.1, 29.9], [31.0, 31.1, 30.9]
    found = difference(sample(a, [1, 4, 5], sections[0]), sample(b, [2, 3, 6], sections[1]))
    by_runs = stats.t.isf(0.025, found.nu) * found.se
    by_sections = stats.t.isf(0.025, 9) * found.floor.se
    assert by_sections > by_runs
    assert found.half_width(0.05) == pytest.approx(by_sections, rel=1e-12)
    assert found.p == pytest.approx(2 * stats.t.sf(found.d / found.floor.se, 9), rel=1e-12)


@pytest.mark.parametrize("value", [0.1, 30.0, 1e-9, 12345.678])
def test_rounding_is_no_spread(value):
    third = value / 3 + value / 3 + value / 3
    found = pooled([value, third, value], [2 * value, third * 2, 2 * value])
    assert (found.s, found.se, found.p, found.half_width(0.05)) == (0.0, 0.0, None, None)
