"""`stuck`: a sensor that stays within one step while the other end works."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import FRONT_FULL_MM, RATE_HZ, Day, assert_says, ridden, the_one, told, working

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


@pytest.mark.parametrize("start_s", [10.0, 10.028, 10.052, 17.4])
def test_stuck_for_the_limit_wherever_it_starts(tmp_path: Path, start_s: float) -> None:
    run = ridden(tmp_path, held(start_s, LIMIT, 60.0), REAR)
    finding = the_one(run, "stuck")
    assert (finding.severity, finding.end) == ("error", "front")
    assert finding.second == pytest.approx(start_s, abs=0.5 / RATE_HZ)
    assert_says(finding, "run_1", "front", "60.0 mm", "1.5 s", "strokes", "rear", "check")
    assert run.usable == "ride again"
    assert not run.measures
    assert {gone.reason for gone in run.absent} == {"stuck"}


def test_a_sample_less_is_not_stuck(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, held(10.052, LIMIT - 1, 60.0), REAR), "stuck")


def test_flickering_by_one_step_is_stuck(tmp_path: Path) -> None:
    assert told(ridden(tmp_path, held(10.0, 500, 60.0, flicker_mm=0.05), REAR), "stuck")


def test_flickering_by_two_steps_is_not(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, held(10.0, 500, 60.0, flicker_mm=0.10), REAR), "stuck")


@pytest.mark.parametrize(("share", "expected"), [(0.031, True), (0.029, False), (-0.031, True), (-0.029, False)])
def test_only_more_than_3_percent_away_from_zero(tmp_path: Path, share: float, *, expected: bool) -> None:
    run = ridden(tmp_path, held(10.0, 500, share * FRONT_FULL_MM), REAR)
    assert bool(told(run, "stuck")) is expected


class TestTheOtherEnd:
    """It has to make three strokes over 6 % meanwhile."""

    @staticmethod
    def with_strokes(count: int, share: float) -> np.ndarray:
        """Return rear travel that makes so many strokes from 11 s on, each 0.2 s long, then one of 3 mm."""
        time = np.arange(10_000) / RATE_HZ
        turns = np.clip((time - 11.0) / 0.2, 0, count)
        back = 3.0 * np.clip((time - 11.0) / 0.2 - count, 0, 1) * (-1.0) ** count
        into = -1.5 * np.clip((time - 9.2) / 1.8, 0, 1)  # so that the first stroke starts inside
        return 50 + into + 150 * share / 2 * (1 - np.cos(np.pi * turns)) + back

    @pytest.mark.parametrize(
        ("strokes", "share", "expected"),
        [(3, 0.07, True), (2, 0.07, False), (8, 0.055, False)],
    )
    def test_three_strokes_over_6_percent(self, tmp_path: Path, strokes: int, share: float, *, expected: bool) -> None:
        rear = self.with_strokes(strokes, share)
        rear += 0.2 * np.sin(2 * np.pi * 17 * np.arange(10_000) / RATE_HZ)  # so that it isn't standing
        rear[:2300], rear[3800:] = REAR[:2300], REAR[3800:]
        run = ridden(tmp_path, held(10.0, 1000, 60.0), rear)
        assert bool(told(run, "stuck")) is expected, [finding.message for finding in run.findings]

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
