"""Verdicts at the numbers of runs stated before riding, and only numbers before them."""

import pytest
from scipy import stats

from telemetry import comparison
from tests.comparison.days import row

CLEAR = [30, 36, 36.2, 30.2, 30.1, 36.1, 36.2, 30.0]
SAME = [30, 30.01, 30.0, 30.01, 30.0, 30.02, 30.01, 30.0]


def told(runs, planned, values=CLEAR, setups="abbaabba"):
    """Return the result and the family of a day of so many runs."""
    made = row(setups[:runs], values[:runs])
    rules = comparison.Rules(planned_runs=planned)
    found = comparison.verdicts([made], baseline="a", candidates=["b"], rules=rules)
    return found.results[0], found.families[0]


@pytest.mark.parametrize(
    ("runs", "planned", "share", "number"),
    [
        (6, (), 1.0, 1),
        (6, (3,), 0.8, 1),
        (8, (4,), 0.8, 1),
        (8, (3,), 0.1, 2),
        (8, (2,), 0.05, 3),
        (8, (3, 4), 0.2, 2),
        (8, (3, 4, 6), 0.1, 2),
        (8, (2, 3, 4), 0.1, 3),
    ],
)
def test_a_look_spends_its_share_of_both_levels(runs, planned, share, number):
    """Of q and of the two one-sided tests' 0.10: 0.8 at the first number, then equal shares of 0.2, or its halves."""
    result, family = told(runs, planned)
    assert (family.q, family.looks) == (pytest.approx(0.05 * share), number)
    assert (result.level, result.interval.inner.level) == (pytest.approx(0.05 * share), pytest.approx(0.10 * share))
    nu = 4 if runs == 6 else 5  # four of each: the drift is fitted
    shown, inner = result.high - result.difference, result.inner_high - result.difference
    assert inner / shown == pytest.approx(stats.t.isf(0.05 * share, nu) / stats.t.isf(0.025 * share, nu))
    assert (result.verdict, result.reason) == ("changed", "")


@pytest.mark.parametrize("values", [CLEAR, SAME], ids=["clear", "same"])
@pytest.mark.parametrize(
    ("runs", "planned", "reason"),
    [
        (4, (3,), "so far: 1 of 3 planned runs of each still to ride"),
        (4, (4, 6), "so far: 2 of 4 planned runs of each still to ride"),
        (8, (3, 6), "so far: 2 of 6 planned runs of each still to ride"),
        (8, (2, 3), "more than the 3 runs of each that were planned at most"),
    ],
)
def test_between_the_planned_numbers_there_are_numbers_and_no_verdict(values, runs, planned, reason):
    result, family = told(runs, planned, values)
    assert (result.verdict, result.reason) == ("undecided", reason)
    assert (result.more_runs, result.more_runs_upper) == (None, None)
    assert result.low < result.difference < result.high
    assert result.p is not None
    assert family.looks == 0
    assert told(runs, (), values)[0].verdict == ("changed" if values is CLEAR else "unchanged")


def test_the_setup_with_fewer_runs_counts():
    result, _ = told(5, (3,), setups="abbab")
    assert result.reason == "so far: 1 of 3 planned runs of each still to ride"
    assert told(7, (3,), setups="abbaabb")[1].looks == 1


def test_what_bars_a_row_is_said_first():
    result, _ = told(4, (3,), setups="aabb")
    assert (result.verdict, result.reason) == ("undecided", "can't tell the change from the order ridden")


def test_each_candidate_is_at_its_own_look():
    made = row("abccbaabc", [30, 36, 36.1, 36.2, 36.2, 30.2, 30.1, 36.1, 36.3])
    runs = [run for run in made.runs if run.run.run != "run_9"]
    day = row("abccbaab", [run.value for run in runs])
    rules = comparison.Rules(planned_runs=(3,))
    found = comparison.verdicts([day], baseline="a", candidates=["b", "c"], rules=rules)
    assert [(result.candidate, result.verdict) for result in found.results] == [("b", "changed"), ("c", "undecided")]
    assert [family.looks for family in found.families] == [1, 0]
