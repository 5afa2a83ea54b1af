"""``plus_minus`` and the keys of the bench: read, inherited, refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.errors import Problem
from telemetry.model.day import RideDay

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]
AT = "bumper_touch_mm = 161\n"


def width(day: RideDay, setup: str, key: str) -> float | None:
    settings = day.setups[setup].front.settings
    return settings[key].plus_minus


def test_a_width_is_held_with_the_value_it_is_of_and_inherited(read: Read) -> None:
    day = read((AT, AT + "plus_minus = { air_pressure_bar = 0.1, bumper_touch_mm = 2 }\n"))
    assert width(day, "oil_20", "air_pressure_bar") == 0.1
    assert width(day, "oil_8", "air_pressure_bar") == 0.1
    assert width(day, "oil_20", "bumper_touch_mm") == 2
    assert width(day, "oil_20", "lower_leg_oil_each_ml") is None


def test_a_setup_replaces_a_width_key_by_key(read: Read) -> None:
    own = "lower_leg_oil_each_ml = 8\nplus_minus = { lower_leg_oil_each_ml = 1 }\n"
    stated = AT + "plus_minus = { lower_leg_oil_each_ml = 3, air_pressure_bar = 0.2 }\n"
    day = read((AT, stated), ("lower_leg_oil_each_ml = 8\n", own))
    assert width(day, "oil_8", "lower_leg_oil_each_ml") == 1
    assert width(day, "oil_20", "lower_leg_oil_each_ml") == 3
    assert width(day, "oil_8", "air_pressure_bar") == 0.2


def test_widths_of_the_whole_bike_its_geometry_and_the_day_are_held(read: Read) -> None:
    day = read(
        ("altitude_m = 420", "altitude_m = 420\nplus_minus = { rider_mass_kg = 1.5 }"),
        ("mass_kg = 24.5", "mass_kg = 24.5\nfront_share = 0.41\nplus_minus = { mass_kg = 0.2, front_share = 0.02 }"),
        ("[log]", "[bike.geometry]\noffset_mm = 44\nplus_minus = { offset_mm = 1 }\n[log]"),
    )
    assert day.plus_minus == {"rider_mass_kg": 1.5}
    assert day.bike.geometry_plus_minus == {"offset_mm": 1}
    held = day.setups["oil_20"].bike
    assert (held["front_share"].value, held["front_share"].plus_minus, held["mass_kg"].plus_minus) == (0.41, 0.02, 0.2)


def test_imperial_widths_are_taken_without_the_scales_offset(read: Read) -> None:
    day = read(
        ("altitude_m = 420", "altitude_m = 420\nplus_minus = { air_temperature_f = 9 }"),
        (AT, AT + "plus_minus = { air_pressure_psi = 1 }\n"),
    )
    assert day.plus_minus["air_temperature_c"] == pytest.approx(5.0)
    assert width(day, "oil_20", "air_pressure_bar") == pytest.approx(0.0689476, rel=1e-6)


@pytest.mark.parametrize(
    ("stated", "key", "expected"),
    [
        ("{ air_presure_bar = 0.1 }", "air_presure_bar", "'air_pressure_bar'"),
        ("{ valving = 1 }", "valving", "a key this table knows"),
        ("{ rebound = 1 }", "rebound", "a key this table knows"),
        ("{ air_pressure_bar = -0.1 }", "air_pressure_bar", "0 to 60 bar"),
        ('{ air_pressure_bar = "0.1" }', "air_pressure_bar", "air_pressure_bar = 0.1"),
        ("{ damper_points = -1 }", "damper_points", "0 to 10000 N"),
    ],
)
def test_a_wrong_width_is_told_by_its_key(problems: Problems, stated: str, key: str, expected: str) -> None:
    found = problems((AT, f"{AT}plus_minus = {stated}\n"))
    assert expected in found[f"bike.front.plus_minus.{key}"].expected


def test_a_dampers_points_are_held_by_rising_speed(read: Read) -> None:
    points = "damper_points = [[500, 190], [-500, -420.5], [0, 0]]\nplus_minus = { damper_points = 15 }\n"
    held = read((AT, AT + points)).setups["oil_20"].front.settings["damper_points"]
    assert held.value == ((-500, -420.5), (0, 0), (500, 190))
    assert held.plus_minus == 15
    assert held.entered == "3 points, −420.5 N at −500 mm/s to 190 N at 500 mm/s"


@pytest.mark.parametrize("points", ["[[0, 0]]", "[[100, 5], [100, 6]]", "[[100], [200]]", "[100, 200]", "5"])
def test_points_that_are_no_pairs_or_say_a_speed_twice_are_refused(problems: Problems, points: str) -> None:
    found = problems((AT, f"{AT}damper_points = {points}\n"))
    assert any(key.startswith("bike.front.damper_points") for key in found)


@pytest.mark.parametrize(
    "data",
    [
        b"\x89PNG\r\n\x1a\n",  # ISO/IEC 15948, 5.2
        b"\xff\xd8\xff\xe1",  # ITU-T T.81, annex B: SOI and the next marker
        b"\x00\x00\x00\x18ftypheic",  # ISO/IEC 23008-12
        b"RIFF\x10\x00\x00\x00WEBP",
        b"<?xml version='1.0'?><svg/>",
    ],
)
def test_a_photograph_is_a_picture_that_is_there(problems: Problems, read: Read, folder: Path, data: bytes) -> None:
    change = ('leverage = "leverage.csv"', 'leverage = "leverage.csv"\nphoto = "linkage.png"')
    assert "no file 'linkage.png'" in problems(change)["bike.rear.photo"].found
    for other, found in ((b"picture", "no picture"), (b"", "an empty file"), (b"%PDF-1.7", "a PDF file")):
        (folder / "linkage.png").write_bytes(other)
        assert problems(change)["bike.rear.photo"].found == found
    (folder / "linkage.png").write_bytes(data)
    assert read(change).setups["oil_8"].rear.value("photo") == "linkage.png"


@pytest.mark.parametrize(
    ("points", "key", "found"),
    [
        ("[[300, nan], [-300, -200]]", "damper_points[1][2]", "nan"),
        ("[[300, 200], [-300, true]]", "damper_points[2][2]", "true"),
        ("[[300, 210], [300, 400]]", "damper_points", "[[300, 210], [300, 400]]"),
        ("[[300, 210], [300.0, 400]]", "damper_points", "[[300, 210], [300.0, 400]]"),
    ],
)
def test_what_is_wrong_with_a_dampers_points_is_told_once(
    problems: Problems, points: str, key: str, found: str
) -> None:
    ((told, problem),) = problems((AT, f"{AT}damper_points = {points}\n")).items()
    assert (told, problem.found) == (f"bike.front.{key}", found)


def test_an_adjuster_of_no_positions_is_refused(problems: Problems) -> None:
    found = problems((AT, f"{AT}rebound = {{ clicks_from_closed = 0, of = 0 }}\n"))
    assert "in all" in found["bike.front.rebound.of"].expected


@pytest.mark.parametrize("key", ["stanchion_mm = 36", "shock_length_mm = 230"])
def test_a_part_of_the_other_end_is_refused(problems: Problems, key: str) -> None:
    wrong = (AT, f"{AT}{key}\n") if "shock" in key else ("stroke_mm = 62.5", f"stroke_mm = 62.5\n{key}")
    (found,) = problems(wrong).values()
    assert "only" in found.expected


@pytest.mark.parametrize(
    ("change", "key", "expected"),
    [
        ((AT, AT + "plus_minus = { bumper_touch_mm = 162 }\n"), "bike.front.plus_minus.bumper_touch_mm", "itself, 161"),
        ((AT, AT + "plus_minus = { air_pressure_bar = 9 }\n"), "bike.front.plus_minus.air_pressure_bar", "itself, 6.1"),
        (
            ("mass_kg = 24.5", "mass_kg = 24.5\nplus_minus = { mass_kg = 25 }"),
            "bike.plus_minus.mass_kg",
            "itself, 24.5",
        ),
    ],
)
def test_a_figure_isnt_off_by_more_than_itself(
    problems: Problems, change: tuple[str, str], key: str, expected: str
) -> None:
    assert expected in str(problems(change)[key].expected)


def test_what_is_next_to_0_or_may_be_below_may_be_off_by_any(read: Read) -> None:
    for preload in (0, 0.2):
        read((AT, AT + f"offset_mm = 1\npreload_mm = {preload}\nplus_minus = {{ offset_mm = 2, preload_mm = 1 }}\n"))


def test_what_was_expected_keeps_its_units_letters(problems: Problems) -> None:
    found = problems((AT, AT + "damper_points = [[100, 50]]\n"))["bike.front.damper_points"]
    assert "[mm/s at the shaft, N]" in str(found.expected)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ((AT, f"{AT}plus_minus = {{ preload_mm = 0.1 }}\n"), "bike.front.plus_minus.preload_mm"),
        (("mass_kg = 24.5", "mass_kg = 24.5\nplus_minus = { front_share = 0.1 }"), "bike.plus_minus.front_share"),
        (("[log]", "[bike.geometry]\nplus_minus = { stack_mm = 1 }\n[log]"), "bike.geometry.plus_minus.stack_mm"),
    ],
)
def test_a_width_of_a_figure_that_no_setup_states_is_refused(
    problems: Problems, change: tuple[str, str], key: str
) -> None:
    assert "that isn't stated" in problems(change)[key].found


def test_a_width_larger_than_the_days_own_figure_is_refused(problems: Problems) -> None:
    found = problems(("altitude_m = 420", "altitude_m = 420\nplus_minus = { rider_mass_kg = 90 }"))
    assert "no more than the figure itself" in found["ride_day.plus_minus.rider_mass_kg"].expected
