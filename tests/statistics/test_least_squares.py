"""The one fit, against the reference library's ordinary least squares on levels and covariates."""

import numpy as np
import pytest
import statsmodels.api as sm

from telemetry.statistics.least_squares import ROUNDING, least_squares

CLOSE = 1e-9


def made(sizes, covariates, seed=0):
    rng = np.random.default_rng(seed)
    columns = [rng.normal(3, 2, (size, covariates)) for size in sizes]
    values = [30 + 2 * place + x.sum(axis=1) + rng.normal(size=len(x)) for place, x in enumerate(columns)]
    return values, columns


def theirs(values, columns):
    """Return the library's fit on a dummy for each group but the first, the intercept and the covariates."""
    group = np.repeat(np.arange(len(values)), [len(item) for item in values])
    dummies = (group[:, None] == np.arange(1, len(values))).astype(float)
    design = np.column_stack([np.ones(group.size), dummies, np.vstack(columns)])
    return sm.OLS(np.concatenate(values), design).fit()


@pytest.mark.parametrize("sizes", [(2, 3), (4, 4), (5, 3)])
@pytest.mark.parametrize("covariates", [0, 1, 2])
def test_difference_slopes_and_their_errors_are_the_librarys(sizes, covariates):
    values, columns = made(sizes, covariates)
    found, other = least_squares(values, columns), theirs(values, columns)
    d, reach = found.difference, found.design.reach
    assert found.nu == other.df_resid
    assert found.s == pytest.approx(np.sqrt(other.mse_resid), rel=CLOSE)
    assert d == pytest.approx(other.params[1], rel=CLOSE)
    assert found.s * reach == pytest.approx(other.bse[1], rel=CLOSE)
    assert found.slopes == pytest.approx(other.params[2:], rel=CLOSE)
    errors = [found.slope_error(place) for place in range(covariates)]
    assert errors == pytest.approx(other.bse[2:].tolist(), rel=CLOSE)


def test_three_groups_share_their_slopes_and_their_spread():
    values, columns = made((3, 4, 3), 1, seed=5)
    found, other = least_squares(values, columns), theirs(values, columns)
    assert (found.nu, found.s) == (other.df_resid, pytest.approx(np.sqrt(other.mse_resid), rel=CLOSE))
    assert found.slopes == pytest.approx(other.params[3:], rel=CLOSE)


def test_one_degree_of_freedom_is_enough_and_none_is_not():
    values, columns = made((2, 2), 1)
    assert least_squares(values, columns).nu == 1
    assert least_squares(*made((2, 2), 2)) is None
    assert least_squares(*made((2, 1), 1)) is None


def test_a_covariate_that_is_the_group_or_another_can_not_be_fitted():
    values, _ = made((4, 4), 0)
    own = [np.full((4, 1), float(place)) for place in (0, 1)]
    assert least_squares(values, own) is None
    places = [np.arange(4.0), np.arange(4.0) + 3]
    assert least_squares(values, [np.column_stack([x, 2 * x + 1]) for x in places]) is None
    assert least_squares(values, [x[:, None] for x in places]) is not None


@pytest.mark.parametrize("level", [0.03, 30.0, 4e7])
@pytest.mark.parametrize(("times", "varies"), [(0.5, False), (2.0, True)])
def test_a_spread_counts_from_rounding_of_the_largest_value_on(level, times, varies):
    """One value of two groups of three lies off by so much: s is that times sqrt(2/3)/2."""
    off = times * ROUNDING * level * 2 / np.sqrt(2 / 3)
    fit = least_squares([level * np.ones(3), np.array([level + off, level, level])], [np.empty((3, 0))] * 2)
    assert (fit.spread > 0) == varies
    assert fit.spread in (0.0, fit.s)


def test_the_largest_of_all_values_says_what_is_rounding():
    """Two groups on one line through 0 to 70: what is left over is rounding of 70, not of 0 or of the first group."""
    places = [np.array([0.0, 3.0, 5.0, 6.0]), np.array([1.0, 2.0, 4.0, 7.0])]
    fit = least_squares([10 * x + 1e-11 * (x == 3) for x in places], [x[:, None] for x in places])
    assert 0 < fit.s < 1e-11
    assert fit.spread == 0.0
    far = [np.array([1.0, 1.0, 1.0 + 1e-9]), np.full(3, 1e4)]
    assert least_squares(far, [np.empty((3, 0))] * 2).spread == 0.0
