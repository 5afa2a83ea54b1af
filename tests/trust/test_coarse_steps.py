"""`coarse_steps`: a sensor whose step is over 0.5 % of travel."""

from __future__ import annotations

from pathlib import Path

from tests.trust.one_run import Day, again, assert_says, ridden, the_one, told, working

FRONT = REAR = working(40.0)


def test_what_it_says(tmp_path: Path) -> None:
    run = ridden(tmp_path, FRONT, REAR, Day(rear_steps_per_mm=1.0))
    finding = the_one(run, "coarse_steps")
    assert (finding.severity, finding.end) == ("warning", "rear")
    assert_says(finding, "run_1", "rear", "1.00 mm", "0.75 mm", "0.5 %", "converter's range")
    assert run.usable == "with care"
    assert run.measures


def test_a_curve_without_stated_stroke_still_gives_the_step_at_the_wheel(tmp_path: Path) -> None:
    """A step of 0.3 mm of stroke is 0.75 mm at the wheel: 0.5 %, seen only through the curve."""
    (tmp_path / "leverage.csv").write_text("stroke_mm,travel_mm\n0,0\n60,150\n")
    rear = {"stroke_mm = 60\nratio = 2.5": 'travel_mm = 150\nleverage = "leverage.csv"'}
    coarse = ridden(tmp_path, FRONT, REAR, Day(changes=rear, rear_steps_per_mm=1 / 0.80))
    assert_says(the_one(coarse, "coarse_steps"), "0.80 mm", "0.75 mm")
    assert not told(ridden(tmp_path, FRONT, REAR, Day(changes=rear, rear_steps_per_mm=1 / 0.70)), "coarse_steps")


def test_an_uneven_clock_does_not_hide_the_step(tmp_path: Path) -> None:
    """Interpolated readings lie between the steps; the sensor's own are judged."""
    ridden(tmp_path, FRONT, REAR, Day(front_steps_per_mm=1.0))
    lines = (tmp_path / "run_1.csv").read_text().splitlines()
    uneven = [lines[0]]
    for place, line in enumerate(lines[1:]):
        stamp, rest = line.split(",", 1)
        uneven.append(f"{float(stamp) + 0.7 * (place * 7919 % 5 - 2):.3f},{rest}")
    (tmp_path / "run_1.csv").write_text("\n".join(uneven) + "\n")
    run = again(tmp_path)
    assert told(run, "uneven_clock")
    assert_says(the_one(run, "coarse_steps"), "1.00 mm")
