"""Figures that can't be those of a bike's parts: one line with the key, and the unit they may have been meant in."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.errors import Problem, RideDayError
from telemetry.pipeline.parts_possible import require_possible
from tests.bench.bench_days import POINTS, written

OF_FRONT, OF_BIKE = "travel_mm = 170", "front_share = 0.4"


def told(folder: Path, *changes: tuple[str, str]) -> Problem:
    """Return the one problem of the day with parts of its text replaced."""
    with pytest.raises(RideDayError, match="found") as caught:
        require_possible(telemetry.read_ride_day(written(folder, *changes)))
    (problem,) = caught.value.problems
    return problem


@pytest.mark.parametrize(
    ("old", "new", "key", "expected"),
    [
        ("air_pressure_bar = 5.0", "air_pressure_bar = 58", "bike.front.air_pressure_bar", "air_pressure_psi = 58"),
        ("air_pressure_bar = 5.0", "air_pressure_bar = 0", "bike.front.air_pressure_bar", "nothing else carries"),
        ("oil_each_ml = 20", "oil_each_ml = 0.02", "bike.front.lower_leg_oil_each_ml", "0.02 l? Then"),
        ("air_volume_ml = 170", "air_volume_ml = 0.17", "bike.front.air_volume_ml", "air_volume_ml = 170"),
        ("negative_air_volume_ml = 25", "negative_air_volume_ml = 0.025", "bike.front.negative_air_volume_ml", "= 25"),
        ("rate_n_mm = 90", "rate_n_mm = 450", "bike.rear.spring_rate_n_mm", "spring_rate_lb_in = 450"),
        ("head_angle_deg = 64", "head_angle_deg = 54.9", "bike.head_angle_deg", "55 to 80 degrees"),
        ("head_angle_deg = 64", "head_angle_deg = 80.1", "bike.head_angle_deg", "55 to 80 degrees"),
        (OF_BIKE, "front_share = 0.95", "bike.front_share", "0.2 to 0.75"),
        (OF_FRONT, f"{OF_FRONT}\nwheel_diameter_mm = 376", "bike.front.wheel_diameter_mm", "wheel_diameter_mm = 752"),
        (OF_FRONT, f"{OF_FRONT}\nwheel_diameter_mm = 29", "bike.front.wheel_diameter_mm", "wheel_diameter_in = 29"),
        (
            "[bike.front]",
            "[bike.geometry]\noffset_mm = 1.7\n[bike.front]",
            "bike.geometry.offset_mm",
            "offset_in = 1.7",
        ),
        ("air_temperature_c = 20", "air_temperature_c = 57", "ride_day.air_temperature_c", "air_temperature_f = 57"),
        ("air_piston_mm = 30", "air_piston_mm = 36", "bike.front.air_piston_mm", "a smaller one"),
        ("negative_air_volume_ml = 25", "air_rod_mm = 30", "bike.front.air_rod_mm", "a smaller one"),
        ("unsprung_mass_kg = 5", "unsprung_mass_kg = 13", "bike.rear.unsprung_mass_kg", "at most 12 kg"),
        ("bumper_touch_mm = 160", "bumper_touch_mm = 80", "bike.front.bumper_touch_mm", "last half of 170 mm"),
        ("viscosity_index = 150", "viscosity_index = 0", "bike.front.damper_oil_viscosity_index", "20 to 480"),
        ("viscosity_index = 150", "viscosity_index = 500", "bike.front.damper_oil_viscosity_index", "20 to 480"),
        ("cst_40c = 16", "cst_40c = 450", "bike.front.damper_oil_cst_40c", "2 to 250"),
        (POINTS, f"{POINTS}\nknee_compression_mm_s = 1000", "bike.front.knee_compression_mm_s", "below 1000 mm/s"),
        (POINTS, POINTS.replace("100", "0.1").replace("0.10", "1"), "bike.front.damper_points", "were these m/s"),
        (POINTS, "damper_points = [[-500, -0.6], [500, 0.2]]", "bike.front.damper_points", "were these kN"),
    ],
)
def test_a_figure_beyond_any_bike_is_told_with_what_it_may_have_been_meant_as(
    tmp_path: Path, old: str, new: str, key: str, expected: str
) -> None:
    if "air_rod_mm = 30" in new:  # also where no negative chamber makes anything of it
        problem = told(tmp_path, ("air_rod_mm = 8\n", ""), (old, new))
    else:
        problem = told(tmp_path, (old, new))
    assert problem.key == key
    assert expected in problem.expected


@pytest.mark.parametrize(
    ("more", "key", "expected"),
    [
        ("negative_air_pressure_bar = 0", "negative_air_pressure_bar", "neither key"),
        ("negative_air_pressure_bar = 10.1", "negative_air_pressure_bar", "at most 10 bar"),
        ("measured_travel_mm = 196", "measured_travel_mm", "85 to 195 mm"),
        ("oil_level_mm = 310", "oil_level_mm", "20 to 300"),
    ],
)
def test_figures_of_a_fork_that_contradict_each_other(tmp_path: Path, more: str, key: str, expected: str) -> None:
    problem = told(tmp_path, (OF_FRONT, f"{OF_FRONT}\n{more}"))
    assert problem.key == f"bike.front.{key}"
    assert expected in problem.expected


@pytest.mark.parametrize("bar", [0.4, 5.0, 10.0])
def test_a_negative_chamber_may_hold_what_its_positive_one_goes_with(tmp_path: Path, bar: float) -> None:
    change = (OF_FRONT, f"{OF_FRONT}\nnegative_air_pressure_bar = {bar:g}")
    require_possible(telemetry.read_ride_day(written(tmp_path, change)))


def test_unsprung_masses_that_leave_no_bike(tmp_path: Path) -> None:
    problem = told(
        tmp_path, ("unsprung_mass_kg = 4", "unsprung_mass_kg = 10"), ("unsprung_mass_kg = 5", "unsprung_mass_kg = 9.3")
    )
    assert problem.key == "bike.rear.unsprung_mass_kg"
    assert "19.3 kg with the front's" in problem.found


@pytest.mark.parametrize("fall", [0.0, 15.0, 21.0])
def test_forces_that_fall_with_speed_are_refused_beyond_twice_what_they_are_known_to(
    tmp_path: Path, fall: float
) -> None:
    points = f"damper_points = [[-300, -{200 - fall:g}], [-100, -200], [100, 50], [300, 90]]"
    change = POINTS, f"{points}\nplus_minus = {{ damper_points = 10 }}"
    if fall <= 20:
        require_possible(telemetry.read_ride_day(written(tmp_path, change)))
        return
    problem = told(tmp_path, change)
    assert (problem.key, problem.found) == ("bike.front.damper_points", "-200 N at -100 mm/s, but -179 N at -300")


def test_none_of_something_is_no_wrong_figure(tmp_path: Path) -> None:
    dry = ("lower_leg_oil_each_ml = 20", "lower_leg_oil_each_ml = 0"), ("negative_air_volume_ml = 25\n", "")
    require_possible(telemetry.read_ride_day(written(tmp_path, *dry)))


def test_every_wrong_figure_is_told_once_by_the_table_that_states_it(tmp_path: Path) -> None:
    wrong = ("head_angle_deg = 64", "head_angle_deg = 45"), ("oil_each_ml = 8", "oil_each_ml = 0.008")
    with pytest.raises(RideDayError, match="1 more") as caught:
        require_possible(telemetry.read_ride_day(written(tmp_path, *wrong)))
    keys = [problem.key for problem in caught.value.problems]
    assert keys == ["bike.head_angle_deg", "setups.b.front.lower_leg_oil_each_ml"]


@pytest.mark.parametrize(
    ("old", "new", "key", "found", "expected"),
    [
        ("rate_n_mm = 90", "rate_lb_in = 5140", "bike.rear.spring_rate_lb_in", "5140 lb/in, 900.152 N/mm", "shock"),
        ("rate_n_mm = 90", "rate_lb_in = 20", "bike.rear.spring_rate_lb_in", "20 lb/in, ", "spring_rate_n_mm = 20"),
        ("[bike.front]", "[bike.geometry]\noffset_in = 0.1\n[bike.front]", "bike.geometry.offset_in", "0.1 in, ", "mm"),
    ],
)
def test_an_imperial_figure_is_told_as_written_and_suggests_no_unit_that_it_stands_in(
    tmp_path: Path, old: str, new: str, key: str, found: str, expected: str
) -> None:
    problem = told(tmp_path, (old, new))
    assert problem.key == key
    assert problem.found.startswith(found)
    assert problem.expected.endswith(expected)
