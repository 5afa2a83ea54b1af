"""Setups: inheritance, what excludes what, full travel, adjusters, other keys and sensors replaced."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from telemetry.errors import Problem, RideDayError
from telemetry.model.day import RideDay
from telemetry.model.sensor import DisplacementSensor
from telemetry.model.setting import AdjusterPosition
from telemetry.ride_day import read_ride_day

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

OIL_8 = 'based_on = "oil_20"\nlabel = "8 ml per leg"\n'
FRONT_8 = "lower_leg_oil_each_ml = 8"
BIKE_FRONT = "travel_mm = 170\nmeasured_travel_mm = 168.5\nbumper_touch_mm = 161"
BIKE_REAR = 'travel_mm = 165\nstroke_mm = 62.5\nleverage = "leverage.csv"'


def with_rear(lines: str) -> str:
    return f"\n[setups.oil_8.rear]\n{lines}\n"


def test_what_a_setup_does_not_say_it_inherits(read: Read) -> None:
    day = read()
    base, changed = day.setups["oil_20"], day.setups["oil_8"]
    assert base.front.number("lower_leg_oil_each_ml") == 20.0
    assert changed.front.number("lower_leg_oil_each_ml") == 8.0
    assert changed.front.number("air_pressure_bar") == 6.1
    assert changed.rear.number("spring_rate_n_mm") == 80.0
    assert changed.rear.number("stroke_mm") == 62.5
    assert changed.front.settings["rebound"].value == AdjusterPosition(from_closed=9.0, of=18.0, unit="clicks")
    assert (base.label, changed.label) == ("20 ml per leg", "8 ml per leg")
    assert base.front.settings["rebound"].entered == "9 clicks from closed (of 18)"
    assert base.front.settings["air_pressure_bar"].entered == "6.1 bar"


def test_a_setup_without_a_label_is_called_by_its_name(read: Read) -> None:
    assert read((OIL_8, 'based_on = "oil_20"\n')).setups["oil_8"].label == "oil_8"


def test_a_chain_of_setups_resolves_from_the_oldest(read: Read) -> None:
    day = read(
        more='[setups.c]\nbased_on = "b"\n[setups.c.front]\nvolume_spacers = 3\n'
        '[setups.b]\nbased_on = "oil_8"\n[setups.b.front]\nvolume_spacers = 2\nair_pressure_psi = 90\n'
    )
    end = day.setups["c"].front
    assert (end.number("volume_spacers"), end.number("lower_leg_oil_each_ml")) == (3.0, 8.0)
    assert end.settings["air_pressure_bar"].entered == "90 psi"


@pytest.mark.parametrize(
    ("edits", "key", "found"),
    [
        ([("[setups.oil_20]\n", '[setups.oil_20]\nbased_on = "oil_8"\n')], "setups.oil_20.based_on", "circle"),
        ([(OIL_8, 'based_on = "oil_8"\n')], "setups.oil_8.based_on", "circle"),
        ([(OIL_8, 'based_on = "oil_21"\n')], "setups.oil_8.based_on", "unknown setup 'oil_21'"),
    ],
)
def test_based_on_in_a_circle_or_unknown(
    problems: Problems, edits: list[tuple[str, str]], key: str, found: str
) -> None:
    assert found in problems(*edits)[key].found


def test_an_unknown_parent_gets_the_nearest(problems: Problems) -> None:
    assert "'oil_20'" in problems((OIL_8, 'based_on = "oil_21"\n'))["setups.oil_8.based_on"].expected


EVERY_KEY = """\
air_pressure_bar = 6
negative_air_pressure_bar = 5
air_volume_ml = 190
volume_spacers = 2
spring_rate_n_mm = 8
preload_mm = 3
lower_leg_volume_each_ml = 300
lower_leg_crossover = true
lower_leg_closed_at_mm = 0
lower_leg_bled_altitude_m = 420
damper_oil_cst_40c = 15.9
damper_oil_viscosity_index = 320
oil_level_mm = 110
reservoir_pressure_bar = 12
valving = "stack B"
lever = "middle"
high_speed_compression = { turns_from_closed = 1.5, of = 3 }
compression = { clicks_from_closed = 3 }
low_speed_rebound = { clicks_from_closed = 3, of = 14 }
high_speed_rebound = { clicks_from_closed = 3, of = 14 }
bottom_out_adjuster = { turns_from_closed = 0, of = 4 }
knee_compression_mm_s = 120
knee_rebound_mm_s = 150
axle_to_crown_mm = 572
offset_mm = 44
wheel_diameter_mm = 752
rim_width_mm = 30
tyre_width_mm = 61
tyre_pressure_bar = 1.6
tyre_insert = true
brake_rotor_mm = 200
parts_opened_on = 2026-05-15
"""


def test_every_key_an_end_may_hold(read: Read) -> None:
    day = read(
        (FRONT_8, FRONT_8 + "\n" + EVERY_KEY),
        more="[setups.oil_8.bike]\nmass_kg = 25\nbattery_mass_kg = 3.9\nhead_angle_deg = 64.5\nwheelbase_mm = 1250\n"
        "bottom_bracket_height_mm = 351\ncrank_mm = 165\nchainring_teeth = 34\n",
    )
    changed = day.setups["oil_8"]
    stated = {line.split(" = ")[0] for line in EVERY_KEY.splitlines()}
    assert stated <= set(changed.front.settings)
    assert changed.front.settings["parts_opened_on"].value == dt.date(2026, 5, 15)
    assert changed.front.settings["lower_leg_crossover"].value is True
    assert changed.front.settings["high_speed_compression"].entered == "1.5 turns from closed (of 3)"
    assert changed.front.settings["compression"].entered == "3 clicks from closed"
    assert changed.front.settings["damper_oil_cst_40c"].entered == "15.9 cSt at 40 °C"
    assert changed.bike["mass_kg"].value == 25.0
    assert day.setups["oil_20"].bike["mass_kg"].value == 24.5
    assert len(changed.bike) == 7


@pytest.mark.parametrize(
    ("value", "found"),
    [
        ("{ of = 18 }", "0 positions"),
        ("{ clicks_from_closed = 3, turns_from_closed = 1 }", "2 positions"),
        ("{ clicks_from_closed = 19, of = 18 }", "19 of 18"),
    ],
)
def test_an_adjuster_has_one_position_within_its_range(problems: Problems, value: str, found: str) -> None:
    problem = problems(("rebound = { clicks_from_closed = 9, of = 18 }", f"rebound = {value}"))
    assert found in problem["setups.oil_20.front.rebound"].found


@pytest.mark.parametrize("what", ["oil", "volume"])
def test_each_leg_alike_or_side_by_side(problems: Problems, what: str) -> None:
    lines = f"lower_leg_{what}_each_ml = 8\nlower_leg_{what}_spring_side_ml = 10"
    problem = problems((FRONT_8, lines))[f"setups.oil_8.front.lower_leg_{what}_spring_side_ml"]
    assert "each" in problem.found


def test_side_by_side_replaces_an_inherited_each(read: Read) -> None:
    end = read((FRONT_8, "lower_leg_oil_spring_side_ml = 8\nlower_leg_oil_damper_side_ml = 10")).setups["oil_8"].front
    assert "lower_leg_oil_each_ml" not in end.settings
    assert end.number("lower_leg_oil_spring_side_ml") == 8.0


def test_other_keys_are_text(read: Read) -> None:
    day = read(more='[setups.oil_20.other]\nshim = 0.15\ncoated = true\nby = 2026-05-01\ngrease = "thin"\n')
    assert day.setups["oil_8"].other == {"shim": "0.15", "coated": "yes", "by": "2026-05-01", "grease": "thin"}


def test_a_table_under_other_is_refused(problems: Problems) -> None:
    assert "setups.oil_20.other.shim" in problems(more="[setups.oil_20.other.shim]\na = 1\n")


# Full travel


def test_measured_travel_stands_before_stated(read: Read) -> None:
    end = read().setups["oil_8"].front
    assert (end.full_travel_mm, end.full_travel_from, end.bumper_touch_mm) == (168.5, "measured_travel_mm", 161.0)


def test_a_front_that_states_travel_drops_what_was_measured(read: Read) -> None:
    end = read((FRONT_8, "travel_mm = 160")).setups["oil_8"].front
    assert (end.full_travel_mm, end.full_travel_from, end.bumper_touch_mm) == (160.0, "travel_mm", None)
    assert "measured_travel_mm" not in end.settings


def test_a_front_may_state_all_three_anew(read: Read) -> None:
    lines = "travel_mm = 160\nmeasured_travel_mm = 158.8\nbumper_touch_mm = 150"
    end = read((FRONT_8, lines)).setups["oil_8"].front
    assert (end.full_travel_mm, end.full_travel_from, end.bumper_touch_mm) == (158.8, "measured_travel_mm", 150.0)


def test_an_imperial_front_travel_drops_them_too(read: Read) -> None:
    end = read((FRONT_8, "travel_in = 6.3")).setups["oil_8"].front
    assert (end.full_travel_from, end.bumper_touch_mm) == ("travel_mm", None)
    assert end.full_travel_mm == pytest.approx(160.02)


def test_a_bumper_at_or_past_full_travel(problems: Problems) -> None:
    assert (
        "168.5" in problems(("bumper_touch_mm = 161", "bumper_touch_mm = 169"))["bike.front.bumper_touch_mm"].expected
    )


def test_the_rears_curve_at_its_stroke(read: Read) -> None:
    end = read().setups["oil_8"].rear
    assert end.full_travel_mm == pytest.approx(165.0)
    assert (end.full_travel_from, end.stroke_mm) == ("leverage", 62.5)
    assert end.leverage is not None
    assert (end.leverage.stroke_mm, end.leverage.travel_mm) == ((0, 20, 40, 62.5), (0, 57, 109, 165))
    assert end.leverage.source == "leverage.csv"


def test_a_shorter_stroke_reads_the_curve_earlier_and_drops_the_stated_travel(read: Read) -> None:
    end = read(more=with_rear("stroke_mm = 40")).setups["oil_8"].rear
    assert end.full_travel_mm == pytest.approx(109.0)
    assert "travel_mm" not in end.settings


def test_a_longer_stroke_continues_the_curves_end_slope(read: Read) -> None:
    base = read().setups["oil_20"].rear
    end = read(more=with_rear("stroke_mm = 65")).setups["oil_8"].rear
    assert base.full_travel_mm is not None
    assert end.full_travel_mm is not None
    slope = (end.full_travel_mm - base.full_travel_mm) / 2.5
    further = read(more=with_rear("stroke_mm = 70")).setups["oil_8"].rear.full_travel_mm
    assert further == pytest.approx(165.0 + 7.5 * slope)
    assert 2.3 < slope < 2.6


def test_a_ratio_times_the_stroke(read: Read) -> None:
    end = read(more=with_rear("ratio = 2.8")).setups["oil_8"].rear
    assert end.full_travel_mm == pytest.approx(2.8 * 62.5)
    assert end.full_travel_from == "ratio"
    assert {"leverage", "travel_mm"}.isdisjoint(end.settings)
    assert end.leverage is not None
    assert end.leverage.source == "ratio = 2.8"


def test_a_setups_leverage_replaces_the_bikes(read: Read, folder: Path) -> None:
    (folder / "link.csv").write_text("travel_mm;stroke_mm\n0;0\n90,5;30\n171,25;62,5\n", encoding="utf-8")
    end = read(more=with_rear('leverage = "link.csv"')).setups["oil_8"].rear
    assert end.full_travel_mm == pytest.approx(171.25)
    assert end.leverage is not None
    assert end.leverage.source == "link.csv"


def test_a_ratio_needs_the_stroke(problems: Problems) -> None:
    found = problems((BIKE_REAR, "ratio = 2.64"), ('measures = "stroke"', 'measures = "travel"'))
    assert "stroke_mm" in found["bike.rear.ratio"].expected


def test_a_ratio_needs_the_stroke_even_without_setups(folder: Path) -> None:
    text = "[ride_day]\ndate = 2026-05-16\n[bike.rear]\nratio = 2.64\n"
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    with pytest.raises(RideDayError, match=r"bike\.rear\.ratio.*stroke_mm"):
        read_ride_day(folder)


def test_travel_alone_is_full_travel_at_the_rear(read: Read) -> None:
    end = read((BIKE_REAR, "travel_mm = 165"), ('measures = "stroke"', 'measures = "travel"')).setups["oil_8"].rear
    assert (end.full_travel_mm, end.full_travel_from, end.leverage) == (165.0, "travel_mm", None)


@pytest.mark.parametrize(
    ("stated", "right"), [(165, True), (166.6, True), (163.4, True), (166.8, False), (163.2, False)]
)
def test_stated_rear_travel_agrees_within_one_percent(
    read: Read, problems: Problems, stated: float, *, right: bool
) -> None:
    edit = ("travel_mm = 165", f"travel_mm = {stated}")
    if right:
        assert read(edit).setups["oil_8"].rear.full_travel_mm == pytest.approx(165.0)
    else:
        problem = problems(edit)["bike.rear.travel_mm"]
        assert f"{stated:g} mm" in problem.found
        assert "1 %" in problem.expected
        assert "165.0 mm" in problem.expected


def test_travel_beside_a_setups_own_ratio_must_agree_too(problems: Problems) -> None:
    assert "setups.oil_8.rear.travel_mm" in problems(more=with_rear("ratio = 2.8\ntravel_mm = 165"))


@pytest.mark.parametrize("table", ["bike", "setups.oil_8"])
def test_leverage_ratio_and_linkage_exclude_each_other(problems: Problems, table: str) -> None:
    lines = "ratio = 2.64"
    if table == "bike":
        found = problems((BIKE_REAR, BIKE_REAR + "\n" + lines))
    else:
        found = problems(more=with_rear('leverage = "leverage.csv"\n' + lines))
    assert "one of leverage, ratio, linkage" in found[f"{table}.rear.ratio"].expected


def test_leverage_at_the_front_is_refused(problems: Problems) -> None:
    assert "rear" in problems((BIKE_FRONT, BIKE_FRONT + "\nratio = 1.0"))["bike.front.ratio"].expected


def test_a_stroke_sensor_without_a_curve(problems: Problems) -> None:
    found = problems((BIKE_REAR, "travel_mm = 165\nstroke_mm = 62.5"))
    assert "without leverage" in found["sensors.shock.measures"].found


@pytest.mark.parametrize(
    ("edits", "key"),
    [([(BIKE_FRONT, "")], "bike.front"), ([("travel_mm = 165\nstroke_mm = 62.5", "")], "bike.rear")],
)
def test_a_measured_end_needs_full_travel(problems: Problems, edits: list[tuple[str, str]], key: str) -> None:
    assert "no full travel" in problems(*edits)[key].found


def test_an_unmeasured_end_needs_none(read: Read) -> None:
    day = read(
        ("[bike.rear]\n" + BIKE_REAR, ""),
        (
            '[sensors.shock]\nkind = "displacement"\nend = "rear"\nmeasures = "stroke"\n',
            '[sensors.speed]\nkind = "ground_speed"\n',
        ),
        ('column = "A1"\npoints = [[305, 0.0], [3601, 62.5]]', 'column = "A1"\nunit = "km/h"'),
    )
    assert day.setups["oil_8"].rear.full_travel_mm is None


# Sensors of a setup


def test_a_setup_replaces_keys_of_a_sensor(read: Read) -> None:
    day = read(more="[setups.oil_8.sensors.fork]\npoints = [[100, 0], [3000, 150]]\n")
    changed, base = day.setups["oil_8"].sensors["fork"], day.setups["oil_20"].sensors["fork"]
    assert isinstance(changed, DisplacementSensor)
    assert isinstance(base, DisplacementSensor)
    assert changed.points == ((100.0, 0.0), (3000.0, 150.0))
    assert changed.column == base.column == "A0"
    assert day.sensors["fork"] == base
    assert day.runs[1].sensors["fork"] == changed


def test_an_unknown_sensor_in_a_setup(problems: Problems) -> None:
    problem = problems(more='[setups.oil_8.sensors.frk]\ncolumn = "A2"\n')["setups.oil_8.sensors.frk"]
    assert "unknown sensor 'frk'" in problem.found
    assert "'fork'" in problem.expected


def test_a_sensors_mistake_is_told_once_where_it_stands(problems: Problems) -> None:
    found = problems(
        ("[212, 0.0]", "[3770, 0.0]"),
        more='[setups.oil_8.sensors.fork]\ncolumn = "A2"\n[setups.x]\nbased_on = "oil_8"\n',
    )
    assert list(found) == ["sensors.fork.points"]


def test_a_typo_in_a_setups_sensor(problems: Problems) -> None:
    found = problems(more='[setups.oil_8.sensors.fork]\ncolum = "A2"\n')
    assert "'column'" in found["setups.oil_8.sensors.fork.colum"].expected


# Random valid setups resolve, and the last one to say a thing wins

NUMBERS = {
    "air_pressure_bar": st.floats(0, 60),
    "volume_spacers": st.integers(0, 12),
    "spring_rate_n_mm": st.floats(0.5, 900),
    "preload_mm": st.floats(0, 40),
    "oil_level_mm": st.floats(0, 300),
    "tyre_pressure_bar": st.floats(0.5, 4),
    "travel_mm": st.floats(80, 350),
}
ends = st.fixed_dictionaries({}, optional=NUMBERS)


def toml(table: dict[str, float]) -> str:
    return "".join(f"{key} = {value!r}\n" for key, value in table.items())


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(first=ends, second=ends, third=ends)
def test_the_last_to_state_a_key_wins(
    read: Read, first: dict[str, float], second: dict[str, float], third: dict[str, float]
) -> None:
    day = read(
        more=f'[setups.a.front]\n{toml(first)}[setups.b]\nbased_on = "a"\n[setups.b.front]\n{toml(second)}'
        f'[setups.c]\nbased_on = "b"\n[setups.c.front]\n{toml(third)}'
    )
    in_force = {"travel_mm": 170.0, **first, **second, **third}
    end = day.setups["c"].front
    for key, value in in_force.items():
        assert end.number(key) == pytest.approx(value, rel=1e-15)
    replaced = "travel_mm" in {**first, **second, **third}
    assert end.full_travel_mm == (pytest.approx(in_force["travel_mm"]) if replaced else 168.5)
    assert end.bumper_touch_mm == (None if replaced else 161.0)
