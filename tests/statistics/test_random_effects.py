"""Days put together: against a published example, the common library, closed forms, and by simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats
from statsmodels.stats.meta_analysis import combine_effects

from telemetry.statistics.random_effects import DayDifferences, scatter, together, variance_between, weighed

EXACT = 1e12
"""Degrees of freedom of a standard error that is known."""

# Colditz et al., JAMA 271 (1994) 698, thirteen trials of BCG vaccine: cases and others, vaccinated and not. From memory
BCG = np.array(
    [
        (4, 119, 11, 128),
        (6, 300, 29, 274),
        (3, 228, 11, 209),
        (62, 13536, 248, 12619),
        (33, 5036, 47, 5761),
        (180, 1361, 372, 1079),
        (8, 2537, 10, 619),
        (505, 87886, 499, 87892),
        (29, 7470, 45, 7232),
        (17, 1699, 65, 1600),
        (186, 50448, 141, 27197),
        (5, 2493, 3, 2338),
        (27, 16886, 29, 17825),
    ],
    dtype=float,
)


def log_risk_ratios() -> tuple[np.ndarray, np.ndarray]:
    ill, well, ill_without, well_without = BCG.T
    treated, others = ill + well, ill_without + well_without
    return np.log(ill / treated / (ill_without / others)), 1 / ill - 1 / treated + 1 / ill_without - 1 / others


def known(d: np.ndarray, variance: np.ndarray) -> DayDifferences:
    """Return days whose standard errors are taken as they are."""
    return of_days(d, [0.0] * len(d), EXACT, least_se=np.sqrt(variance))


def of_days(d: object, se: object, nu: float, **further: object) -> DayDifferences:
    se = np.array(se, dtype=float)
    even = np.ones(len(se))
    told = {"reach": even, "least_se": 0 * even} | further
    return DayDifferences(d=np.array(d, dtype=float), se=se, nu=nu * even, **told)  # type: ignore[arg-type]


def test_the_published_example_of_thirteen_trials() -> None:
    d, variance = log_risk_ratios()
    found = together(known(d, variance))
    # Viechtbauer, J. Stat. Softw. 36 (2010) no. 3, and the documentation of its program; from memory, printed digits
    assert found.scatter == pytest.approx(152.2330, abs=5e-5)
    assert 100 * found.share_between == pytest.approx(92.12, abs=5e-3)
    assert found.between**2 == pytest.approx(0.3181, abs=5e-5)  # Paule and Mandel's; by REML 0.3132
    assert found.mean == pytest.approx(-0.7145, abs=2e-3)  # by REML
    # interval of the variance between trials by the Q-profile: 0.1197 to 1.1115
    assert found.between_most**2 == pytest.approx(1.1115, abs=5e-5)
    assert variance_between(d, variance, float(stats.chi2.ppf(0.975, 12))) == pytest.approx(0.1197, abs=5e-5)


@pytest.mark.parametrize("k", [3, 6, 13])
def test_as_the_common_library_has_it(k: int) -> None:
    d, variance = (values[:k] for values in log_risk_ratios())
    theirs = combine_effects(d, variance, method_re="iterated", use_t=True)
    found = together(known(d, variance))
    assert found.between**2 == pytest.approx(theirs.tau2, rel=1e-3)  # theirs stops at 1e-5
    assert found.mean == pytest.approx(theirs.mean_effect_re, rel=1e-4)
    assert found.scatter == pytest.approx(theirs.q, rel=1e-9)
    unguarded = theirs.sd_eff_w_re_hksj
    assert found.se == pytest.approx(max(unguarded, theirs.sd_eff_w_re), rel=1e-4)
    assert (found.se > 1.01 * unguarded) == (k == 3)  # three that agree by luck: Q is 0.9 on 2
    half = found.half_width(0.05) * unguarded / found.se
    low, high = theirs.conf_int()[3]  # random effects, Hartung and Knapp, by Student's t
    assert (found.mean - half, found.mean + half) == pytest.approx((low, high), rel=1e-3)


def test_days_told_equally_well_have_closed_forms() -> None:
    d, v = np.array([0.3, 1.1, -0.4, 2.0, 0.9]), 0.04
    found = together(known(d, np.full(5, v)))
    assert found.mean == pytest.approx(d.mean(), rel=1e-12)
    assert found.between**2 == pytest.approx(d.var(ddof=1) - v, rel=1e-9)
    assert found.se == pytest.approx(d.std(ddof=1) / math.sqrt(5), rel=1e-9)  # the t of the five figures alone
    assert found.p == pytest.approx(stats.ttest_1samp(d, 0.0).pvalue, rel=1e-9)
    assert found.shares == pytest.approx((0.2,) * 5)
    assert found.next_half_width(0.05) == pytest.approx(
        stats.t.ppf(0.975, 3) * math.sqrt(found.between**2 + found.se**2), rel=1e-12
    )


def test_days_that_agree_too_well_narrow_nothing() -> None:
    variance = np.array([0.04, 0.09, 0.01])
    found = together(known(np.array([1.0, 1.0001, 1.0]), variance))
    assert found.between == 0
    assert found.se == pytest.approx(math.sqrt(1 / (1 / variance).sum()), rel=1e-9)  # fixed effect's, t in place of z
    assert found.half_width(0.05) > 1.96 * found.se
    assert found.share_between == 0
    assert found.p_alike == pytest.approx(1, abs=1e-4)


def test_fewer_than_three_and_what_has_no_error_are_refused() -> None:
    with pytest.raises(ValueError, match="2 days"):
        together(of_days([1, 1], [0.1, 0.1], 4))
    with pytest.raises(ValueError, match="without a standard error"):
        together(of_days([1, 1, 1], [0, 0, 0], 4))


def test_a_day_that_happens_to_scatter_little_does_not_rule() -> None:
    se = [0.15, *(0.5,) * 5]
    assert weighed(of_days([0] * 6, se, 4))[0] > 0.25
    counted = of_days([0] * 6, se, 4, least_se=np.full(6, 0.2), counted=True)
    assert weighed(counted).tolist() == [0.2, *(0.5,) * 5]  # chance alone is known
    few = of_days([0] * 3, [0.1, 0.2, 0.3], 2)
    assert weighed(few) == pytest.approx((0.1, 0.2, 0.3))  # 6 degrees of freedom, of the 8 that it takes


def test_runs_of_each_are_told_from_the_spread_between_runs() -> None:
    reach = np.array([1.0, 0.5, 0.25, 1.0])
    half_as_far = of_days([0] * 4, 0.4 * reach, 10, reach=reach)
    assert weighed(half_as_far) == pytest.approx(0.4 * reach, rel=0.05)


figures = st.lists(
    st.tuples(st.floats(-5, 5), st.floats(0.05, 2)), min_size=3, max_size=8, unique_by=lambda item: item[0]
)


@given(figures, st.floats(-3, 3), st.floats(0.1, 10))
def test_shifted_and_scaled_differences_shift_and_scale(days: list, shift: float, scale: float) -> None:
    plain = together(of_days(*zip(*days, strict=True), 5))
    moved = together(of_days([scale * (d + shift) for d, _ in days], [scale * se for _, se in days], 5))
    assert moved.mean == pytest.approx(scale * (plain.mean + shift), rel=1e-6, abs=1e-6 * scale)
    assert moved.se == pytest.approx(scale * plain.se, rel=1e-5)
    assert moved.between == pytest.approx(scale * plain.between, rel=1e-4, abs=1e-4 * scale)


@given(figures)
def test_scatter_is_as_wanted_at_the_variance_between(days: list) -> None:
    d, variance = np.array([item[0] for item in days]), np.array([item[1] for item in days]) ** 2
    between = variance_between(d, variance, len(days) - 1)
    if between > 0:
        assert scatter(d, variance, between) == pytest.approx(len(days) - 1, rel=1e-6)
    else:
        assert scatter(d, variance, 0.0) <= len(days) - 1


def covered(k: int, nu: float, tau: float, *, rounds: int = 1500) -> tuple[float, float]:
    """Return how often the interval of the mean holds the truth, and the next day's its true difference, at 95 %."""
    chance = np.random.default_rng([k, int(nu), int(10 * tau)])
    mean_in = next_in = 0
    for _ in range(rounds):
        sigma = np.exp(chance.normal(0, 0.3, k))
        d = chance.normal(0, tau, k) + chance.normal(0, sigma)
        se = sigma * np.sqrt(chance.chisquare(nu, k) / nu)
        found = together(of_days(d, se, nu))
        mean_in += abs(found.mean) <= found.half_width(0.05)
        next_in += abs(found.mean - chance.normal(0, tau)) <= found.next_half_width(0.05)
    return mean_in / rounds, next_in / rounds


@pytest.mark.parametrize(("k", "nu", "tau"), [(3, 4, 0.0), (3, 4, 1.0), (5, 4, 0.5), (8, 2, 0.5), (8, 4, 1.0)])
def test_intervals_hold_what_they_say(k: int, nu: float, tau: float) -> None:
    """Run-to-run spreads of days vary by 0.3 in the logarithm; differences in standard errors of a day."""
    mean_in, next_in = covered(k, nu, tau)
    slack = 2 * math.sqrt(0.95 * 0.05 / 1500)
    assert mean_in >= 0.95 - slack
    assert next_in >= 0.88  # days that differ by about their standard error are told worst


def test_a_day_weighed_by_its_own_few_runs_alone_misses_too_often() -> None:
    """What `weighed` is for: by each day's own spread the same interval holds the truth too seldom."""
    chance, missed, rounds = np.random.default_rng(8), 0, 1500
    for _ in range(rounds):
        sigma = np.exp(chance.normal(0, 0.3, 8))
        d = chance.normal(0, 0.5, 8) + chance.normal(0, sigma)
        own = sigma * np.sqrt(chance.chisquare(2, 8) / 2)
        found = together(known(d, own**2))
        missed += abs(found.mean) > -float(special.stdtrit(7, 0.025)) * found.se
    assert missed / rounds > 0.07
