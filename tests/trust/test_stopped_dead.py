"""`stopped_dead`: an end that rests from one row to the next, or jumps out of its rest; and one that idles."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import RATE_HZ, assert_says, ridden, the_one, told, working

REAR = working(40.0, middle_mm=50.0)


def dead(start_s: float, lasts_s: float, level_mm: float, noise_mm: float = 0.2) -> np.ndarray:
    """Return working travel that dies at a level for a while, with a converter's noise either way."""
    travel = working(40.0)
    first, count = round(start_s * RATE_HZ), round(lasts_s * RATE_HZ)
    travel[first : first + count] = level_mm + np.random.default_rng(2).uniform(-noise_mm, noise_mm, count)
    return travel


def eased(start_s: float, lasts_s: float, level_mm: float) -> np.ndarray:
    """Return working travel that comes to rest and starts again within half a second either way."""
    travel = working(40.0)
    time = np.arange(travel.shape[0]) / RATE_HZ
    rest = np.clip(np.minimum(time - (start_s - 0.5), start_s + lasts_s + 0.5 - time) / 0.5, 0, 1)
    share = rest * rest * (3 - 2 * rest)
    return travel * (1 - share) + level_mm * share


@pytest.mark.parametrize("lasts_s", [0.5, 8.0])
def test_a_sensor_that_dies_with_noise(tmp_path: Path, lasts_s: float) -> None:
    finding = the_one(ridden(tmp_path, dead(12.0, lasts_s, 90.0), REAR), "stopped_dead")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert finding.second == pytest.approx(12.0, abs=0.01)
    assert_says(finding, "run_1", "front", "90.0 mm", f"{lasts_s:.1f} s", "12.00 s", "jump", "check", "ride again")


def test_both_ends_dead_at_once(tmp_path: Path) -> None:
    run = ridden(tmp_path, dead(12.0, 4.0, 90.0), dead(12.0, 4.0, 80.0))
    assert {finding.end for finding in told(run, "stopped_dead")} == {"front", "rear"}
    assert run.usable == "with care"


def test_an_end_that_comes_to_rest_and_starts_again_is_not(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, eased(12.0, 3.0, 60.0), eased(12.0, 3.0, 50.0)), "stopped_dead")


class TestIdle:
    """`hardly_moves` over 3 s: within 1 % of travel while the other end makes five strokes."""

    def test_says_how_much_and_how_long(self, tmp_path: Path) -> None:
        finding = the_one(ridden(tmp_path, eased(12.0, 6.0, 60.0), REAR), "hardly_moves")
        assert finding.severity == "warning"
        assert_says(finding, "run_1", "front", "1.6 mm", "1 % of travel", "strokes", "lever closed, or sensor loose")

    def test_not_while_the_other_rests(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, eased(12.0, 6.0, 60.0), eased(12.0, 6.0, 50.0)), "hardly_moves")


class TestFrozenTogether:
    """Both ends rest from one same row to another: the logger's last readings again and again."""

    @staticmethod
    def frozen(shift: int = 0) -> tuple[np.ndarray, np.ndarray]:
        """Return both ends, each held for 2 s at what it reads at 12.06 s; the rear so many rows later."""
        ends = working(40.0), working(40.0, middle_mm=50.0)[::-1].copy()
        for travel, first in zip(ends, (3015, 3015 + shift), strict=True):
            travel[first : first + 500] = travel[first]
            travel[first + 500 :] += travel[first] - travel[first + 500] + 0.7  # no jump that a wheel can't make
        return ends

    def test_told_once_for_both(self, tmp_path: Path) -> None:
        finding = the_one(ridden(tmp_path, *self.frozen()), "stopped_dead")
        assert (finding.severity, finding.end) == ("warning", None)
        assert_says(finding, "both ends", "2.0 s", "12.06 s", "same row", "ride again")

    def test_not_where_each_rests_by_itself(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, *self.frozen(shift=3)), "stopped_dead")
