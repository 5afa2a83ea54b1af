"""`stuck`: a sensor that stays within one step while the other end works."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import RATE_HZ, Day, assert_lost, assert_says, ridden, the_one, told, working

REAR = working(40.0, middle_mm=50.0)


def held(start_s: float, samples: int, level_mm: float, flicker_mm: float = 0.0) -> np.ndarray:
    """Return working travel that stays at a level for so many samples, and moves away on either side."""
    travel = working(40.0)
    first = round(start_s * RATE_HZ)
    travel[first : first + samples] = level_mm
    travel[first : first + samples : 2] += flicker_mm
    travel[first - 1] = travel[first + samples] = level_mm + 4.0
    return travel


LIMIT = round(1.5 * RATE_HZ)


def test_stuck_for_the_limit(tmp_path: Path) -> None:
    start_s = 10.052
    run = ridden(tmp_path, held(start_s, LIMIT, 60.0), REAR)
    finding = the_one(run, "stuck")
    assert (finding.severity, finding.end) == ("error", "front")
    assert finding.second == pytest.approx(start_s, abs=0.5 / RATE_HZ)
    assert_says(finding, "run_1", "front", "60.0 mm", "1.5 s", "strokes", "rear", "check")
    assert_lost(run, "front", "stuck")


class TestTheOtherEnd:
    """It has to work meanwhile."""

    def test_both_at_rest_is_standing(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, held(10.0, 1000, 60.0), held(10.0, 1000, 50.0)), "stuck")

    def test_the_rear_can_be_stuck_too(self, tmp_path: Path) -> None:
        assert the_one(ridden(tmp_path, working(40.0), held(10.0, 500, 50.0)), "stuck").end == "rear"


def test_one_step_holds_all_along_a_progressive_curve(tmp_path: Path) -> None:
    """One count is 14 % more travel at the start of this curve than on average."""
    (tmp_path / "leverage.csv").write_text("stroke_mm,travel_mm\n0,0\n15,43\n30,82\n45,117\n60,150\n")
    rear = held(10.0, 500, 12.0, flicker_mm=0.05)  # of the sensor's steps; the curve makes wheel travel of them
    run = ridden(tmp_path, working(40.0), rear, Day(changes={"ratio = 2.5": 'leverage = "leverage.csv"'}))
    assert the_one(run, "stuck").end == "rear"
