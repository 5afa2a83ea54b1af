"""`poor_calibration`: a calibration point that lies over 1 % of travel off the line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.trust.one_run import Day, assert_says, codes, ridden, the_one, told, working

FRONT = REAR = working(40.0)


def fork(middle_mm: float, more: str = "") -> Day:
    """Return a fork calibrated at 0, 80 and 160 mm, the middle point misread; it lies 2/3 of that off the line."""
    points = f"points = [[100, 0.0], [1700, {middle_mm}], [3300, 160.0]]{more}"
    return Day(changes={"points = [[100, 0.0], [3300, 160.0]]": points})


def shock(middle_mm: float, ends: str = "stroke_mm = 60\nratio = 2.5") -> Day:
    """Return the same of a shock, 0, 30 and 60 mm of stroke."""
    points = f"points = [[200, 0.0], [1700, {middle_mm}], [3200, 60.0]]"
    changes = {"points = [[200, 0.0], [3200, 60.0]]": points, "stroke_mm = 60\nratio = 2.5": ends}
    return Day(changes=changes)


@pytest.mark.parametrize(("off_mm", "expected"), [(0.62 * 1.5, True), (0.58 * 1.5, False)])
def test_also_where_the_stroke_follows_from_the_curve(tmp_path: Path, off_mm: float, *, expected: bool) -> None:
    (tmp_path / "leverage.csv").write_text("stroke_mm,travel_mm\n0,0\n60,150\n")
    day = shock(30 + off_mm, 'travel_mm = 150\nleverage = "leverage.csv"')
    assert bool(told(ridden(tmp_path, FRONT, REAR, day), "poor_calibration")) is expected


def test_what_it_says(tmp_path: Path) -> None:
    run = ridden(tmp_path, FRONT, REAR, fork(80 + 3.0))
    finding = the_one(run, "poor_calibration")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert_says(finding, "run_1", "front", "2.00 mm", "1.60 mm, 1 % of travel", "curve")
    assert run.usable == "with care"
    assert run.measures


def test_a_curve_goes_through_its_points(tmp_path: Path) -> None:
    run = ridden(tmp_path, FRONT, REAR, fork(90.0, '\ncalibration = "curve"'))
    assert "poor_calibration" not in codes(run)


def test_two_points_are_always_on_their_line(tmp_path: Path) -> None:
    assert "poor_calibration" not in codes(ridden(tmp_path, FRONT, REAR))
