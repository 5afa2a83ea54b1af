"""A plan in words: number, order, length, and what one way or a second day costs, with figures."""

import math
from dataclasses import replace
from types import MappingProxyType

import pytest

import telemetry
from telemetry.model.plan import Work
from telemetry.model.plan_settings import PlanSettings
from telemetry.planning import plan_day
from telemetry.telling.plan import order_table, plan_title, runs_in_words, sees_tables, with_advice
from tests.pipeline.small_days import make_day
from tests.planning.made_rows import RUNS, plan_row
from tests.statistics.by_the_library import detectable

WORK = Work(run_min=4, return_min=12, change_over_min=25)


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    return telemetry.read_ride_day(make_day(tmp_path_factory.mktemp("day"), ("a", "b"), seconds=1.0))


def planned(day, *rows, runs=None, work=WORK):
    return with_advice(plan_day(day, ["a", "b"], rows, work, runs))


def say(day, *rows, **more):
    return " ".join(planned(day, *rows, **more).advice)


def test_number_order_and_length(day):
    text = say(day, plan_row(stated=0.5, focus=True))
    assert text.startswith("3 runs of each for front dynamic sag: an 80 % chance")
    assert (
        "Ride 3 of each in rounds: A B B A A B; 3 change-overs, it cancels steady drift but for 1/3 of a step" in text
    )
    assert "State planned_runs = 3 in [comparison] before riding" in text
    assert "takes 2 h 51 min, and 21 min before it" in text  # 6 x 16 + 3 x 25 min


def test_what_is_not_stated_is_asked_for(day):
    text = say(day, plan_row(stated=0.5), work=Work(run_min=4))
    assert "can't be told: state return_min, change_over_min in [plan]" in text


def test_a_focus_that_cannot_be_planned_is_named(day):
    never = plan_row("deep_hits_per_min", focus=True, ridden=(replace(RUNS, values=(0.0,) * 4),))
    text = say(day, plan_row(stated=0.5), never)
    assert text.startswith("How many runs it takes can't be told: none of the measures in focus has a spread yet.")
    assert "Front hits past 80 %, a minute is in focus but can't be planned: it never happened in the runs" in text


def test_what_can_be_afforded_is_told_with_what_it_sees(day):
    text = say(day, plan_row(stated=0.9, focus=True), runs=2)
    assert "Two of each are a screening only" in text
    change = detectable(2, 0.9, 0.04)
    assert f"2 of each see of front dynamic sag: {change:.1f} points; the smallest change is 2 points" in text


def test_what_blocks_would_save_and_what_they_cannot_tell_is_said(day):
    text = say(day, plan_row(stated=0.7))
    assert "Ride 4 of each in rounds: A B B A B A A B;" in text
    lost = "but B is put on once: the error of that one setting stands in the difference."
    assert f"Blocks, A A B B B B A A, save 3 change-overs, 1 h 15 min, {lost}" in text
    assert f"Blocks, A A B B B B A A, save 3 change-overs, {lost}" in say(day, plan_row(stated=0.7), work=Work())


def test_default_spreads_are_said_to_be_such(day):
    assert "planned with default spreads (own choice)" in say(day, plan_row())
    assert "default" not in say(day, plan_row(stated=0.5))


def test_nothing_to_go_by_is_said(day):
    assert "can't be told: no measure has a spread yet" in say(day, plan_row("deep_hits_per_min"))


def test_a_focus_that_the_longest_day_cannot_meet_is_called_infeasible(day):
    rows = (plan_row(stated=0.9, focus=True), plan_row("travel_p95", stated=0.2), plan_row("packing", stated=0.25))
    text = say(day, *rows, work=replace(WORK, day_min=200))
    assert "Front dynamic sag is in focus but infeasible in such a day: it takes 5 of each." in text
    assert "The longest day takes 3 of each in rounds: A B B A A B" in text
    assert "With 3 of each 1 of 3 measures have both chances: front deeper one second in twenty." in text
    assert "Named as the only focus, 3 of each would also decide: front packing." in text
    short = say(day, *rows, work=replace(WORK, day_min=100))
    assert "Not even that fits into 1 h 40 min (day_min): it takes 2 h 15 min with sighting run and warm-up." in short
    assert "infeasible" not in say(day, *rows, work=replace(WORK, day_min=1000))


def test_one_way_is_planned_where_the_change_cannot_be_undone(day):
    settings = PlanSettings(spread=MappingProxyType({}), can_be_undone=False)
    plan = planned(replace(day, plan=settings), plan_row(stated=0.3, focus=True))
    text = " ".join(plan.advice)
    assert "one way: A A A A B B B B; 1 change-over." in text
    assert "A and B are each put on once: the error of those settings stands in the difference." in text
    assert plan.costs == ()


def test_runs_planned_that_are_not_those_to_ride_are_said(day):
    other = replace(day, comparison=replace(day.comparison, planned_runs=(6, 9)))
    assert "planned_runs says 6 and 9 of each: ride as many, or state 3" in say(other, plan_row(stated=0.4, focus=True))


def test_one_way_and_a_second_day_in_figures(day):
    one_way, two_days = planned(day, plan_row(stated=0.9, focus=True), runs=4).costs
    plain = detectable(4, 0.9, 0.04)
    assert f"front dynamic sag {plain * math.sqrt(63 / 15):.1f} points against {plain:.1f} points" in one_way
    assert "at least 4 + 4" in one_way
    assert f"against {plain:.1f} points" in two_days
    assert "no setup ridden on both days" in two_days


@pytest.mark.parametrize(
    ("found", "text"), [((3, 3), "3"), ((3, 7), "3 to 7"), ((3, None), "3 to over 30"), ((None, None), "over 30")]
)
def test_runs_with_their_upper_figure(found, text):
    assert runs_in_words(*found) == text


def test_tables_of_a_plan(day):
    plan = planned(day, plan_row(stated=0.9, focus=True), runs=2)
    assert plan_title(plan) == "A test day: A setup a, B setup b"
    first = ("A B B A <- this one", "2 of each", "2", "1 h 54 min", "steady drift")
    assert order_table(plan).rows[0] == (*first, "B: the error of one setting stays in")
    needed, seen = sees_tables(plan)
    assert needed.rows[0][:2] == ("Dynamic sag, front (focus)", "2 points")
    assert needed.rows[0][3:] == ("0.90 points", "stated")
    assert seen.columns == ("measure", "2", "3", "4", "6", "10")
    figures = [f"{detectable(each, 0.9, 0.04):.1f} points" for each in (2, 3, 4, 6, 10)]
    assert seen.rows == (("Dynamic sag, front (focus)", *figures),)
    assert sees_tables(planned(day, plan_row("deep_hits_per_min"))) == ()
