"""What a look at the day may spend: never more than all together, however long the riding goes on."""

import pytest

from telemetry.statistics.looks import look_at


def told(planned, runs):
    look = look_at(planned, runs)
    return look.number, look.share, look.so_far


@pytest.mark.parametrize("runs", [1, 2, 7])
def test_without_a_plan_every_call_spends_all(runs):
    assert told((), runs) == (1, 1.0, "")


def test_below_the_planned_number_nothing_is_decided():
    assert told((3,), 2) == (0, 0.8, "so far: 1 of 3 planned runs of each still to ride")
    assert told((3,), 0)[2] == "so far: 3 of 3 planned runs of each still to ride"
    assert told((1,), 0)[2] == "so far: 1 of 1 planned run of each still to ride"


@pytest.mark.parametrize(("runs", "number", "share"), [(3, 1, 0.8), (4, 2, 0.1), (5, 3, 0.05), (6, 4, 0.025)])
def test_each_further_pair_of_runs_spends_half_of_what_is_left(runs, number, share):
    assert told((3,), runs) == (number, pytest.approx(share), "")


@pytest.mark.parametrize(
    ("runs", "number", "share", "so_far"),
    [
        (2, 0, 0.8, "so far: 1 of 3 planned runs of each still to ride"),
        (3, 1, 0.8, ""),
        (4, 0, 0.1, "so far: 1 of 5 planned runs of each still to ride"),
        (5, 2, 0.1, ""),
        (6, 0, 0.1, "so far: 1 of 7 planned runs of each still to ride"),
        (7, 3, 0.1, ""),
        (8, 0, 0.1, "more than the 7 runs of each that were planned at most"),
    ],
)
def test_a_list_decides_at_its_numbers_alone(runs, number, share, so_far):
    assert told((3, 5, 7), runs) == (number, pytest.approx(share), so_far)


@pytest.mark.parametrize("planned", [(3,), (2, 6), (3, 4, 5, 6)])
def test_all_looks_together_spend_no_more_than_there_is(planned):
    spent = sum(look.share for look in (look_at(planned, runs) for runs in range(1, 60)) if look.number)
    assert spent == pytest.approx(1.0)
