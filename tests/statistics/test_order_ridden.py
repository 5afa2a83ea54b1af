"""The limits of the order ridden, just within and just beyond, read from where they stand."""

from fractions import Fraction

import pytest

from telemetry.statistics.order_ridden import (
    ENOUGH_FOR_DRIFT,
    FEW_RUNS,
    SHIFT_LIMIT,
    change_overs,
    confounded,
    far_apart,
    fits_drift,
    mean_shift,
    never_taken_turns,
)

LIMIT = Fraction(SHIFT_LIMIT)
LITTLE = Fraction(1, 1000)


def test_the_shift_is_mean_place_of_the_candidate_less_the_baselines_exactly():
    assert mean_shift([1, 4, 5], [2, 3, 6]) == Fraction(1, 3)
    assert mean_shift([2, 3, 6], [1, 4, 5]) == Fraction(-1, 3)
    assert mean_shift([1, 2, 4], [3, 5, 2]) == 1


@pytest.mark.parametrize("sign", [1, -1])
def test_on_the_limit_is_within_it(sign):
    assert not far_apart(sign * LIMIT)
    assert far_apart(sign * (LIMIT + LITTLE))


def test_a_drift_is_fitted_from_enough_runs_of_each_or_far_apart():
    assert not fits_drift(ENOUGH_FOR_DRIFT - 1)
    assert fits_drift(ENOUGH_FOR_DRIFT)
    assert not fits_drift(ENOUGH_FOR_DRIFT - 1, LIMIT)
    assert fits_drift(ENOUGH_FOR_DRIFT - 1, LIMIT + LITTLE)


def test_few_runs_far_apart_can_not_be_told_from_the_order():
    assert confounded(FEW_RUNS, LIMIT + LITTLE)
    assert not confounded(FEW_RUNS, LIMIT)
    assert not confounded(FEW_RUNS + 1, LIMIT + LITTLE)


@pytest.mark.parametrize(
    ("order", "changes", "never"), [("aabb", 1, True), ("bbba", 1, True), ("abba", 2, False), ("aaa", 0, True)]
)
def test_setups_take_turns_where_the_setup_changes_twice(order, changes, never):
    assert (change_overs(order), never_taken_turns(order)) == (changes, never)
