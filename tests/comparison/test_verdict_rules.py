"""Every branch of the verdict rule, on days whose answer is known in closed form."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from telemetry import comparison
from telemetry.model.catalogue import FAMILY_ROWS
from telemetry.model.day import SmallestChange
from telemetry.telling.results import sentence
from tests.comparison.days import row

TWO_POINTS = SmallestChange(amount=2.0, form="points", entered="2 points")


def judge(*rows, candidates=("b",), **rules):
    return comparison.verdicts(rows, baseline="a", candidates=candidates, rules=comparison.Rules(**rules))


def only(*rows, **rules):
    (result,) = judge(*rows, **rules).results
    return result


def family(found, group="all", candidate="b"):
    """Return the one family of a candidate's rows of this group."""
    (one,) = [item for item in found.families if (item.group, item.candidate) == (group, candidate)]
    return one


def test_changed():
    found = only(row("abbaab", [30, 36, 36.2, 30.2, 30.1, 36.1]))
    assert (found.verdict, found.reason, found.selected) == ("changed", "", True)
    assert found.difference == pytest.approx(6.0)
    assert found.low > found.smallest_change_high == 2.0
    assert found.level == 0.05
    s = 0.1  # 30, 30.1, 30.2 about their mean
    half = stats.t.isf(0.025, 4) * s * math.sqrt(2 / 3)
    assert (found.low, found.high) == pytest.approx((6 - half, 6 + half))
    assert found.p == pytest.approx(2 * stats.t.sf(6 / (s * math.sqrt(2 / 3)), 4))


def test_changed_but_may_be_less():
    found = only(row("abbaab", [30, 32.2, 32.6, 30.4, 30.2, 32.4]))
    assert found.verdict == "changed"
    assert found.reason == "may be less than what matters"
    assert 0 < found.low < 2.0


def test_unchanged():
    found = only(row("abbaab", [30, 30.1, 29.8, 30.2, 29.9, 30.0]))
    assert (found.verdict, found.selected) == ("unchanged", False)
    assert -2.0 < found.inner_low < found.inner_high < 2.0
    half = stats.t.isf(0.05, 4) * math.sqrt(0.28 / 3 / 4 * 2 / 3)
    assert found.inner_high - found.inner_low == pytest.approx(2 * half)


def test_real_but_too_small_to_matter():
    found = only(row("abbaab", [30, 30.5, 30.52, 30.02, 30.01, 30.51]))
    assert found.verdict == "unchanged"
    assert found.selected
    assert found.reason == "real but too small to matter"
    assert found.low > 0


def test_undecided_says_how_many_more_runs():
    found = only(row("abbaab", [29, 31, 33, 31, 30, 32]))
    assert found.verdict == "undecided"
    assert found.low < 0 < found.high
    assert 1 <= found.more_runs < found.more_runs_upper <= 30
    assert found.reason == ""


def test_undecided_beyond_thirty_more_runs():
    found = only(row("abbaab", [20, 35, 41, 38, 29, 22]))
    assert (found.verdict, found.more_runs, found.more_runs_upper) == ("undecided", None, None)
    assert found.reason == "more runs will not settle this; a longer trail or a larger change may"


def test_two_of_each_ridden_in_blocks_is_barred_however_clear():
    found = judge(row("aabb", [30, 30.1, 40, 40.3]), row("abba", [30, 40.1, 40, 30.1], end="rear"))
    front, rear = found.results
    assert (front.verdict, front.selected) == ("undecided", False)
    assert front.reason.startswith("can't tell the change from the order ridden")
    assert rear.verdict == "changed"
    assert family(found).m == 1
    assert front.level == 0.05


def test_three_of_each_in_blocks_has_the_drift_taken_out_and_stands():
    """a = 30 + k/10, b = 6 more: the drift explains all but a little noise, and both values stand at mid-day."""
    noise = np.array([0.02, -0.01, 0.0, 0.01, -0.02, 0.01])
    values = 30 + 0.1 * np.arange(1, 7) + noise + np.array([0, 0, 0, 6, 6, 6])
    found = only(row("aaabbb", values))
    assert found.verdict == "changed"
    assert found.difference == pytest.approx(6.0, abs=0.05)
    assert found.baseline_value == pytest.approx(30.35, abs=0.05)
    assert found.candidate_value - found.baseline_value == pytest.approx(found.difference, rel=1e-12)
    assert found.taken_out == ("drift",)


def test_no_spread_is_barred():
    found = only(row("abba", [30, 31, 31, 30]))
    assert (found.verdict, found.reason) == ("undecided", "does not vary at this resolution")
    assert (found.low, found.high, found.inner_low, found.inner_high, found.p, found.level) == (None,) * 6
    assert found.difference == 1.0


def test_two_of_each_without_a_section_floor_is_barred():
    found = judge(row("abba", [30, 36, 36.1, 30.1], sections=4))
    assert found.results[0].verdict == "undecided"
    assert "fewer than 5 trail sections" in found.results[0].reason
    assert found.results[0].low is not None
    assert family(found).m == 0


def test_three_of_each_without_a_section_floor_is_judged_and_says_so():
    found = only(row("abbaab", [30, 36, 36.2, 30.2, 30.1, 36.1], sections=4))
    assert found.verdict == "changed"
    assert "fewer than 5" in found.reason


def test_sections_that_disagree_widen_the_interval():
    calm = only(row("abbaab", [30, 31, 31.2, 30.2, 30.1, 31.1]))
    rough = only(row("abbaab", [30, 31, 31.2, 30.2, 30.1, 31.1], noise=8.0))
    assert (calm.verdict, rough.verdict) == ("unchanged", "undecided")
    assert rough.high - rough.low > 3 * (calm.high - calm.low)


def test_one_run_of_each():
    day = row("ab", [30, 36], noise=0.5)
    found = only(day)
    each = day.runs[1].sections - day.runs[0].sections
    assert found.verdict == "undecided"
    assert found.reason == "one run of each: this holds only for this pair of runs"
    assert found.difference == found.candidate_value - found.baseline_value == 6.0 != pytest.approx(each.mean())
    half = stats.t.isf(0.025, 19) * stats.sem(each)
    assert (found.low, found.high) == pytest.approx((6.0 - half, 6.0 + half))
    assert (found.p, found.more_runs, found.inner_low) == (None, None, None)


def test_one_run_of_each_differs_by_its_own_values_where_sections_hold_another_measure():
    found = only(row("ab", [2000, 2500], measure="compression_speed_10_per_min", noise=30.0))
    assert found.difference == pytest.approx(500.0)
    assert found.low < 500.0 < found.high


def test_one_run_against_three_is_no_family_row_either():
    found = judge(row("abbb", [30, 36, 36.1, 35.9]), row("abba", [30, 36, 36.1, 30.1], end="rear"))
    assert found.results[0].verdict == "undecided"
    assert found.results[0].p is None
    assert family(found).m == 1


def test_log_rows_are_geometric_and_in_percent():
    values = np.array([1000, 800, 820, 1020, 1010, 810.0])
    found = only(row("abbaab", values, measure="rebound_speed_10_per_min"))
    a, b = values[[0, 3, 4]], values[[1, 2, 5]]
    assert found.baseline_value == pytest.approx(stats.gmean(a))
    assert found.candidate_value == pytest.approx(stats.gmean(b))
    assert found.difference == pytest.approx(stats.gmean(b) - stats.gmean(a))
    assert found.percent.difference == pytest.approx(100 * (stats.gmean(b) / stats.gmean(a) - 1))
    low, high = stats.ttest_ind(np.log(b), np.log(a)).confidence_interval(0.95)
    assert (found.percent.low, found.percent.high) == pytest.approx(tuple(100 * np.expm1([low, high])))
    assert (found.low, found.high) == pytest.approx(tuple(stats.gmean(a) * np.expm1([low, high])))
    assert found.percent.smallest_change_high == pytest.approx(10.0)
    assert found.percent.smallest_change_low == pytest.approx(100 * (1 / 1.1 - 1))
    assert found.smallest_change_high == pytest.approx(0.1 * stats.gmean(a))
    assert found.axis.difference == pytest.approx(math.log(stats.gmean(b) / stats.gmean(a)) / math.log(1.1))


def test_a_smallest_change_in_the_measures_unit_is_a_share_of_the_baseline():
    unit = SmallestChange(amount=25.0, form="unit", entered="25 mm/s")
    found = only(row("abbaab", [500, 510, 505, 500, 500, 507], measure="rebound_speed_10_per_min", change=unit))
    assert found.smallest_change_high == pytest.approx(25.0)
    assert found.percent.smallest_change_high == pytest.approx(5.0)


def test_a_value_of_zero_on_the_log_scale_does_not_enter():
    found = only(row("abbaabb", [1.0, 1.2, 1.21, 1.01, 1.02, 0.0, 1.22], measure="recovery_time"))
    assert (found.n_baseline, found.n_candidate) == (3, 3)


def test_a_setup_without_a_value_still_has_its_row():
    found = only(row("abba", [30, None, None, 31]))
    assert found.verdict == "undecided"
    assert found.reason == "3 hits, at least 5 needed"
    assert (found.difference, found.low, found.p, found.axis) == (None, None, None, None)
    assert (found.n_baseline, found.n_candidate) == (2, 0)


def test_runs_without_the_measure_shift_the_order_of_those_that_have_it():
    """a b b a with the first b missing leaves one run; with 4 + 4 the mean places move."""
    found = only(row("aabbbbaa", [30, None, 36, 36.2, 36.1, 36, None, 30.1]))
    assert (found.n_baseline, found.n_candidate) == (2, 4)
    assert not found.reason.startswith("can't tell")  # a: 1, 8; b: 3, 4, 5, 6: same mean place
    skewed = only(row("aabbbbaa", [30, 30.2, 36, 36.2, 36.1, 36, None, None]))
    assert skewed.reason.startswith("can't tell the change from the order ridden")


def test_levels_are_those_of_the_family():
    """Two stand among four: the selected are shown at 2 q/4, the others at 3 q/4."""
    clear = [30, 36, 36.2, 30.2, 30.1, 36.1]
    dim = [30, 31, 29, 30.5, 31, 29.5]
    rows = [
        row("abbaab", values, measure=name, end=end)
        for (name, end), values in {
            ("dynamic_sag", "front"): clear,
            ("dynamic_sag", "rear"): clear,
            ("travel_p95", "front"): dim,
            ("travel_p95", "rear"): dim,
        }.items()
    ]
    found = judge(*rows)
    assert family(found).selected == 2
    assert [r.level for r in found.results] == pytest.approx([0.025, 0.025, 0.0375, 0.0375])


def test_an_endless_interval_is_null_and_not_a_crash():
    found = only(row("aabb", [1e-6, 1e6, 1e7, 1e-5], measure="rebound_speed_10_per_min"))
    assert found.high is None
    assert found.percent.high is None
    assert found.low == pytest.approx(-found.baseline_value)
    json.dumps(found.to_dict(), allow_nan=False)


def test_every_row_of_the_catalogue_has_one_result_that_json_can_hold():
    rng = np.random.default_rng(4)
    rows = [row("abba", np.abs(rng.normal(30, 1, 4)), measure=spec.name, end=end) for spec, end in FAMILY_ROWS]
    found = judge(*rows)
    assert len(found.results) == len(rows) == 43
    assert family(found).m == 43
    for result in found.results:
        json.dumps(result.to_dict(), allow_nan=False)
        assert sentence(result).endswith(".")


def test_at_the_rear_shares_of_stroke_are_told():
    curve = (np.array([0.0, 100.0]), np.array([0.0, 90.0]))
    base = replace(row("abba", [30, 31, 31.2, 30.2], end="rear"), stroke_shares={"a": curve, "b": curve})
    assert "% of stroke" in sentence(only(base))
    assert only(base).travel.baseline_stroke_pct == pytest.approx(0.9 * 30.1)


def test_each_setup_is_told_in_mm_of_its_own_full_travel():
    made = replace(row("abba", [30, 32, 32.2, 30.2]), full_travel_mm={"a": 160.0, "b": 180.0})
    travel = only(made).travel
    assert (travel.baseline_mm, travel.candidate_mm) == pytest.approx((0.301 * 160, 0.321 * 180))
