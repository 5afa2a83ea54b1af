"""Orders to ride in: what drift cancels, exactly; how they are counted and chosen.

That A B B A cancels a steady drift, and A B B A B A A B a bending one too, is shown here with exact fractions: means of
place and of place squared are the same for both setups. The metrology trade knows the first as the ABBA sequence; from
memory.
"""

import math
import re
from fractions import Fraction

import numpy as np
import pytest

from telemetry.model.plan import Work
from telemetry.planning.design import certainty
from telemetry.planning.orders import (
    blocks,
    cancelled,
    cancels_in_words,
    choices,
    letters,
    named_order,
    one_way,
    over_two_days,
    recommended,
    rounds,
)
from telemetry.statistics.order_ridden import change_overs, times_put_on


def drifted(order, drift):
    """Return mean of B less mean of A when nothing but the day changes, exactly."""
    values = {0: [], 1: []}
    for place, setup in enumerate(order, 1):
        values[setup].append(sum(Fraction(c) * place**degree for degree, c in enumerate(drift)))
    return sum(values[1], Fraction(0)) / len(values[1]) - sum(values[0], Fraction(0)) / len(values[0])


STEADY = (Fraction(7), Fraction(3, 7))
BENDING = (Fraction(7), Fraction(-3, 7), Fraction(5, 11))


@pytest.mark.parametrize(
    ("order", "text", "changes", "steady", "bending"),
    [
        (rounds(2), "A B B A", 2, Fraction(0), Fraction(-2) * BENDING[2]),
        (rounds(3), "A B B A A B", 3, Fraction(1, 3) * STEADY[1], None),
        (blocks(4), "A A B B B B A A", 2, Fraction(0), Fraction(-8) * BENDING[2]),
        (rounds(4), "A B B A B A A B", 5, Fraction(0), Fraction(0)),
    ],
)
def test_the_four_orders_cancel_what_they_should(order, text, changes, steady, bending):
    assert (letters(order), change_overs(order)) == (text, changes)
    assert drifted(order, STEADY) == steady
    if bending is not None:
        assert drifted(order, BENDING) == bending


def test_one_way_takes_the_whole_drift_for_the_change():
    assert drifted(one_way(4), STEADY) == 4 * STEADY[1]


@pytest.mark.parametrize("each", range(2, 31))
def test_what_an_order_claims_to_cancel_it_cancels(each):
    assert drifted(blocks(each), STEADY) == (each % 2) * STEADY[1]
    assert change_overs(blocks(each)) == 2
    for order in (rounds(each), blocks(each)):
        assert order.count(0) == order.count(1) == len(order) // 2
        assert (drifted(order, STEADY) == 0) == (cancelled(order) >= 1)
        assert (drifted(order, BENDING) == 0) == (cancelled(order) == 2)
    assert cancelled(rounds(each)) >= (2 if each % 4 == 0 else 1 if each % 2 == 0 else 0)


@pytest.mark.parametrize("setups", [2, 3, 4])
def test_more_setups_are_mirrored(setups):
    assert cancelled(rounds(2, setups)) >= 1
    assert cancelled(blocks(4, setups)) >= 1
    assert all(rounds(5, setups).count(setup) == 5 for setup in range(setups))
    assert letters(rounds(2, 3)) == "A B C C B A"


def test_what_stays_is_said():
    assert cancels_in_words(rounds(3)) == "steady drift but for 1/3 of a step"
    assert cancels_in_words(blocks(5)) == "steady drift but for a step"
    assert cancels_in_words(rounds(4)) == "steady and bending drift"


@pytest.mark.parametrize(
    ("needed", "expected"),
    [
        (2, "A B B A A B"),  # fewer than three are a screening only
        (3, "A B B A A B"),
        (4, "A B B A B A A B"),
        (6, "A B B A B A A B B A A B"),
    ],
)
def test_rounds_are_recommended(needed, expected):
    assert letters(recommended(needed, 2)) == expected


@pytest.mark.parametrize("each", range(3, 13))
def test_in_rounds_every_setup_is_put_on_again_and_again_in_blocks_one_of_them_once(each):
    """Counted from the letters: stretches of the same one."""
    order = letters(rounds(each)).replace(" ", "")
    for setup, letter in enumerate("AB"):
        assert times_put_on(rounds(each))[setup] == len(re.findall(f"{letter}+", order)) >= 2
    put_on = times_put_on(blocks(each))
    assert (put_on[0], put_on[1]) == (2, 1)


def test_a_change_that_cannot_be_undone_is_ridden_one_way_four_of_each_at_least():
    assert letters(recommended(2, 2, one_way_only=True)) == "A A A A B B B B"
    assert len(recommended(9, 2, one_way_only=True)) == 18
    assert choices(one_way(5), 2) == (one_way(5),)


def test_the_length_of_the_day():
    work = Work(run_min=4, return_min=12, change_over_min=25)
    found = {
        order.letters: order.minutes for order in (named_order(o, ["a", "b"], work) for o in choices(rounds(3), 2))
    }
    assert found == {
        "A B B A": 4 * 16 + 2 * 25,
        "A B B A A B": 6 * 16 + 3 * 25,
        "A B B A B A A B": 8 * 16 + 5 * 25,
        "A B B A B A A B B A A B": 12 * 16 + 7 * 25,
        "A A B B B B A A": 8 * 16 + 2 * 25,
    }
    assert named_order(rounds(2), ["a", "b"], Work(run_min=4, return_min=12)).minutes is None


@pytest.mark.parametrize(
    ("order", "setups", "blocked"),
    [
        (rounds(4), 2, ["A A B B B B A A"]),
        (rounds(5), 2, ["A A B B B B A A", "A A A B B B B B A A"]),
        (rounds(4, 3), 3, ["A A B B C C C C B B A A"]),
        (rounds(5, 3), 3, ["A A B B C C C C B B A A"]),
    ],
)
def test_the_orders_to_choose_from(order, setups, blocked):
    """Rounds, then blocks; of three setups blocks of an odd number leave places that bar rare events: not offered."""
    found = choices(order, setups)
    assert order in found
    assert [letters(one) for one in found][-len(blocked) :] == blocked
    assert found[: -len(blocked)] == tuple(rounds(len(one) // setups, setups) for one in found[: -len(blocked)])


@pytest.mark.parametrize("each", [4, 5, 6, 8, 12])
def test_one_way_is_less_certain_by_the_closed_form(each):
    """Regression of a step and a line on 2n places: variance (2/n)(4n^2 - 1)/(n^2 - 1), by hand from the normal
    equations; without a shift it is 2/n."""
    plain, costly = certainty((rounds(4 if each % 2 else each),)), certainty((one_way(each),))
    assert costly.se**2 == pytest.approx(2 / each * (4 * each**2 - 1) / (each**2 - 1))
    assert costly.nu == 2 * each - 3
    assert plain.se**2 == pytest.approx(2 / (4 if each % 2 else each))


def test_certainty_is_least_squares_on_the_design():
    """Against statsmodels' ordinary least squares: residual degrees of freedom and the coefficient's variance."""
    import statsmodels.api as sm

    first, second = over_two_days(4)
    setup = np.array(first + second, dtype=float)
    place = np.r_[1:5, 1:5].astype(float)
    day = np.repeat([0.0, 1.0], 4)
    design = np.column_stack([np.ones(8), setup, place, day])
    fit = sm.OLS(np.random.default_rng(1).normal(size=8), design).fit()
    found = certainty((first, second))
    assert found.nu == fit.df_resid == 4
    assert found.se == pytest.approx(math.sqrt(fit.normalized_cov_params[1, 1]))


def test_three_of_each_far_apart_or_four_of_each_have_the_drift_in():
    """Degrees of freedom by hand: runs less setup and mean, and one less with the drift."""
    assert certainty(((0, 1, 1, 0, 0, 1),)).nu == 4
    assert certainty(((0, 0, 1, 1, 0, 1),)).nu == 3  # places 2.67 and 4.33
    assert certainty(((0, 1, 0, 1, 0, 1),)).nu == 4  # a place apart, not more
    assert certainty(((0, 1, 1, 0, 1, 0, 0, 1),)).nu == 5
    assert certainty(((0, 1, 2, 2, 1, 0),), candidate=2).nu == 2
    assert certainty(((0, 1),)) is None


def test_a_second_day_costs_one_degree_of_freedom_and_no_common_setup_costs_all():
    assert certainty(over_two_days(3)).nu == certainty((rounds(3),)).nu - 1
    assert certainty(((0, 0, 0), (1, 1, 1))) is None
