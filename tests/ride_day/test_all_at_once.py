"""Every stage that can be reached tells what is wrong in one round, and a wrong form shows the right one."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.errors import Problem
from telemetry.model.day import RideDay
from telemetry.ride_day.right_form import right_form

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

FORK_POINTS = "points = [[212, 0.0], [3770, 170.0]]"
SHOCK_POINTS = "points = [[305, 0.0], [3601, 62.5]]"
REBOUND = "rebound = { clicks_from_closed = 9, of = 18 }"
FOCUS = 'candidates = ["oil_8"]'


def test_one_round_tells_of_every_stage(problems: Problems, folder: Path) -> None:
    (folder / "leverage.csv").write_text("stroke,travel\n0,0\n62.5,165\n", encoding="utf-8")
    found = problems(
        ("date = 2026-05-16", 'date = "16.05.2026"'),
        ("travel_mm = 170\nmeasured_travel_mm = 168.5\nbumper_touch_mm = 161", "bumper_touch_mm = 161"),
        (REBOUND, "rebound = 9"),
        (SHOCK_POINTS, "points = [[305, 0.0]]"),
        ('log = "run_2.csv"', 'log = "run_9.csv"'),
        (FOCUS, FOCUS + '\nfocus = ["air_time_share:front", "hand_shaking:front"]'),
    )
    assert set(found) >= {
        "ride_day.date",
        "bike.front",
        "bike.rear.leverage",
        "setups.oil_20.front.rebound",
        "sensors.shock.points",
        "runs[2].log",
        "comparison.focus[1]",
    }


def test_a_focus_no_sensor_reads_is_told_beside_a_wrong_form(problems: Problems) -> None:
    found = problems((REBOUND, "rebound = 9"), (FOCUS, FOCUS + '\nfocus = ["shaking:front"]'))
    assert set(found) == {"setups.oil_20.front.rebound", "comparison.focus[1]"}


def test_a_wrong_entry_of_a_list_hides_nothing_else(problems: Problems) -> None:
    found = problems((FOCUS, "candidates = [8]"), ('setup = "oil_8"', 'setup = "oil_80"'))
    assert set(found) == {"comparison.candidates[1]", "runs[2].setup"}


@pytest.mark.parametrize("typo", ["travle_mm = 170", 'travel_mm = "long"'])
def test_what_may_follow_from_a_key_of_travel_is_not_told(problems: Problems, typo: str) -> None:
    found = problems(("travel_mm = 170\nmeasured_travel_mm = 168.5\n", f"{typo}\n"))
    assert len(found) == 1


def test_a_misspelt_table_hides_its_travel(problems: Problems) -> None:
    assert set(problems(("[bike.front]", "[bike.frnt]"))) == {"bike.frnt"}


def test_a_sensor_wrong_from_the_start_is_told_once(problems: Problems) -> None:
    more = '\n[setups.oil_8.sensors.fork]\ncolumn = "A2"\n'
    assert set(problems((FORK_POINTS, "points = 3"), more=more)) == {"sensors.fork.points"}


FORMS = [
    (REBOUND, "rebound = 9", "rebound = { clicks_from_closed = 9, of = 18 }"),
    (REBOUND, 'rebound = "7 of 22"', "rebound = { clicks_from_closed = 7, of = 22 }"),
    (FORK_POINTS, "points = [212, 0.0]", "points = [[212, 0.0], [another reading, its mm]]"),
    (FORK_POINTS, "points = [212, 0.0, 3770, 170.0]", "points = [[212, 0.0], [3770, 170.0]]"),
    (FORK_POINTS, "points = { 212 = 0.0, 3770 = 170.0 }", "points = [[212, 0.0], [3770, 170.0]]"),
    (FORK_POINTS, "", "[[0, 0], [160, 160]] where the log holds mm"),
    ('leverage = "leverage.csv"', 'ratio = "2,64"', "ratio = 2.64"),
    ('leverage = "leverage.csv"', "leverage = 2.64", "ratio = 2.64"),
    ('leverage = "leverage.csv"', 'ratio = "leverage.csv"', 'leverage = "leverage.csv"'),
    ("travel_mm = 170", 'travel_mm = "170 mm"', "travel_mm = 170"),
    ("date = 2026-05-16", 'date = "2026-05-16"', "date = 2026-05-16"),
    ("date = 2026-05-16", 'date = "16.05.2026"', "date = 2026-05-16"),
    ("date = 2026-05-16", 'date = "5/6/2026"', "date = 2026-05-16 without quotes"),
    ("started_at = 2026-05-16T09:12:00", 'started_at = "2026-05-16 09:12"', "started_at = 2026-05-16T09:12:00"),
    ("started_at = 2026-05-16T09:12:00", "started_at = 09:12:00", "started_at = 2026-05-16T09:12:00"),
    ('log = "run_1.csv"', 'log = ["f.csv", "r.csv"]', 'log = { front = "f.csv", rear = "r.csv" }'),
    ('log = "run_1.csv"', 'log = ["run_1.csv"]', 'log = "run_1.csv"'),
    ('label = "20 ml per leg"', "label = 20", 'label = "20"'),
    (FOCUS, FOCUS + '\nfocus = "dynamic_sag:front"', 'focus = ["dynamic_sag:front"]'),
    (FOCUS, FOCUS + "\nsmallest_change = { dynamic_sag = 3 }", "an amount with its unit: '3 points'"),
    (FOCUS, FOCUS + "\nsmallest_change = 2", 'smallest_change = { dynamic_sag = "2 points" }'),
    ('time = { column = "t_ms", unit = "ms" }', 'time = "t_ms"', 'time = { column = "t_ms", unit = "ms" }'),
    ("counts_range = [0, 4095]", "counts_range = 4095", "counts_range = [0, 4095]"),
    ("[comparison]", "[[comparison]]", "[comparison] in single brackets"),
    ("air_pressure_bar = 6.1", "air_pressure_bar = 88", "88 psi? Then air_pressure_psi = 88"),
    ("air_temperature_c = 14", "air_temperature_c = 75", "75 °F? Then air_temperature_f = 75"),
    ("stroke_mm = 62.5", "stroke_mm = 2.5", "2.5 in? Then stroke_in = 2.5"),
    ("stroke_mm = 62.5", "stroke_mm = 6.25", "6.25 in? Then stroke_in = 6.25"),
    ("travel_mm = 170", "travel_mm = 17", "17 cm? Then travel_mm = 170"),
    ("travel_mm = 170", "travel_mm = 0.17", "0.17 m? Then travel_mm = 170"),
]


@pytest.mark.parametrize(("old", "new", "right"), FORMS, ids=[new for _, new, _ in FORMS])
def test_a_wrong_form_shows_the_right_one(problems: Problems, old: str, new: str, right: str) -> None:
    assert right in " ".join(problem.expected for problem in problems((old, new)).values())


def test_a_single_table_in_place_of_a_list_is_shown_in_double_brackets(problems: Problems) -> None:
    found = problems(
        ('[[static]]\nlog = "lifted_1.csv"\nkind = "lifted"\nsetup = "oil_20"\n', ""), ("[[static]]", "[static]")
    )
    assert "[[static]] in double brackets" in found["static"].expected


@pytest.mark.parametrize(
    ("_old", "_new", "right"), [item for item in FORMS if item[2].startswith(("rebound", "log", "focus"))]
)
def test_what_is_shown_is_toml(_old: str, _new: str, right: str) -> None:
    assert tomllib.loads(right)


def test_a_long_text_is_not_shown_again() -> None:
    assert not right_form(("comparison", "focus"), "x" * 61, "list_type")


class TestPointsInAnotherUnit:
    """Points that span next to nothing of full travel, 168.5 mm, or of stroke, 62.5 mm."""

    @pytest.mark.parametrize(
        ("points", "unit", "right"),
        [
            ("[[212, 0.0], [3770, 6.5]]", "inches", "[[212, 0], [3770, 165.1]]"),
            ("[[212, 0.0], [3770, 17.0]]", "cm", "[[212, 0], [3770, 170]]"),
            ("[[212, 0.0], [3770, 0.17]]", "metres", "[[212, 0], [3770, 170]]"),
        ],
    )
    def test_of_a_fork(self, problems: Problems, points: str, unit: str, right: str) -> None:
        problem = problems((FORK_POINTS, f"points = {points}"))["sensors.fork.points"]
        assert f"are these {unit}?" in problem.expected
        assert right in problem.expected
        assert "of 168.5 mm of full travel" in problem.found

    def test_of_a_shock(self, problems: Problems) -> None:
        problem = problems((SHOCK_POINTS, "points = [[305, 0.0], [3601, 2.5]]"))["sensors.shock.points"]
        assert "are these inches? Then points = [[305, 0], [3601, 63.5]]" in problem.expected

    def test_that_no_unit_explains(self, problems: Problems) -> None:
        problem = problems((FORK_POINTS, "points = [[212, 0.0], [3770, 1.0]]"))["sensors.fork.points"]
        assert problem.expected == "points in mm, from topped out to near the deepest"

    @pytest.mark.parametrize(("mm", "refused"), [(20.2, True), (20.3, False)])
    def test_from_twelve_hundredths_on_they_calibrate(
        self, read: Read, problems: Problems, mm: float, refused: bool
    ) -> None:
        edit = (FORK_POINTS, f"points = [[212, 0.0], [3770, {mm}]]")
        assert problems(edit) if refused else read(edit)
