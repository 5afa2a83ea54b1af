"""One fit behind a row: a candidate's value less the baseline's is its difference, whatever was taken out."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest
from scipy import stats

from telemetry import comparison
from telemetry.comparison.judging import compares
from telemetry.model.catalogue import IN_MM
from telemetry.model.day import SAME_TRAVEL_MM
from telemetry.statistics.earlier_days import Borrowed
from tests.comparison.days import row

FULL = {"a": 160.0, "b": 200.0}
ORDERS = ("ab", "abb", "abba", "aabb", "abbaab", "aaabbb", "aabbbbaa", "aaaabbbb", "babbab", "abbabaab")
SCALES = {"raw": "dynamic_sag", "log": "rebound_speed_10_per_min"}


def in_mm(made, full=FULL):
    """Return a share of full travel as the row in mm that stands beside it."""
    runs = tuple(replace(run, value=run.value * full[run.run.setup] / 100, sections=run.sections) for run in made.runs)
    return replace(made, spec=IN_MM[made.spec.name], runs=runs, full_travel_mm=MappingProxyType(full))


def only(made, **rules):
    (result,) = comparison.verdicts([made], baseline="a", candidates=["b"], rules=comparison.Rules(**rules)).results
    return result


def made_of(kind, order, seed=5):
    rng = np.random.default_rng(seed)
    drift = 0.8 * np.arange(len(order))
    values = list(30 + drift + rng.normal(size=len(order)) - 1.5 * np.array([setup == "b" for setup in order]))
    if kind == "mm":
        return in_mm(row(order, values, noise=0.5))
    return row(order, values, measure=SCALES[kind], noise=0.5)


@pytest.mark.parametrize("kind", ["raw", "log", "mm"])
@pytest.mark.parametrize("order", ORDERS)
def test_values_and_difference_never_contradict_each_other(kind, order):
    made = made_of(kind, order)
    for lent in ({}, {(made.spec.name, made.end): Borrowed(variance=1.0, nu=6.0, days=3)}):
        found = only(made, borrowed=lent)
        assert found.candidate_value - found.baseline_value == pytest.approx(found.difference, rel=1e-9)
        if found.percent is not None:
            ratio = found.candidate_value / found.baseline_value
            assert 100 * (ratio - 1) == pytest.approx(found.percent.difference, rel=1e-9)
        if found.low is not None:
            assert found.low < found.difference < found.high


@pytest.mark.parametrize("kind", ["raw", "log"])
def test_a_drift_that_turns_the_sign_of_the_means_is_taken_out_of_values_and_difference_alike(kind):
    """Ridden one way, b is 1.5 less at each place: raw means put it above; fitted, it is below at the day's middle."""
    made = made_of(kind, "aaaabbbb")
    y = np.array([run.value for run in made.runs])
    y = np.log(y) if kind == "log" else y
    setup, place = np.repeat([0.0, 1.0], 4), np.arange(8) - 3.5
    level, d, _ = np.linalg.lstsq(np.column_stack([np.ones(8), setup, place]), y, rcond=None)[0]
    found = only(made)
    back = np.exp if kind == "log" else float
    assert y[4:].mean() > y[:4].mean()
    assert d < 0 > found.difference
    assert (found.baseline_value, found.candidate_value) == pytest.approx((back(level), back(level + d)))
    assert found.taken_out == ("drift",)
    assert only(made_of(kind, "abba")).taken_out == ()


def test_of_two_days_the_middle_counts_each_as_often_as_it_was_ridden():
    made = row("ababb", [30, 36, 30.2, 38.2, 38.3])
    runs = []
    for run, day, place in zip(made.runs, (1, 1, 1, 2, 2), (1, 2, 3, 1, 2), strict=True):
        runs.append(replace(run, run=replace(run.run, day=day, order_in_day=place)))
    found = only(replace(made, runs=tuple(runs)))
    assert found.taken_out == ("day",)
    assert found.difference == pytest.approx(5.9)  # of the first day, on which both were ridden: 36 less 30.1
    assert found.candidate_value - found.baseline_value == pytest.approx(found.difference)
    assert found.baseline_value == pytest.approx(30.1 + 0.4 * (38.25 - 36))


def test_one_run_of_each_differs_by_its_two_runs_whatever_the_sections_say():
    """A percentile of a whole run isn't the mean of its sections': the sections here point the other way."""
    made = row("ab", [3174.0, 3383.0], measure="compression_speed_10_per_min")
    first, second = made.runs
    made = replace(made, runs=(first, replace(second, sections=first.sections * 0.93)))
    found = only(made)
    assert found.difference == pytest.approx(209.0)
    assert found.percent.difference == pytest.approx(100 * (3383 / 3174 - 1))


class TestMillimetres:
    """Where full travel differs by more than rounding, millimetres have rows and verdicts of their own."""

    @pytest.mark.parametrize(("times", "compared"), [(1.0, False), (1.01, True), (-1.0, False), (-1.01, True)])
    def test_from_what_difference_on(self, times, compared):
        """About zero, so that the difference is exactly the limit."""
        share = row("abba", [30, 31, 31.2, 30.2])
        mm = replace(in_mm(share), full_travel_mm={"a": 0.0, "b": times * SAME_TRAVEL_MM})
        assert compares(mm, "a", "b") is compared
        assert compares(share, "a", "b")

    def test_only_the_candidate_with_another_travel_has_them(self):
        share = row("abccba", [30, 31, 32, 32.1, 31.2, 30.2])
        mm = in_mm(share, {"a": 160.0, "b": 160.0, "c": 200.0})
        found = comparison.verdicts([mm, share], baseline="a", candidates=["b", "c"])
        assert [(result.candidate, result.measure) for result in found.results] == [
            ("b", "dynamic_sag"),
            ("c", "dynamic_sag_mm"),
            ("c", "dynamic_sag"),
        ]
        assert [family.m for family in found.families] == [1, 2]

    def test_it_is_the_t_test_of_millimetres_with_a_verdict_of_its_own(self):
        """More of less travel: in shares of it changed, in mm the same; scipy's pooled t at the level shown."""
        share = row("abbaab", [30.0, 37.6, 37.5, 30.1, 30.2, 37.4])
        full = {"a": 170.0, "b": 136.6}
        mm = in_mm(share, full)
        mm = replace(mm, runs=tuple(replace(run, sections=np.full(20, np.nan)) for run in mm.runs))
        in_points, in_mm_found = comparison.verdicts([share, mm], baseline="a", candidates=["b"]).results
        assert (in_points.verdict, in_mm_found.verdict) == ("changed", "unchanged")
        values = [[run.value for run in mm.runs if run.run.setup == setup] for setup in "ab"]
        test = stats.ttest_ind(values[1], values[0])
        low, high = test.confidence_interval(1 - in_mm_found.level)
        assert (in_mm_found.p, in_mm_found.low, in_mm_found.high) == pytest.approx((test.pvalue, low, high))
        assert (in_mm_found.unit, in_mm_found.travel) == ("mm", None)
