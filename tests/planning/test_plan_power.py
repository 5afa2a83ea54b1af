"""A plan's two chances: against statsmodels' power solver, and against counting outcomes of made days."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.power import TTestIndPower

from telemetry.model.plan import RunsOf
from telemetry.planning.counts import count_chance, detectable_count_change, runs_for_counts, upper_counts
from telemetry.planning.design import certainty
from telemetry.planning.orders import blocks, one_way, over_two_days, rounds
from telemetry.planning.spread import CountSpread, by_setup, pooled_spread, stated_on_log
from telemetry.statistics.counting import Counted, overdispersion
from telemetry.statistics.runs_needed import detectable_change, freedom, runs_for_changed, runs_for_unchanged

LEVELS = (0.05, 4 * 0.05 / 29, 0.05 / 29)
DAYS = 20_000


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("n", [3, 4, 5, 7, 10, 20])
def test_the_detectable_change_needs_so_many_runs_by_statsmodels_too(n, level):
    """Within one run: from 4 runs on this plan gives a degree of freedom to the drift, theirs doesn't."""
    change = detectable_change(n, 0.7, level)
    theirs = TTestIndPower().solve_power(effect_size=change / 0.7, alpha=level, power=0.8)
    assert abs(theirs - n) <= 1
    assert runs_for_changed(0.7, change * (1 + 1e-6), level, most=60) <= n


def seen(orders, change, level, *, drift):
    """Return the share of normal days in which least squares on the design call a true change changed."""
    rng = np.random.default_rng(7)
    setup = np.concatenate([np.array(order, dtype=float) for order in orders])
    place = np.concatenate([np.arange(1, len(order) + 1, dtype=float) for order in orders])
    columns = [np.ones_like(setup), setup]
    columns += [place - place.mean()] if drift else []
    columns += [np.repeat(np.arange(len(orders), dtype=float), [len(o) for o in orders])] if len(orders) > 1 else []
    design = np.column_stack(columns)
    y = rng.normal(size=(DAYS, setup.size)) + change * setup + 0.5 * place * drift
    solve = np.linalg.pinv(design)
    coefficients = y @ solve.T
    residual = y - coefficients @ design.T
    nu = setup.size - design.shape[1]
    s = np.sqrt((residual**2).sum(axis=1) / nu)
    se = s * math.sqrt(np.linalg.inv(design.T @ design)[1, 1])
    return float(np.mean(np.abs(coefficients[:, 1]) > stats.t.isf(level / 2, nu) * se))


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize(
    "orders", [(rounds(2),), (rounds(3),), (rounds(4),), (blocks(4),), (blocks(5),), (blocks(10),)]
)
def test_four_days_of_five_see_the_detectable_change(orders, level):
    n = len(orders[0]) // 2
    change = detectable_change(n, 1.0, level)
    assert seen(orders, change, level, drift=n >= 4) == pytest.approx(0.80, abs=0.05)


@pytest.mark.parametrize("orders", [(one_way(4),), (one_way(6),), over_two_days(3), over_two_days(4)])
def test_one_way_and_a_second_day_see_what_is_said_of_them(orders):
    change = certainty(orders).detectable(LEVELS[1])
    drift = len(orders) == 1 or len(orders[0]) + len(orders[1]) == 8
    assert seen(orders, change, LEVELS[1], drift=drift) == pytest.approx(0.80, abs=0.05)


@pytest.mark.parametrize("margin", [1.5, 2.5])
def test_so_many_runs_have_both_chances(margin):
    level = LEVELS[1]
    n = max(runs_for_unchanged(1.0, margin, most=60), runs_for_changed(1.0, margin, level, most=60))
    assert seen((rounds(n),), margin, level, drift=n >= 4) > 0.75
    rng = np.random.default_rng(3)
    days = rng.normal(size=(DAYS, 2, n))
    d = days[:, 1].mean(axis=1) - days[:, 0].mean(axis=1)
    half = stats.t.isf(0.05, 2 * n - 2) * np.sqrt(days.var(axis=2, ddof=1).mean(axis=1)) * math.sqrt(2 / n)
    assert np.mean(np.abs(d) + half < margin) > 0.75


def test_degrees_of_freedom_follow_the_rule():
    assert [freedom(n) for n in (2, 3, 4, 5)] == [2, 4, 5, 7]


class TestCounts:
    """Rare events: made days of counts, judged by the contract's rule step by step."""

    @staticmethod
    def seen(found, n, change, level):
        rng = np.random.default_rng(5)
        mean = found.rate_per_min * found.minutes

        def counts(m):
            if found.phi <= 1:
                return rng.poisson(m, (DAYS, n))
            p = 1 / found.phi  # negative binomial: variance = phi x mean
            return rng.negative_binomial(m * p / (1 - p), p, (DAYS, n))

        a, b = counts(mean), counts(mean * math.exp(-change))
        total_a, total_b = a.sum(axis=1), b.sum(axis=1)
        d = np.log((total_b + 0.5) / (total_a + 0.5))
        v = 1 / (total_a + 0.5) + 1 / (total_b + 0.5)
        with np.errstate(divide="ignore", invalid="ignore"):
            chi = [
                np.where(t > 0, ((y - (t / n)[:, None]) ** 2 / (t / n)[:, None]).sum(axis=1), 0.0)
                for y, t in ((a, total_a), (b, total_b))
            ]
        phi = (chi[0] + chi[1]) / (2 * n - 2)
        half = np.maximum(stats.t.isf(level / 2, 2 * n - 2) * np.sqrt(phi * v), stats.norm.isf(level / 2) * np.sqrt(v))
        return float(np.mean((np.abs(d) > half) & (total_a + total_b >= 10)))

    @pytest.mark.parametrize("phi", [1.0, 1.5, 3.0])
    @pytest.mark.parametrize("n", [4, 6, 10])
    def test_four_days_of_five_see_the_detectable_fall(self, phi, n):
        found = CountSpread(rate_per_min=16, minutes=4, phi=phi, nu=None)
        change = detectable_count_change(found, n, LEVELS[1])
        assert self.seen(found, n, change, LEVELS[1]) == pytest.approx(0.80, abs=0.05)

    def test_a_rise_by_the_same_factor_is_seen_at_least_as_often(self):
        found = CountSpread(rate_per_min=6, minutes=4, phi=1.0, nu=None)
        change = detectable_count_change(found, 6, LEVELS[1])
        assert self.seen(found, 6, -change, LEVELS[1]) > 0.75

    def test_so_many_runs_have_both_chances(self):
        found = CountSpread(rate_per_min=10, minutes=4, phi=1.3, nu=None)
        n = runs_for_counts(found, math.log(1.5), LEVELS[1], most=60)
        assert self.seen(found, n, math.log(1.5), LEVELS[1]) > 0.75
        assert count_chance(found, n - 1, math.log(1.5), LEVELS[1]) < 0.8

    def test_too_few_events_are_never_enough(self):
        found = CountSpread(rate_per_min=0.2, minutes=4, phi=1.0, nu=None)
        assert detectable_count_change(found, 4, 0.05) is None
        assert runs_for_counts(found, math.log(1.5), LEVELS[1], most=30) is None

    @pytest.mark.parametrize("phi", [1.0, 1.5, 4.0])
    @pytest.mark.parametrize("n", [2, 3, 6])
    def test_the_chance_is_the_rule_averaged_over_every_estimate_of_phi(self, phi, n):
        """With phi as it comes out of 2n - 2: the mean over 20 000 even steps of its chi-square; counts as expected."""
        rate, change, level, nu = 40.0, 0.35, 0.01, 2 * n - 2
        found = CountSpread(rate_per_min=rate, minutes=4, phi=phi, nu=None)
        a, b = (rate * 4 * n * factor + 0.5 for factor in (1.0, math.exp(-change)))
        d, chance_se = math.log(a / b), math.sqrt(1 / a + 1 / b)
        estimated = phi * stats.chi2.ppf((np.arange(DAYS) + 0.5) / DAYS, nu) / nu
        half = np.maximum(stats.t.isf(level / 2, nu) * np.sqrt(estimated), stats.norm.isf(level / 2)) * chance_se
        se = math.sqrt(phi) * chance_se
        by_hand = np.mean(stats.norm.sf((half - d) / se) + stats.norm.cdf((-half - d) / se))
        assert count_chance(found, n, change, level) == pytest.approx(by_hand, abs=2e-4)

    @pytest.mark.parametrize("events", [9.0, 10.0, 14.0])
    def test_ten_events_have_to_happen_at_all(self, events):
        """At a level of nearly 1 everything is seen that is judged: the Poisson chance of ten or more of both."""
        found = CountSpread(rate_per_min=events / 2, minutes=1, phi=1.0, nu=None)
        mean = events * (1 + math.exp(-0.4))
        assert count_chance(found, 2, 0.4, 1 - 1e-9) == pytest.approx(stats.poisson.sf(9, mean), abs=1e-6)

    @pytest.mark.parametrize("phi", [1.0, 2.0])
    def test_where_unchanged_is_the_harder_it_says_how_many(self, phi):
        """At a level of one half a change is soon seen; (t.95 + t.90) sqrt(phi) sqrt(2/(Y + 1/2)) <= margin decides."""
        found, margin = CountSpread(rate_per_min=10, minutes=4, phi=phi, nu=None), math.log(1.3)

        def reach(n):
            quantiles = stats.t.ppf(0.95, 2 * n - 2) + stats.t.ppf(0.90, 2 * n - 2)
            return quantiles * math.sqrt(phi * 2 / (40 * n + 0.5))

        n = runs_for_counts(found, margin, 0.5, most=60)
        assert reach(n) <= margin < reach(n - 1)

    @pytest.mark.parametrize(("a_run", "margin"), [(8.7, math.log(1.3)), (4.0, math.log(1.5))])
    def test_half_an_event_more_counts_there_too(self, a_run, margin):
        """By hand with twice chance's variance: without the half it would take a run more, of 50 and more."""
        found = CountSpread(rate_per_min=a_run, minutes=1, phi=2.0, nu=None)

        def enough(n, half):
            reach = stats.t.ppf(0.95, 2 * n - 2) + stats.t.ppf(0.90, 2 * n - 2)
            return reach * math.sqrt(2.0 * 2 / (a_run * n + half)) <= margin

        wanted, otherwise = (next(n for n in range(2, 99) if enough(n, half)) for half in (0.5, -0.5))
        assert runs_for_counts(found, margin, 0.5, most=99) == wanted == otherwise - 1

    @pytest.mark.parametrize("a_run", [40, 65, 70, 100, 120, 200])
    def test_few_runs_of_many_events_go_by_few_degrees_of_freedom(self, a_run):
        found, margin = CountSpread(rate_per_min=a_run, minutes=1, phi=2.0, nu=None), math.log(1.5)

        def reach(n):
            quantiles = stats.t.ppf(0.95, 2 * n - 2) + stats.t.ppf(0.90, 2 * n - 2)
            return quantiles * math.sqrt(2.0 * 2 / (a_run * n + 0.5))

        assert runs_for_counts(found, margin, 0.5, most=30) == next(n for n in range(2, 30) if reach(n) <= margin) < 9

    def test_the_upper_figure_is_for_an_estimate_only(self):
        known = CountSpread(rate_per_min=5, minutes=4, phi=1.5, nu=None)
        assert upper_counts(known) == known
        guess = CountSpread(rate_per_min=5, minutes=4, phi=1.5, nu=4)
        assert upper_counts(guess).phi == pytest.approx(1.5 * 4 / stats.chi2.ppf(0.2, 4))

    def test_overdispersion_is_pearsons_chi_square_over_its_freedom(self):
        """Against scipy's chi-square statistic for each setup's counts with equal minutes."""
        a, b = np.array([4.0, 9.0, 2.0]), np.array([8.0, 3.0])
        counted = [Counted(events=tuple(y.astype(int).tolist()), minutes=(4.0,) * y.size) for y in (a, b)]
        phi, nu = overdispersion(counted)
        assert nu == 3
        assert phi == pytest.approx((stats.chisquare(a).statistic + stats.chisquare(b).statistic) / 3)
        assert overdispersion([Counted(events=(0, 0, 0), minutes=(1.0, 1.0, 1.0))]) == (0.0, 2)


def runs(setups, values, orders=None):
    return RunsOf(
        source="own runs",
        setups=tuple(setups),
        orders=tuple(orders or range(1, len(values) + 1)),
        values=tuple(values),
        minutes=(4.0,) * len(values),
    )


def test_spread_is_that_of_the_pooled_two_sample_t():
    """Against scipy's equal-variance t test: its standard error holds the same pooled spread."""
    a, b = [30.0, 31.5, 29.9], [33.0, 32.1, 34.0]
    found = pooled_spread(by_setup(runs("abbaab", [a[0], b[0], b[1], a[1], a[2], b[2]])))
    test = stats.ttest_ind(b, a)
    se = (np.mean(b) - np.mean(a)) / test.statistic
    assert found.nu == test.df
    assert found.s == pytest.approx(se / math.sqrt(2 / 3))


def test_from_four_runs_of_each_a_steady_drift_is_no_spread():
    """Against statsmodels' least squares on setup and place."""
    import statsmodels.api as sm

    order = "abbabaab"
    y = 30 + 0.8 * np.arange(8) + np.random.default_rng(2).normal(size=8) * 0.3
    design = np.column_stack([np.ones(8), [c == "b" for c in order], np.arange(1, 9)]).astype(float)
    fit = sm.OLS(y, design).fit()
    found = pooled_spread(by_setup(runs(order, y)))
    assert (found.nu, found.s) == (fit.df_resid, pytest.approx(math.sqrt(fit.scale)))


def test_spread_does_not_depend_on_the_order_of_rows():
    values, setups = [30.0, 31.0, 33.0, 32.0], "abba"
    turned = runs(setups[::-1], values[::-1], [4, 3, 2, 1])
    assert pooled_spread(by_setup(turned)).s == pytest.approx(pooled_spread(by_setup(runs(setups, values))).s)


def test_one_run_of_each_has_no_spread_and_equal_runs_none_beyond_rounding():
    assert pooled_spread(by_setup(runs("ab", [30.0, 31.0]))) is None
    assert pooled_spread(by_setup(runs("aab", [0.1 + 0.2, 0.3, 31.0]))).s == 0


def test_a_drift_is_taken_out_where_every_setup_has_enough_runs():
    values = [30.0, 31.0, 30.5, 33.0, 32.0, 34.0, 33.5, 32.2]
    assert pooled_spread(by_setup(runs("aaabbbbb", values))).nu == 6
    assert pooled_spread(by_setup(runs("aaaabbbb", values))).nu == 5
    assert pooled_spread(by_setup(runs("aaaabbbc", values))).nu == 7 - 2


def test_a_value_of_zero_has_no_logarithm_and_is_left_out():
    groups = by_setup(runs("aab", [1.0, 0.0, math.e]), log=True)
    assert {name: (values.tolist(), orders.tolist()) for name, (values, orders) in groups.items()} == {
        "a": ([0.0], [1.0]),
        "b": ([1.0], [3.0]),
    }


@pytest.mark.parametrize("sigma", [0.02, 0.1, 0.5])
def test_a_stated_spread_on_the_log_scale_is_that_of_a_log_normal(sigma):
    """Against scipy's log-normal: its standard deviation about the geometric mean 900 gives sigma back."""
    assert stated_on_log(float(stats.lognorm(sigma, scale=900).std()), 900.0) == pytest.approx(sigma)
