"""`outside_range`: readings no converter of the stated range makes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.trust.one_run import Day, assert_says, ridden, the_one, told, working

REAR = working(40.0, middle_mm=50.0)


def with_range(low: int, high: int) -> Day:
    return Day(changes={"[3300, 160.0]]": f"[3300, 160.0]]\ncounts_range = [{low}, {high}]"})


@pytest.mark.parametrize(("low", "high"), [(0, 4095), (0, 1800), (800, 1800)])  # it reads from 800 to 1800
def test_within_it_is_nothing(tmp_path: Path, low: int, high: int) -> None:
    assert not told(ridden(tmp_path, working(40.0), REAR, with_range(low, high)), "outside_range")


@pytest.mark.parametrize(("low", "high", "furthest"), [(0, 1799, "1800"), (801, 4095, "800"), (0, 1023, "1800")])
def test_beyond_it_is_a_warning(tmp_path: Path, low: int, high: int, furthest: str) -> None:
    finding = the_one(ridden(tmp_path, working(40.0), REAR, with_range(low, high)), "outside_range")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert_says(finding, "run_1", f"({low} to {high}; furthest {furthest}", "% of readings", "counts_range")
