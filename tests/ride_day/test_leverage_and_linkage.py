"""Leverage files and linkages, as a ride day names them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.errors import Problem
from telemetry.model.day import RideDay

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

LEVERAGE = 'leverage = "leverage.csv"'

LINKAGE = """\
[bike.rear.linkage]
fixed = { main = [-12.0, 38.0], rocker = [-25.0, 238.0], shock_front = [205.0, 322.0] }
moving = { axle = [-446.0, 12.0], stay = [-108.0, 55.0], link_top = [-85.0, 232.0], shock_rear = [-98.0, 327.0] }
shock = ["shock_front", "shock_rear"]
axle = "axle"
plus_minus_mm = 1.0
[bike.rear.linkage.bodies]
swingarm = ["main", "axle", "stay"]
link = ["stay", "link_top"]
rocker = ["rocker", "link_top", "shock_rear"]
"""


def written(folder: Path, text: str, encoding: str = "utf-8") -> None:
    (folder / "leverage.csv").write_bytes(text.encode(encoding))


@pytest.mark.parametrize(
    "text",
    [
        "stroke_mm,travel_mm\n0,0\n30.5,90\n62.5,165\n",
        "stroke_mm;travel_mm\r\n0;0\r\n30,5;90\r\n62,5;165\r\n",
        "stroke_mm\ttravel_mm\n0\t0\n30,5\t90\n62.5\t165",
        'note,"Travel_mm", Stroke_mm \n\n top,0,0\n mid,90,30.5\n end,165,62.5\n\n',
        "\ufeffstroke_mm;travel_mm;ratio\n0;0;\n30.5;90;2.9\n62.5;165;2.3\n",
        "stroke_mm; travel_mm; größe\n0;0;\n30.5;90;2.9\n62.5;165;2.3\n",
    ],
)
def test_leverage_files_are_read_by_column_name(read: Read, folder: Path, text: str) -> None:
    written(folder, text, "cp1252" if "ö" in text else "utf-8")
    table = read().setups["oil_20"].rear.leverage
    assert table is not None
    assert (table.stroke_mm, table.travel_mm) == ((0.0, 30.5, 62.5), (0.0, 90.0, 165.0))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "empty file"),
        ("stroke,travel\n0,0\n60,160\n", "columns stroke, travel"),
        ("stroke_mm,travel_mm\n0,0\n", "1 rows"),
        ("stroke_mm,travel_mm\n5,12\n62.5,165\n", "5, 12 in row 2"),
        ("stroke_mm,travel_mm\n0,0\n30,80\n30,90\n62.5,165\n", "30, 90 in row 4 after 30, 80"),
        ("stroke_mm,travel_mm\n0,0\n30,80\n62.5,70\n", "in row 4"),
        ("stroke_mm,travel_mm\n0,0\n30,x\n62.5,165\n", "in row 3"),
        ("stroke_mm,travel_mm\n0,0\n30\n62.5,165\n", "in row 3"),
        ("stroke_mm,travel_mm\n0,0\n30,nan\n62.5,165\n", "in row 3"),
        ("stroke_mm,travel_mm\n0,0\n30,1e99\n62.5,165\n", "in row 3"),
        ("stroke_mm,travel_mm\n0,0\n1_0,20\n62.5,165\n", "in row 3"),
        ("stroke_mm,travel_mm\n0,0\n5,2\n10,20\n62.5,165\n", "falls to 0 at row 2"),
        ("stroke_mm,travel_mm\n0,0\n50,140\n56,162\n62.5,165\n", "falls to 0 at row 5"),
        ("stroke_mm,travel_mm\n\x00\x01", "binary"),
        ("stroke_mm,travel_mm\n0,0\n" + "9" * 200_000, "absurd length"),
        ("x" * 1_100_000, "over 1 MB"),
    ],
)
def test_leverage_files_that_are_refused(problems: Problems, folder: Path, text: str, found: str) -> None:
    written(folder, text)
    problem = problems()["bike.rear.leverage"]
    assert found in problem.found
    assert problem.expected


def test_a_leverage_file_begins_at_nothing(problems: Problems, folder: Path) -> None:
    written(folder, "stroke_mm,travel_mm\n5,12\n62.5,165\n")
    assert "0, 0" in problems()["bike.rear.leverage"].expected


@pytest.mark.parametrize(
    ("name", "found"),
    [("leverag.csv", "no file"), ("../leverage.csv", "leads out"), ("/leverage.csv", "absolute"), (".", "folder")],
)
def test_where_a_leverage_file_may_lie(problems: Problems, name: str, found: str) -> None:
    assert found in problems((LEVERAGE, f'leverage = "{name}"'))["bike.rear.leverage"].found


def test_the_worked_linkage(read: Read) -> None:
    end = read((LEVERAGE, ""), more=LINKAGE).setups["oil_8"].rear
    assert end.full_travel_from == "linkage"
    assert end.full_travel_mm == pytest.approx(165.4, abs=0.05)
    assert end.leverage is not None
    first = end.leverage.travel_mm[1] / end.leverage.stroke_mm[1]
    last = (end.leverage.travel_mm[-1] - end.leverage.travel_mm[-2]) / (
        end.leverage.stroke_mm[-1] - end.leverage.stroke_mm[-2]
    )
    assert (first, last) == (pytest.approx(2.98, abs=0.01), pytest.approx(2.31, abs=0.01))
    assert end.settings["linkage"].entered == "as measured"


def test_a_linkage_in_a_setup_replaces_the_bikes_curve(read: Read) -> None:
    day = read(more=LINKAGE.replace("bike.rear", "setups.oil_8.rear"))
    assert day.setups["oil_20"].rear.full_travel_from == "leverage"
    assert day.setups["oil_8"].rear.full_travel_from == "linkage"


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('["main", "axle", "stay"]', '["main", "axel", "stay"]', ".bodies.swingarm", "'axle'"),
        ('link = ["stay", "link_top"]', 'link = ["stay"]', ".bodies.link", "two different points"),
        ('link = ["stay", "link_top"]', 'link = ["stay", "stay"]', ".bodies.link", "two different points"),
        ('shock = ["shock_front", "shock_rear"]', 'shock = ["shock_front"]', ".shock", "two different points"),
        ('shock = ["shock_front", "shock_rear"]', 'shock = ["shock_front", "shock_raer"]', ".shock", "'shock_rear'"),
        ('axle = "axle"', 'axle = "main"', ".axle", "moving"),
        ('axle = "axle"', "", ".axle", "required"),
        ("main = [-12.0, 38.0]", "main = [-12.0]", ".fixed.main", "two numbers"),
        ("main = [-12.0, 38.0]", "main = [-12.0, inf]", ".fixed.main[2]", "number"),
        ("main = [-12.0, 38.0]", "main = [-12.0, 38.0], stay = [0.0, 0.0]", ".moving.stay", "either"),
        ("plus_minus_mm = 1.0", "plus_minus_mm = -1.0", ".plus_minus_mm", "0 to 20 mm"),
        ("plus_minus_mm = 1.0", "plus_minus = 1.0", ".plus_minus", "'plus_minus_"),
    ],
)
def test_wrong_linkages(problems: Problems, old: str, new: str, key: str, words: str) -> None:
    assert old in LINKAGE
    assert words in problems((LEVERAGE, ""), more=LINKAGE.replace(old, new))[f"bike.rear.linkage{key}"].expected


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ('link = ["stay", "link_top"]', "", "2 degrees of freedom"),
        (
            'link = ["stay", "link_top"]',
            'link = ["stay", "link_top"]\nbar = ["main", "link_top"]',
            "0 degrees of freedom",
        ),
    ],
)
def test_a_mechanism_of_another_freedom(problems: Problems, old: str, new: str, found: str) -> None:
    problem = problems((LEVERAGE, ""), more=LINKAGE.replace(old, new))["bike.rear.linkage"]
    assert found in problem.found
    assert "one degree of freedom" in problem.expected


def test_a_wrong_linkage_shared_by_setups_is_one_problem(problems: Problems) -> None:
    found = problems((LEVERAGE, ""), more=LINKAGE.replace('"main", "axle"', '"main", "axel"'))
    assert list(found) == ["bike.rear.linkage.bodies.swingarm"]


def test_a_linkage_needs_the_stroke(problems: Problems) -> None:
    found = problems(("stroke_mm = 62.5\n" + LEVERAGE, ""), more=LINKAGE)
    assert "stroke_mm" in found["bike.rear.linkage"].expected


def test_what_follows_from_a_wrong_key_is_not_told(problems: Problems) -> None:
    found = problems(("stroke_mm = 62.5\n" + LEVERAGE, "stroke_mm = 625\nratio = 2.64"))
    assert list(found) == ["bike.rear.stroke_mm"]


def test_no_log_is_named_in_place_of_a_leverage_file(problems: Problems, folder: Path) -> None:
    (folder / "leverage.csv").rename(folder / "rear end.txt")
    (folder / "leverage_run.csv").write_text("t_ms,A0,A1\n0,212,305\n", encoding="utf-8")
    expected = str(problems()["bike.rear.leverage"].expected)
    assert expected == "a leverage file that is there: one of rear end.txt"
    (folder / "rear end.txt").unlink()
    assert str(problems()["bike.rear.leverage"].expected) == "a leverage file that is there"
