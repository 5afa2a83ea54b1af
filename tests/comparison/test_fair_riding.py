"""How the runs were ridden and under what: each code just beyond its limit and not just inside.

Limits are those of the project's own table of findings (docs/findings.md), common practice without a source.
"""

import pytest

from telemetry.words import MINUS
from tests.comparison.conditions_made import OIL, conditions, found, only


def spread(baseline, candidate):
    """Return run values of A B B A whose setup means are these."""
    return [baseline * 0.99, candidate * 1.01, candidate * 0.99, baseline * 1.01]


@pytest.mark.parametrize(("by", "inside", "outside", "limit"), [("sensor", 1.029, 1.031, 3), ("lag", 1.059, 1.061, 6)])
def test_ground_speed_by_sensor_and_by_lag(by, inside, outside, limit):
    for share, sign in ((1, "+"), (-1, MINUS)):
        by_run = {"ground_speed_by": [by] * 4}
        fair, unfair = (1 + share * (item - 1) for item in (inside, outside))
        assert found(conditions("abba", of_runs={"ground_speed_m_s": spread(8.0, 8.0 * fair), **by_run}), CODE) == []
        message = only(conditions("abba", of_runs={"ground_speed_m_s": spread(8.0, 8.0 * unfair), **by_run}), CODE)
        assert f"b was ridden at {8.0 * unfair:.2f} m/s and a at 8.00 m/s" in message
        assert f"{sign}{100 * (outside - 1):.1f} %" in message
        assert f"limit {limit} %" in message
        assert "indicative" not in message


CODE = "ground_speed_differs"


def test_one_run_by_lag_makes_the_lags_limit_hold():
    runs = {"ground_speed_m_s": spread(8.0, 8.32), "ground_speed_by": ["sensor", "lag", "sensor", "sensor"]}
    assert found(conditions("abba", of_runs=runs), CODE) == []


@pytest.mark.parametrize(
    "stated",
    [{"rear": {"ratio": 2.6}}, {"rear": {"rebound": "x"}}, {"front": {"tyre_pressure_bar": 1.6}}],
)
def test_where_the_lag_itself_may_have_moved_it_is_indicative_only(stated):
    runs = {"ground_speed_m_s": spread(8.0, 8.8)}
    assert "indicative only" in only(conditions("abba", {"a": {}, "b": stated}, runs), CODE)
    by_sensor = runs | {"ground_speed_by": ["sensor"] * 4}
    assert "indicative" not in only(conditions("abba", {"a": {}, "b": stated}, by_sensor), CODE)
    front_damping = {"a": {}, "b": {"front": {"rebound": "x"}}}
    assert "indicative" not in only(conditions("abba", front_damping, runs), CODE)


def test_a_setup_whose_speed_is_not_known_is_not_judged():
    assert found(conditions("abba", of_runs={"ground_speed_m_s": [8.0, None, None, 8.0]}), CODE) == []


def ridden(speeds, seconds, places=("pushes at the start", "pushes at the end"), **more):
    """Return conditions of A B B A by lag, with so many seconds of riding between two places each."""
    passed = [{places[0]: 3.0, places[1]: 3.0 + own} if own else {places[0]: 3.0} for own in seconds]
    return conditions("abba", of_runs={"ground_speed_m_s": speeds, "passed_s": passed, **more})


@pytest.mark.parametrize(("apart", "told"), [(1.0295, False), (1.0305, True)])
def test_a_lag_that_riding_times_contradict_compares_no_pace(apart, told):
    made = ridden([8.0, 8.6, 8.6, 8.0], [100.0, 100.0 * apart / 1.075, 100.0 / 1.075, 100.0])
    notes = found(made, "pace_contradicted")
    assert (bool(notes), bool(found(made, CODE))) == (told, not told)
    assert all(note.severity == "note" and "(limit 3 % apart)" in note.message for note in notes)


def test_riding_times_that_agree_with_each_other_clear_the_pace():
    """By lag the candidate is 6.5 % faster, its riding times between the pushes are within 0.3 %."""
    (note,) = found(ridden([8.0, 8.52, 8.52, 8.0], [100.0, 99.9, 99.7, 100.0]), "pace_contradicted")
    assert "run_2 was ridden +6.5 % faster than run_1" in note.message
    assert "between the same places +0.1 %" in note.message


@pytest.mark.parametrize(
    "more",
    [
        {"seconds": [100.0, None, 99.7, 100.0]},  # not passed by all
        {"ground_speed_by": ["sensor"] * 4},
        {"seconds": [100.0, 0.0, 99.7, 100.0]},
    ],
)
def test_without_times_of_all_or_with_a_sensor_speed_stands_as_it_is(more):
    made = ridden([8.0, 8.6, 8.6, 8.0], more.pop("seconds", [100.0, 99.9, 99.7, 100.0]), **more)
    assert found(made, "pace_contradicted") == []
    assert len(found(made, CODE)) == 1


def test_riding_time():
    assert found(conditions("abba", of_runs={"riding_s": spread(100.0, 104.9)}), "duration_differs") == []
    message = only(conditions("abba", of_runs={"riding_s": spread(100.0, 105.1)}), "duration_differs")
    assert "b took 105.1 s of riding and a 100.0 s" in message
    assert "+5.1 % (limit 5 %)" in message


def test_on_the_limit_is_inside_it():
    """5 % exactly, in figures that aren't exact in binary."""
    assert found(conditions("abba", of_runs={"riding_s": [70.1, 73.605, 73.605, 70.1]}), "duration_differs") == []
    runs = {"air_temperature_c": [14.1, 18.1, 18.1, 14.1]}
    assert found(conditions("abba", of_runs=runs), "temperature_differs") == []


def test_airborne_share():
    fair, unfair = [0.030, 0.049, 0.050, 0.030], [0.030, 0.051, 0.051, 0.030]
    assert found(conditions("abba", of_runs={"airborne_share": fair}), "airborne_share_differs") == []
    message = only(conditions("abba", of_runs={"airborne_share": unfair}), "airborne_share_differs")
    assert "5.1 % of riding time and a for 3.0 %, +2.1 points (limit 2 points)" in message


def test_temperature_between_setups():
    assert found(conditions("abba", of_runs={"air_temperature_c": [10, 13.8, 14, 10]}), "temperature_differs") == []
    message = only(conditions("abba", of_runs={"air_temperature_c": [10, 14.2, 14, 10]}), "temperature_differs")
    assert "b was ridden at 14.1 °C and a at 10.0 °C on average, +4.1 K (limit 4 K)" in message


def test_temperature_over_the_day():
    assert found(conditions("abba", of_runs={"air_temperature_c": [6, 9, 11, 14]}), "temperature_differs") == []
    message = only(conditions("abba", of_runs={"air_temperature_c": [6, 9, 11, 14.1]}), "temperature_differs")
    assert "6.0 °C (run_1) to 14.1 °C (run_4), 8.1 K (limit 8 K in the day)" in message


def test_another_rider_is_told_without_naming_anybody():
    message = only(conditions("abba", of_runs={"rider": ["R1", "R1", "R9", "R1"]}), "rider_differs")
    assert "2 riders (limit 1): run_1, run_2 and run_4 by one, run_3 by another" in message
    assert "R9" not in message
    assert found(conditions("abba", of_runs={"rider": ["R1", "r1 ", "R1", ""]}), "rider_differs") == []


def test_another_state_of_the_trail():
    message = only(conditions("abba", of_runs={"trail_state": ["dry", "dry", "wet", "dry"]}), "trail_state_differs")
    assert "'dry' in run_1, run_2 and run_4; 'wet' in run_3" in message
    assert found(conditions("abba", of_runs={"trail_state": ["dry"] * 4}), "trail_state_differs") == []


def levers(*positions):
    return {"levers": [{"rear": item} if item else {} for item in positions]}


def test_a_lever_in_another_position():
    message = only(conditions("abba", of_runs=levers("open", "open", "firm", "open")), "lever_differs")
    assert "the rear lever stood in 2 positions (limit 1): 'open' in run_1, run_2 and run_4; 'firm' in run_3" in message
    assert found(conditions("abba", of_runs=levers("open", "Open", "", "open")), "lever_differs") == []


def test_a_lever_that_is_the_change_itself_is_no_finding():
    setups = {"a": {"rear": {"lever": "open"}}, "b": {"rear": {"lever": "middle"}}}
    assert found(conditions("abba", setups, levers("open", "middle", "middle", "open")), "lever_differs") == []
    strayed = conditions("abba", setups, levers("open", "middle", "firm", "open"))
    assert "3 positions" in only(strayed, "lever_differs")
    beside = {name: {**setups[name], **OIL[name]} for name in setups}
    assert found(conditions("abba", beside, levers("open", "middle", "middle", "open")), "lever_differs")
