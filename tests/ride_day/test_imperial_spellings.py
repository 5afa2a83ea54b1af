"""Imperial spellings mean the same as metric ones and are shown as entered."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from telemetry.errors import Problem
from telemetry.model.day import RideDay

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

# Printed in general tables: 1 psi = 6894.757 Pa, 1 lbf/in = 0.1751268 N/mm, 1 lb = 0.45359237 kg, 1 in = 25.4 mm.
PSI_BAR = 0.06894757
LB_IN_N_MM = 0.1751268


@pytest.mark.parametrize(
    ("old", "new", "key", "value", "entered"),
    [
        ("air_pressure_bar = 6.1", "air_pressure_psi = 88", "air_pressure_bar", 88 * PSI_BAR, "88 psi"),
        ("air_pressure_bar = 6.1", "preload_in = 0.5", "preload_mm", 12.7, "0.5 in"),
        ("air_pressure_bar = 6.1", "tyre_pressure_psi = 23.5", "tyre_pressure_bar", 23.5 * PSI_BAR, "23.5 psi"),
        ("air_pressure_bar = 6.1", "wheel_diameter_in = 29", "wheel_diameter_mm", 736.6, "29 in"),
    ],
)
def test_a_fronts_imperial_key(read: Read, old: str, new: str, key: str, value: float, entered: str) -> None:
    setting = read((old, new)).setups["oil_20"].front.settings[key]
    assert setting.value == pytest.approx(value, rel=1e-6)
    assert setting.entered == entered


def test_a_spring_rate_in_pounds_an_inch(read: Read) -> None:
    setting = (
        read(("spring_rate_n_mm = 80", "spring_rate_lb_in = 450")).setups["oil_8"].rear.settings["spring_rate_n_mm"]
    )
    assert setting.value == pytest.approx(450 * LB_IN_N_MM, rel=1e-6)
    assert setting.entered == "450 lb/in"


def test_the_day_and_the_runs_take_imperial_too(read: Read) -> None:
    day = read(
        ("rider_mass_kg = 84", "rider_mass_lb = 185"),
        ("air_temperature_c = 14", "air_temperature_f = 59"),
        ("wheelbase_mm = 1252", "wheelbase_in = 49.3"),
        ("\nmass_kg = 24.5", "\nmass_lb = 54"),
        ('setup = "oil_8"', 'setup = "oil_8"\nair_temperature_f = 41\npressure_after_front_psi = 87'),
    )
    assert day.rider_mass_kg == pytest.approx(185 * 0.45359237)
    assert day.air_temperature_c == pytest.approx(15.0)
    assert day.bike.wheelbase_mm == pytest.approx(1252.22)
    assert day.bike.mass_kg == pytest.approx(54 * 0.45359237)
    assert day.runs[1].air_temperature_c == pytest.approx(5.0)
    assert day.runs[1].pressure_after_front_bar == pytest.approx(87 * PSI_BAR, rel=1e-6)


def test_travel_in_inches_is_full_travel(read: Read) -> None:
    end = (
        read(("travel_mm = 170\nmeasured_travel_mm = 168.5\nbumper_touch_mm = 161", "travel_in = 6.7"))
        .setups["oil_8"]
        .front
    )
    assert end.full_travel_mm == pytest.approx(170.18)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        (
            "air_pressure_bar = 6.1",
            "air_pressure_bar = 6.1\nair_pressure_psi = 88",
            "setups.oil_20.front.air_pressure_psi",
        ),
        ("rider_mass_kg = 84", "rider_mass_lb = 185\nrider_mass_kg = 84", "ride_day.rider_mass_lb"),
        ("travel_mm = 165", "travel_mm = 165\ntravel_in = 6.5", "bike.rear.travel_in"),
    ],
)
def test_both_spellings_are_an_error(problems: Problems, old: str, new: str, key: str) -> None:
    problem = problems((old, new))[key]
    assert "both" in problem.found
    assert "one" in problem.expected


def test_an_imperial_value_out_of_range_is_told_in_its_own_unit(problems: Problems) -> None:
    found = problems(("air_pressure_bar = 6.1", "air_pressure_psi = 8800"))
    problem = found["setups.oil_20.front.air_pressure_psi"]
    assert problem.found == "8800"
    assert "psi" in problem.expected


@pytest.mark.parametrize("value", ['"88"', "true", "nan", "[88]"])
def test_an_imperial_value_must_be_a_number(problems: Problems, value: str) -> None:
    problem = problems(("air_pressure_bar = 6.1", f"air_pressure_psi = {value}"))[
        "setups.oil_20.front.air_pressure_psi"
    ]
    assert "number" in problem.expected


def test_a_speed_has_no_imperial_spelling(problems: Problems) -> None:
    assert "measures.hard_bottom_out_in_s" in problems(more="[measures]\nhard_bottom_out_in_s = 24\n")


def test_names_that_look_like_units_stay_names(read: Read) -> None:
    day = read(
        ('[setups.oil_8]\nbased_on = "oil_20"', '[setups.oil_8]\nbased_on = "mass_lb"'),
        ("[setups.oil_20]", "[setups.mass_lb]"),
        ("[setups.oil_20.front]", "[setups.mass_lb.front]"),
        ("[setups.oil_20.rear]", '[setups.mass_lb.other]\ntravel_in = "six"\n[setups.mass_lb.rear]'),
        ('setup = "oil_20"', 'setup = "mass_lb"'),
        ('setup = "oil_20"', 'setup = "mass_lb"'),
        ('setup = "oil_20"', 'setup = "mass_lb"'),
        ('baseline = "oil_20"', 'baseline = "mass_lb"'),
    )
    assert day.setups["oil_8"].other == {"travel_in": "six"}


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(psi=st.floats(10, 400), lb_in=st.floats(50, 900))
def test_imperial_equals_metric(read: Read, psi: float, lb_in: float) -> None:
    imperial = read(
        ("air_pressure_bar = 6.1", f"air_pressure_psi = {psi!r}"),
        ("spring_rate_n_mm = 80", f"spring_rate_lb_in = {lb_in!r}"),
    ).setups["oil_8"]
    bar, n_mm = psi * 0.4535923700 * 9.80665 / 645.16 * 10, lb_in * 0.4535923700 * 9.80665 / 25.4
    metric = read(
        ("air_pressure_bar = 6.1", f"air_pressure_bar = {bar!r}"),
        ("spring_rate_n_mm = 80", f"spring_rate_n_mm = {n_mm!r}"),
    ).setups["oil_8"]
    assert imperial.front.number("air_pressure_bar") == pytest.approx(
        metric.front.number("air_pressure_bar"), rel=1e-12
    )
    assert imperial.rear.number("spring_rate_n_mm") == pytest.approx(metric.rear.number("spring_rate_n_mm"), rel=1e-12)


@pytest.mark.parametrize(
    ("old", "new", "key", "found"),
    [
        ("air_pressure_bar = 6.1", "axle_to_crown_in = 6.3", "axle_to_crown_in", "6.3 in, 160.02 mm"),
        ("air_pressure_bar = 6.1", "bumper_touch_in = 7", "bumper_touch_in", "7 in, 177.8 mm"),
        ("air_pressure_bar = 6.1", "shock_length_in = 10", "shock_length_in", "10 in, shock_length_mm at the front"),
    ],
)
def test_what_does_not_go_together_is_told_of_the_key_as_written(
    problems: Problems, old: str, new: str, key: str, found: str
) -> None:
    (told,) = problems((old, new)).values()
    assert told.key == f"setups.oil_20.front.{key}"
    assert told.found == found


def test_millimetres_written_as_inches_are_told(problems: Problems) -> None:
    (told,) = problems(("air_pressure_bar = 6.1", "wheel_diameter_in = 740")).values()
    assert told.expected.endswith("740 mm? Then wheel_diameter_mm = 740")
