"""`hardly_moves`: an end that uses under 3 % of its travel for 20 s of riding."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import RATE_HZ, assert_says, ridden, the_one, told, working

SECONDS = 50.0
TIME = np.arange(round(SECONDS * RATE_HZ)) / RATE_HZ
FRONT = working(SECONDS)


def quiet(start_s: float, lasts_s: float, range_mm: float) -> np.ndarray:
    """Return rear travel that works, but stays within a range for some seconds."""
    travel = working(SECONDS)
    inside = (start_s <= TIME) & (start_s + lasts_s > TIME)
    travel[inside] = 60 + range_mm / 2 * np.sin(2 * np.pi * 1.25 * TIME[inside])
    return travel


def test_20_seconds_under_3_percent(tmp_path: Path) -> None:
    start_s = 8.3
    run = ridden(tmp_path, FRONT, quiet(start_s, 20.4, 0.028 * 150))
    finding = the_one(run, "hardly_moves")
    assert (finding.severity, finding.end) == ("warning", "rear")
    assert finding.second == pytest.approx(start_s, abs=0.5)
    assert_says(finding, "run_1", "rear", "4.2 mm", "20 s", "4.5 mm, 3 %", "lever closed, or sensor loose?")
    assert run.usable == "with care"
    assert run.measures


def test_standing_does_not_count_as_riding(tmp_path: Path) -> None:
    front, rear = FRONT.copy(), quiet(5.0, 30.0, 2.0)
    still = (TIME >= 10.0) & (TIME < 25.0)
    front[still] = rear[still] = 60.0
    assert not told(ridden(tmp_path, front, rear), "hardly_moves")


def test_riding_on_both_sides_of_a_stop_counts_together(tmp_path: Path) -> None:
    front, rear = FRONT.copy(), quiet(5.0, 30.0, 2.0)
    still = (TIME >= 15.0) & (TIME < 20.0)
    front[still] = rear[still] = 60.0
    assert the_one(ridden(tmp_path, front, rear), "hardly_moves").end == "rear"
