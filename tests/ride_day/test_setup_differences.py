"""What differs between two setups, in the trade's words and as JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from telemetry.model.comparison import SetupDifference
from telemetry.model.day import RideDay
from telemetry.ride_day import setup_differences

Read = Callable[..., RideDay]

OIL = "lower_leg_oil_each_ml = 8"
BIKE_REAR = 'travel_mm = 165\nstroke_mm = 62.5\nleverage = "leverage.csv"'


@pytest.fixture
def differ(read: Read) -> Callable[..., tuple[SetupDifference, ...]]:
    def _differ(*edits: tuple[str, str], more: str = "") -> tuple[SetupDifference, ...]:
        day = read(*edits, more=more)
        return setup_differences(day.setups["oil_20"], day.setups["oil_8"])

    return _differ


Differ = Callable[..., tuple[SetupDifference, ...]]


def test_the_story_of_the_change_under_test(differ: Differ) -> None:
    assert differ() == (
        SetupDifference(
            candidate="oil_8",
            end="front",
            key="lower_leg_oil_each_ml",
            baseline_value=20.0,
            candidate_value=8.0,
            words="lower-leg oil, front: 20 → 8 ml each",
        ),
    )


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("rebound = { clicks_from_closed = 7, of = 18 }", "rebound, front: 9 → 7 clicks from closed (of 18)"),
        (
            "rebound = { turns_from_closed = 1.5 }",
            "rebound, front: 9 clicks from closed (of 18) → 1.5 turns from closed",
        ),
        (
            "low_speed_compression = { clicks_from_closed = 4, of = 16 }",
            "low-speed compression, front: 8 → 4 clicks from closed (of 16)",
        ),
        ("air_pressure_bar = 5.9", "air pressure, front: 6.1 → 5.9 bar"),
        ("air_pressure_psi = 88", "air pressure, front: 6.1 bar → 88 psi"),
        ("volume_spacers = 2", "volume spacers, front: not stated → 2"),
        ('valving = "stack B"', "valving, front: not stated → stack B"),
        ("damper_oil_cst_40c = 15.9", "damper oil, front: not stated → 15.9 cSt at 40 °C"),
        ("knee_rebound_mm_s = 150", "rebound knee, front: not stated → 150 mm/s"),
        ("lower_leg_crossover = true", "lower-leg crossover, front: not stated → yes"),
        ("parts_opened_on = 2026-05-15", "parts opened on, front: not stated → 2026-05-15"),
        ("offset_mm = -4.5", "offset, front: not stated → −4.5 mm"),
        ("travel_mm = 160", "travel, front: 170 → 160 mm (full travel 168.5 → 160.0 mm)"),
        ("measured_travel_mm = 167", "measured travel, front: 168.5 → 167 mm"),
        ("bumper_touch_mm = 160", "first touch of the bumper, front: 161 → 160 mm"),
    ],
)
def test_a_fronts_difference_in_words(differ: Differ, line: str, words: str) -> None:
    assert [item.words for item in differ((OIL, line))] == [words]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ("spring_rate_lb_in = 450", ["spring rate, rear: 80 N/mm → 450 lb/in"]),
        ("stroke_mm = 40", ["stroke, rear: 62.5 → 40 mm (full travel 165.0 → 109.0 mm)"]),
        (
            "ratio = 2.8",
            ["leverage, rear: leverage curve leverage.csv → leverage ratio 2.8 (full travel 165.0 → 175.0 mm)"],
        ),
        ('leverage = "link.csv"', ["leverage curve, rear: leverage.csv → link.csv (full travel 165.0 → 171.2 mm)"]),
        ('leverage = "same.csv"', ["leverage curve, rear: leverage.csv → same.csv"]),
        (
            'leverage = "link.csv"\nstroke_mm = 60',
            [
                "stroke, rear: 62.5 → 60 mm",
                "leverage curve, rear: leverage.csv → link.csv (full travel 165.0 → 165.6 mm)",
            ],
        ),
    ],
)
def test_a_rears_difference_in_words(differ: Differ, folder: Path, lines: str, words: list[str]) -> None:
    (folder / "link.csv").write_text("stroke_mm,travel_mm\n0,0\n30,90.5\n62.5,171.2\n", encoding="utf-8")
    (folder / "same.csv").write_bytes((folder / "leverage.csv").read_bytes())
    found = differ((OIL, ""), more=f"[setups.oil_8.rear]\n{lines}\n")
    assert [item.words for item in found] == words


def test_a_rear_without_a_curve_states_its_travel(differ: Differ) -> None:
    found = differ(
        (BIKE_REAR, "travel_mm = 165"),
        ('measures = "stroke"', 'measures = "travel"'),
        (OIL, ""),
        more="[setups.oil_8.rear]\ntravel_mm = 150\n",
    )
    assert [item.words for item in found] == ["travel, rear: 165 → 150 mm"]


LINKAGE = """\
[{0}.rear.linkage]
fixed = {{ main = [-12.0, 38.0], rocker = [-25.0, 238.0], shock_front = [205.0, 322.0] }}
moving = {{ axle = [-446.0, 12.0], stay = [-108.0, 55.0], link_top = [{1}, 232.0], shock_rear = [-98.0, 327.0] }}
shock = ["shock_front", "shock_rear"]
axle = "axle"
[{0}.rear.linkage.bodies]
swingarm = ["main", "axle", "stay"]
link = ["stay", "link_top"]
rocker = ["rocker", "link_top", "shock_rear"]
"""


def test_a_linkage_names_the_points_that_moved(differ: Differ) -> None:
    found = differ(
        (BIKE_REAR, "stroke_mm = 62.5"),
        (OIL, ""),
        more=LINKAGE.format("bike", -85.0) + LINKAGE.format("setups.oil_8", -80.0),
    )
    assert [item.key for item in found] == ["linkage"]
    assert found[0].words.startswith("linkage, rear: moved link_top (full travel 165.4 → ")


def test_what_concerns_the_whole_bike_and_other_keys(differ: Differ) -> None:
    found = differ(
        (OIL, ""),
        more="[setups.oil_8.bike]\nmass_kg = 25\nhead_angle_deg = 64.5\nchainring_teeth = 34\n"
        "[setups.oil_8.other]\nshim = 0.15\n",
    )
    assert [(item.end, item.words) for item in found] == [
        ("both", "head angle: 64 → 64.5 °"),
        ("both", "bike mass: 24.5 → 25 kg"),
        ("both", "chainring: not stated → 34 teeth"),
        ("both", "shim: not stated → 0.15"),
    ]


@pytest.mark.parametrize(
    ("line", "before", "after"),
    [
        ("rebound = { clicks_from_closed = 7, of = 18 }", 9.0, 7.0),
        (
            "rebound = { clicks_from_closed = 7, of = 20 }",
            "9 clicks from closed (of 18)",
            "7 clicks from closed (of 20)",
        ),
        ("lower_leg_crossover = true", None, True),
        ("parts_opened_on = 2026-05-15", None, "2026-05-15"),
        ('lever = "open"', None, "open"),
    ],
)
def test_values_are_plain(differ: Differ, line: str, before: object, after: object) -> None:
    (item,) = differ((OIL, line))
    assert (item.baseline_value, item.candidate_value) == (before, after)
    assert json.loads(json.dumps(item.to_dict()))["words"] == item.words


def test_neither_label_nor_parent_nor_sensors_are_differences(differ: Differ) -> None:
    assert differ((OIL, ""), more='[setups.oil_8.sensors.fork]\ncolumn = "A2"\n') == ()


def test_the_same_value_in_another_spelling_is_no_difference(differ: Differ) -> None:
    assert (
        differ(
            (OIL, "preload_in = 0.3"),
            ("air_pressure_bar = 6.1", "air_pressure_bar = 6.1\npreload_mm = 7.62"),
            (OIL[:0], ""),
        )
        == ()
    )


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(one=st.floats(0.5, 60), other=st.floats(0.5, 60))
def test_a_setup_never_differs_from_itself_and_both_ways_agree(read: Read, one: float, other: float) -> None:
    day = read(("air_pressure_bar = 6.1", f"air_pressure_bar = {one!r}"), (OIL, f"air_pressure_bar = {other!r}"))
    base, changed = day.setups["oil_20"], day.setups["oil_8"]
    assert setup_differences(base, base) == ()
    there, back = setup_differences(base, changed), setup_differences(changed, base)
    assert [(item.key, item.baseline_value, item.candidate_value) for item in there] == [
        (item.key, item.candidate_value, item.baseline_value) for item in back
    ]


def test_what_one_setup_leaves_unsaid_is_as_the_bike_was_measured(read: Read) -> None:
    def between(length: str) -> list[str]:
        measured = ("[bike.front]", "[bike.geometry]\naxle_to_crown_mm = 560\noffset_mm = 44\n[bike.front]")
        day = read(measured, (OIL, f"{OIL}\n{length}"))
        found = setup_differences(day.setups["oil_20"], day.setups["oil_8"], day.bike.geometry)
        return [row.words for row in found if row.key != "lower_leg_oil_each_ml"]

    assert between("axle_to_crown_mm = 570") == ["axle to crown, front: 560 → 570 mm"]
    assert between("axle_to_crown_mm = 560") == []
