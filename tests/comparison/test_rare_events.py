"""Rates of rare events: the rule for counts against the reference library's Poisson model, and by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from telemetry import comparison
from telemetry.statistics.counting import Counted, overdispersion, rate_ratio
from telemetry.telling.results import sentence
from tests.comparison.days import row
from tests.statistics.by_the_library import fewest_runs, upper

CLOSE = 1e-9
COUNTS = st.lists(st.integers(0, 40), min_size=2, max_size=6)


def setup_of(events, minutes=None):
    return Counted(events=tuple(events), minutes=tuple(minutes or [3.0] * len(events)))


def judged(setups, events, **more):
    """Return the result of one row of counts; every run lasts 3 minutes."""
    counts = row(setups, [None if y is None else y / 3 for y in events], measure="deep_hits_per_min", **more)
    return comparison.verdicts([counts], baseline="a", candidates=["b"])


def in_family(found):
    """Return how many rows take part in the families."""
    return found.looked_at("b")


def only(setups, events, **more):
    return judged(setups, events, **more).results[0]


def poisson(baseline, candidate):
    """Return the library's fit of log rate on setup, minutes as exposure."""
    events = np.array([*baseline.events, *candidate.events], dtype=float)
    minutes = np.array([*baseline.minutes, *candidate.minutes])
    setup = np.r_[np.zeros(len(baseline.events)), np.ones(len(candidate.events))]
    model = sm.GLM(events, sm.add_constant(setup), family=sm.families.Poisson(), exposure=minutes)
    return model.fit(scale="X2", tol=1e-14, maxiter=200)


def test_overdispersion_is_pearsons_of_the_poisson_model():
    """statsmodels 0.14 or later, GLM with scale X2: Pearson's chi-square over the degrees of freedom."""
    a = setup_of([14, 22, 9, 17], [2.9, 3.1, 3.0, 2.7])
    b = setup_of([31, 20, 27], [3.0, 3.3, 2.8])
    phi, nu = overdispersion((a, b))
    fit = poisson(a, b)
    assert nu == fit.df_resid == 5
    assert phi == pytest.approx(fit.scale, rel=CLOSE)


def test_without_the_half_event_the_ratio_and_its_error_are_the_poisson_models():
    """The library fitted to each setup's total with half an event more gives our d and sqrt(v); with phi, our SE."""
    a, b = setup_of([14, 22, 9, 17]), setup_of([31, 20, 27, 40])
    found = rate_ratio(a, b)
    halves = np.outer([a.total + 0.5, b.total + 0.5], [0.4, 0.6]).ravel()  # two rows each, or nothing is left over
    minutes = np.repeat([a.exposure_min, b.exposure_min], 2) / 2
    design = np.column_stack([np.ones(4), [0, 0, 1, 1]])
    fit = sm.GLM(halves, design, family=sm.families.Poisson(), exposure=minutes).fit(scale=1.0, tol=1e-14, maxiter=200)
    assert found.d == pytest.approx(fit.params[1], rel=CLOSE)
    assert math.sqrt(found.variance) == pytest.approx(fit.bse[1], rel=CLOSE)
    spread = math.sqrt(poisson(a, b).scale) * fit.bse[1]
    assert found.half_width(0.05) == pytest.approx(stats.t.isf(0.025, 6) * spread, rel=CLOSE)
    assert found.p == pytest.approx(2 * stats.t.sf(abs(found.d) / spread, 6), rel=CLOSE)


def test_runs_that_agree_too_well_do_not_narrow_what_chance_leaves():
    found = rate_ratio(setup_of([20, 20, 20]), setup_of([30, 30, 30]))
    assert found.phi == 0
    assert found.half_width(0.05) == pytest.approx(stats.norm.isf(0.025) * math.sqrt(1 / 60.5 + 1 / 90.5), rel=CLOSE)
    assert found.p == pytest.approx(
        2 * stats.norm.sf(math.log(90.5 / 60.5) / math.sqrt(1 / 60.5 + 1 / 90.5)), rel=CLOSE
    )


def test_the_spread_that_plans_more_runs_is_never_below_chance():
    """It gives sqrt(max(phi, 1) v) as the error of 3 against 3: by hand, with phi 0 and with phi over 1."""
    even, wide = (rate_ratio(setup_of(y), setup_of([30, 30, 30])) for y in ([20, 20, 20], [5, 35, 20]))
    variance = 1 / 60.5 + 1 / 90.5
    assert (even.phi, wide.phi) == (0.0, pytest.approx((225 + 225) / 20 / 4))
    assert even.s * math.sqrt(2 / 3) == pytest.approx(math.sqrt(variance), rel=CLOSE)
    assert wide.s * math.sqrt(2 / 3) == pytest.approx(math.sqrt(wide.phi * variance), rel=CLOSE)


def test_spread_from_run_to_run_is_of_the_runs_of_each():
    found = rate_ratio(setup_of([4, 6]), setup_of([5, 7, 6, 8, 9]))
    assert found.s * math.sqrt(1 / 2 + 1 / 5) == pytest.approx(math.sqrt(max(found.phi, 1) * found.variance), rel=CLOSE)


def test_two_runs_of_one_setup_are_enough_to_tell_overdispersion():
    """Means of 6 and 6: twice (10 - 6)^2 / 6 over one degree of freedom."""
    assert overdispersion([setup_of([2, 10]), setup_of([6])]) == (pytest.approx(2 * 16 / 6), 1)


def test_one_run_of_each_leaves_overdispersion_at_chance():
    assert overdispersion([setup_of([3]), setup_of([9])]) == (1.0, 0)
    assert overdispersion([]) == (1.0, 0)


def test_an_interval_takes_one_degree_of_freedom():
    """Two runs and one: quantiles of t on 1. One run of each: no interval and no p."""
    found, none = rate_ratio(setup_of([2, 10]), setup_of([6])), rate_ratio(setup_of([3]), setup_of([9]))
    spread = math.sqrt(16 / 3 * (1 / 12.5 + 1 / 6.5))
    assert found.half_width(0.05) == pytest.approx(stats.t.isf(0.025, 1) * spread, rel=CLOSE)
    assert found.p == pytest.approx(2 * stats.t.sf(abs(math.log(13 / 12.5)) / spread, 1), rel=CLOSE)
    assert (none.half_width(0.05), none.p) == (None, None)


def test_more_runs_are_told_from_one_degree_of_freedom_on():
    """By the library's noncentral t at the count's own spread, which is chance's here: 3 against 3."""
    found = only("abbaab", [14, 16, 16, 14, 14, 16])
    s = math.sqrt((1 / 42.5 + 1 / 48.5) / (2 / 3))
    assert found.verdict == "undecided"
    assert found.more_runs == max(1, fewest_runs(s, math.log(1.5), 0.05) - 3)
    assert found.more_runs_upper == fewest_runs(upper(s, 4), math.log(1.5), 0.05) - 3
    assert only("abb", [60, 70, 80]).more_runs is not None
    assert (only("ab", [60, 70]).more_runs, only("ab", [60, 70]).more_runs_upper) == (None, None)


def test_a_setup_without_events_adds_no_spread():
    phi, nu = overdispersion((setup_of([0, 0, 0]), setup_of([4, 8, 6])))
    assert (phi, nu) == (pytest.approx((4 + 4 + 0) / 6 / 4), 4)


@given(COUNTS, COUNTS)
def test_the_other_way_round_it_is_the_same_with_the_other_sign(first, second):
    there, back = rate_ratio(setup_of(first), setup_of(second)), rate_ratio(setup_of(second), setup_of(first))
    assert there.d == pytest.approx(-back.d, abs=1e-12)
    assert there.p == pytest.approx(back.p, abs=1e-12)
    assert there.half_width(0.01) == pytest.approx(back.half_width(0.01), rel=1e-12)


@given(COUNTS, COUNTS, st.floats(0.001, 0.2))
def test_the_interval_leaves_out_none_exactly_where_p_is_below_the_level(first, second, level):
    found = rate_ratio(setup_of(first), setup_of(second))
    if abs(found.p - level) > 1e-6:
        assert (abs(found.d) > found.half_width(level)) == (found.p < level)


def test_values_are_raw_rates_and_differences_have_half_an_event_more():
    found = only("abba", [3, 6, 9, 3])
    rate_a, rate_b = (6 + 0.5) / 6.0, (15 + 0.5) / 6.0  # 3 minutes a run
    assert (found.baseline_value, found.candidate_value) == (1.0, 2.5)
    assert found.difference == pytest.approx(rate_b - rate_a)
    assert found.percent.difference == pytest.approx(100 * (rate_b / rate_a - 1))
    assert found.smallest_change_high == pytest.approx(rate_a * 0.5)
    assert found.smallest_change_low == pytest.approx(rate_a * (1 / 1.5 - 1))
    half = rate_ratio(setup_of([3, 3]), setup_of([6, 9])).half_width(found.level)
    assert found.low == pytest.approx(rate_a * math.expm1(math.log(rate_b / rate_a) - half))
    assert found.high == pytest.approx(rate_a * math.expm1(math.log(rate_b / rate_a) + half))


def test_many_events_decide_both_ways():
    more = only("abbaab", [20, 60, 66, 24, 22, 58])
    assert more.verdict == "changed"
    assert "between" in sentence(more)
    assert "a minute" in sentence(more)
    same = only("abbaab", [120, 118, 124, 121, 119, 122])
    assert same.verdict == "unchanged"


def test_two_against_three_decide_nothing():
    found = judged("abbaab", [1, 1, 1, 0, 1, 1])
    counts = found.results[0]
    assert counts.verdict == "undecided"
    assert counts.reason == "5 events in all, at least 10 needed"
    assert in_family(found) == 0
    assert counts.low < counts.difference < counts.high
    assert "between" not in sentence(only("abbaab", [0, 0, 0, 0, 0, 0]))


def test_ten_events_are_enough_to_be_judged():
    assert in_family(judged("abbaab", [1, 2, 2, 2, 1, 1])) == 0
    assert in_family(judged("abbaab", [2, 2, 2, 2, 1, 1])) == 1


def test_counts_ridden_one_way_cannot_be_told_from_the_order():
    assert only("aabb", [20, 22, 60, 66]).reason == "can't tell the change from the order ridden"
    assert in_family(judged("abab", [20, 60, 22, 66])) == 1  # one place apart is allowed


def test_one_run_of_each_decides_nothing():
    found = only("ab", [20, 60])
    assert (found.verdict, found.low, found.p) == ("undecided", None, None)
    assert found.reason.startswith("one run of each")
    assert only("aba", [20, 60, 22]).reason.startswith("fewer than two runs")


def test_focus_on_counts_weighs_like_any_other():
    rows = [
        row("abbaab", [30, 31, 29, 30, 31, 29.5], measure=n) for n in ("travel_p95", "hit_depth_10_per_min", "packing")
    ]
    rows += [row("abbaab", [30, 31, 29, 30, 31, 29.5], end="rear")]
    events = [y / 3 for y in (20, 30, 33, 24, 22, 29)]
    plain, focus = (
        comparison.verdicts(
            [*rows, row("abbaab", events, measure="deep_hits_per_min", focus=named)], baseline="a", candidates=["b"]
        )
        for named in (False, True)
    )
    assert [(family.group, family.m) for family in plain.families] == [("all", 5)]
    assert [(family.group, family.m) for family in focus.families] == [("focus", 1), ("other", 4)]
    assert focus.results[-1].level > plain.results[-1].level


def test_counts_of_two_days_cannot_be_told_from_the_day():
    counts = row("abbaab", [y / 3 for y in (20, 60, 66, 24, 22, 58)], measure="deep_hits_per_min")
    runs = tuple(replace(item, run=replace(item.run, day=1 + (item.run.order > 3))) for item in counts.runs)
    found = comparison.verdicts([replace(counts, runs=runs)], baseline="a", candidates=["b"]).results[0]
    assert (found.verdict, found.reason) == ("undecided", "can't tell the change from the day ridden")
