"""What the workshop left behind, how the runs were logged, and when the focus was named.

Limits are those of the project's own table of findings (docs/findings.md), common practice without a source.
"""

import datetime as dt
from dataclasses import replace

import pytest

from telemetry.model.conditions import Naming
from telemetry.model.sensor import GroundSpeedSensor
from tests.comparison.conditions_made import DAY, FORK, OIL, SENSORS, conditions, found, only

SAG = {"front": 3.2, "rear": 3.0}


def rubbing(old, new, load="bike_alone"):
    of_setups = {
        "a": {"friction_band_mm": {("front", "bike_alone"): old}, "smallest_sag_mm": SAG},
        "b": {"friction_band_mm": {("front", load): new}, "smallest_sag_mm": SAG},
    }
    return conditions("abba", of_setups=of_setups)


def test_friction_bands_apart_by_more_than_a_third_of_what_matters():
    assert found(rubbing(4.0, 4.95), "friction_differs") == []
    message = only(rubbing(4.0, 5.0), "friction_differs")
    assert "the front's friction band is 5.0 mm with b and 4.0 mm with a, +1.0 mm (limit 1.0 mm" in message
    assert found(rubbing(4.0, 9.0, load="seated"), "friction_differs") == []  # other loads aren't alike


@pytest.mark.parametrize(("after", "finds"), [(5.88, False), (5.87, True), (6.4, False)])
def test_pressure_that_did_not_hold(after, finds):
    pressures = {"pressure_after_bar": [{"front": after}, {}, {}, {}]}
    made = conditions("abba", of_runs=pressures)
    assert bool(found(made, "pressure_lost")) is finds
    if finds:
        message = only(made, "pressure_lost")
        assert "run_1, front: 5.87 bar after the run and 6 bar in a, −2.2 % (limit 2 %)" in message


def test_pressure_without_a_stated_one_is_not_judged():
    runs = {"pressure_after_bar": [{"rear": 1.0}] * 4}
    assert found(conditions("abba", of_runs=runs), "pressure_lost") == []


def legs(old, new, altitude=None):
    setups = {"a": {"front": {"air_pressure_bar": 6.0, **old}}, "b": {"front": {"air_pressure_bar": 6.5, **new}}}
    return conditions("abba", setups, altitude_m=altitude)


def test_legs_closed_far_from_the_trail():
    at_420 = {"lower_leg_bled_altitude_m": 420.0}
    assert found(legs(at_420, at_420, altitude=720.0), "lower_legs_not_bled_here") == []
    first, second = found(legs(at_420, at_420, altitude=721.0), "lower_legs_not_bled_here")
    assert "a: the lower legs were closed at 420 m and ridden at 721 m, 301 m apart (limit 300 m)" in first.message
    assert second.message.startswith("b: ")
    assert found(legs(at_420, at_420), "lower_legs_not_bled_here") == []  # where it was ridden isn't stated


def test_legs_closed_differently():
    code = "lower_legs_not_bled_here"
    low, high = {"lower_leg_bled_altitude_m": 420.0}, {"lower_leg_bled_altitude_m": 451.0}
    assert "451 and those of a at 420 m of altitude, 31 apart (limit 30)" in only(legs(low, high), code)
    assert found(legs(low, {"lower_leg_bled_altitude_m": 450.0}), code) == []
    out, part_way = {"lower_leg_closed_at_mm": 0.0}, {"lower_leg_closed_at_mm": 15.0}
    assert "15 and those of a at 0 mm of travel, 15 apart (limit 1)" in only(legs(out, part_way), code)
    assert found(legs(out, {"lower_leg_closed_at_mm": 1.0}), code) == []
    assert found(legs(out, {}), code) == []


def oiled(order, old=None, new=None, key="lower_leg_oil_each_ml"):
    setups = {"a": {"front": {key: 20.0, **(old or {})}}, "b": {"front": {key: 8.0, **(new or {})}}}
    return conditions(order, setups)


@pytest.mark.parametrize("order", ["aabb", "aaaabbbb"])
def test_one_way_only_one_side_was_opened(order):
    message = only(oiled(order), "opened_only_once")
    assert "the front was opened for b (lower-leg oil) and not for a" in message
    assert "parts_opened_on" in message


def test_turns_between_the_setups_open_both():
    assert found(oiled("abba"), "opened_only_once") == []


def test_a_date_says_that_the_other_side_was_opened_too():
    lately, long_ago = {"parts_opened_on": dt.date(2026, 5, 9)}, {"parts_opened_on": dt.date(2026, 5, 8)}
    assert found(oiled("aabb", old=lately), "opened_only_once") == []
    assert only(oiled("aabb", old=long_ago), "opened_only_once")


def test_a_date_of_one_side_alone_is_found_without_any_other_change():
    setups = {"a": OIL["a"], "b": {"front": {"air_pressure_bar": 6.5, "parts_opened_on": DAY}}}
    assert "opened for b (parts opened on) and not for a" in only(conditions("abba", setups), "opened_only_once")


@pytest.mark.parametrize("key", ["air_pressure_bar", "tyre_pressure_bar", "preload_mm"])
def test_what_is_set_from_outside_opens_nothing(key):
    assert found(oiled("aabb", key=key), "opened_only_once") == []


def test_a_forks_coil_is_inside_and_a_shocks_is_not():
    def sprung(end):
        setups = {"a": {end: {"spring_rate_n_mm": 80.0}}, "b": {end: {"spring_rate_n_mm": 90.0}}}
        return conditions("aabb", setups)

    assert only(sprung("front"), "opened_only_once")
    assert found(sprung("rear"), "opened_only_once") == []


def test_rates_apart():
    assert found(conditions("abba", of_runs={"rate_hz": [500, 505, 500, 500]}), "rate_differs") == []
    message = only(conditions("abba", of_runs={"rate_hz": [500, 505.1, 500, 500]}), "rate_differs")
    assert "run_1 was logged at 500.0 rows a second and run_2 at 505.1" in message
    assert "limit 1 %" in message


def test_another_calibration_or_sensor():
    other = {**SENSORS, "fork": replace(FORK, points=((0, 0.0), (3900, 160.0)))}
    message = only(conditions("abba", of_runs={"sensors": [SENSORS, other, other, SENSORS]}), "sensors_differ")
    assert "front travel was read otherwise in run_2 and run_3 than in run_1 (calibration points; limit" in message
    missing = {"shock": SENSORS["shock"]}
    assert "in one of them only" in only(
        conditions("abba", of_runs={"sensors": [SENSORS, missing, SENSORS, SENSORS]}), "sensors_differ"
    )
    speed = {**SENSORS, "hub": GroundSpeedSensor(name="hub", column="v", unit="m/s")}
    assert "ground speed" in only(
        conditions("abba", of_runs={"sensors": [speed, speed, speed, SENSORS]}), "sensors_differ"
    )
    assert found(conditions("abba"), "sensors_differ") == []


def test_a_zero_nobody_looked_at():
    message = only(conditions("abba", of_runs={"zero_unchecked": [(), ("front",), ("front",), ()]}), "zero_unchecked")
    assert "the front's zero isn't known in run_2 and run_3" in message
    assert "1 is needed" in message


NINE, TEN = dt.datetime(2026, 5, 16, 9), dt.datetime(2026, 5, 16, 10)


def named(**fields):
    return conditions("abba", naming=Naming(**({"named": ("focus",), "first_run": "run_1"} | fields)))


def test_a_focus_named_after_the_first_run_began():
    message = only(named(named_at=TEN, first_run_at=NINE), "focus_named_late")
    assert "focus named at 2026-05-16 10:00:00, after the first run run_1 began at 2026-05-16 09:00:00" in message
    assert "such a focus counts as none" in message
    changes = only(named(named=("smallest_change",), named_at=TEN, first_run_at=NINE), "focus_named_late")
    assert "counts as none" not in changes
    assert "its log's clock" in only(named(named_at=TEN, first_run_at=NINE, told_by="log"), "focus_named_late")
    second = dt.timedelta(seconds=1)
    assert only(named(named_at=NINE + second, first_run_at=NINE), "focus_named_late")
    for early in (NINE, NINE - second):
        made = named(named_at=early, first_run_at=NINE)
        assert found(made, "focus_named_late") == found(made, "naming_not_judged") == []


def test_where_it_is_not_known_when_that_is_said():
    for unknown, lacking in ((named(first_run_at=NINE), "named_at"), (named(named_at=NINE), "started_at")):
        (note,) = found(unknown, "naming_not_judged")
        assert note.severity == "note"
        assert lacking in note.message
    both = named(named=("focus", "smallest_change"))
    assert found(both, "naming_not_judged")[0].message.startswith("focus and smallest_change stated without named_at")


def test_nothing_named_is_nothing_late():
    made = named(named=(), named_at=TEN, first_run_at=NINE)
    assert found(made, "focus_named_late") == found(made, "naming_not_judged") == []
