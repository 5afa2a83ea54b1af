"""`beyond_travel`: cleaned travel outside −2 ... 102 % of full travel."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import Day, assert_lost, assert_says, codes, ridden, the_one, told, working

REAR = working(40.0)


def reaching(level_mm: float, samples: int, first: int = 2000) -> np.ndarray:
    """Return working travel of which so many samples lie at a level, met slowly enough to be no spike."""
    travel = working(40.0)
    near = np.linspace(60.0, level_mm, 40, endpoint=False)
    travel[first - 40 : first] = near
    travel[first : first + samples] = level_mm
    travel[first + samples : first + samples + 40] = near[::-1]
    return travel


class TestWarning:
    """Any sample beyond earns one, the limits themselves don't."""

    @pytest.mark.parametrize("level_mm", [163.3, -3.3])
    def test_a_few_samples_outside(self, tmp_path: Path, level_mm: float) -> None:
        run = ridden(tmp_path, reaching(level_mm, 5), REAR)
        finding = the_one(run, "beyond_travel")
        assert (finding.severity, finding.end) == ("warning", "front")
        assert finding.second == pytest.approx(2000 / 250, abs=1e-6)
        assert_says(
            finding,
            "run_1",
            "front",
            "0.05 % of samples",
            f"{level_mm:.1f} mm".replace("-", "−"),
            "8.00 s",
            "102 %",
            "check",
        )
        assert run.measures

    def test_the_rear_is_judged_at_the_wheel(self, tmp_path: Path) -> None:
        assert the_one(ridden(tmp_path, working(40.0), reaching(153.1, 5)), "beyond_travel").end == "rear"
        assert not told(ridden(tmp_path, working(40.0), reaching(152.9, 5)), "beyond_travel")

    def test_measured_travel_is_the_full_travel_in_force(self, tmp_path: Path) -> None:
        day = Day(changes={"travel_mm = 160": "travel_mm = 160\nmeasured_travel_mm = 156"})
        assert told(ridden(tmp_path, reaching(160.0, 5), REAR, day), "beyond_travel")
        assert not told(ridden(tmp_path, reaching(159.0, 5), REAR, day), "beyond_travel")


class TestError:
    """More than 1 % of samples."""

    def test_the_end_keeps_its_entry_without_measures(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, reaching(164.0, 300), REAR)
        assert_lost(run, "front", "beyond_travel")


def test_a_good_run_is_told_nothing_but_notes(tmp_path: Path) -> None:
    run = ridden(tmp_path, working(40.0), REAR)
    assert codes(run, "warning", "error") == set()
    assert run.usable == "good"
