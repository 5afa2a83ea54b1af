"""`ends_swapped`: the rear meets the bumps before the front in most windows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.trust import ends_swapped_in_part
from tests.trust.one_run import RATE_HZ, Day, assert_says, codes, ridden, the_one, told

SECONDS = 60.0
WHEELBASE_M = 1.25


def trail(speed_m_s: float, *, seconds: float = SECONDS) -> tuple[np.ndarray, np.ndarray]:
    """Return front and rear travel over one rough trail, the rear a wheelbase later, each with some of its own."""
    count = round(seconds * RATE_HZ)
    source = np.random.default_rng(5)
    bumps = np.convolve(source.standard_normal(count + 1000), np.hanning(15), "same")
    lag = round(WHEELBASE_M / speed_m_s * RATE_HZ)
    own = 0.25 * source.standard_normal((2, count + 1000))
    own = np.array([np.convolve(row, np.hanning(15), "same") for row in own])
    ends = bumps[1000 : 1000 + count], bumps[1000 - lag : 1000 - lag + count]
    scaled = [60 + 6 * (end + extra[:count]) for end, extra in zip(ends, own, strict=True)]
    return scaled[0], scaled[1]


@pytest.mark.parametrize("speed_m_s", [3.0, 6.0, 12.0])
def test_the_right_way_round(tmp_path: Path, speed_m_s: float) -> None:
    run = ridden(tmp_path, *trail(speed_m_s))
    assert not told(run, "ends_swapped")
    assert run.value("ground_speed", "both") == pytest.approx(speed_m_s, rel=0.05)


@pytest.mark.parametrize("speed_m_s", [3.0, 6.0, 12.0])
def test_the_wrong_way_round(tmp_path: Path, speed_m_s: float) -> None:
    front, rear = trail(speed_m_s)
    run = ridden(tmp_path, rear, front)
    finding = the_one(run, "ends_swapped")
    assert (finding.severity, finding.end) == ("warning", None)
    assert_says(
        finding, "run_1", "rear", "before the front", "windows of 4 s", "limit half", "check `end` and `column`"
    )
    assert run.usable == "with care"
    assert run.measures


def test_columns_swapped_in_the_file_are_found(tmp_path: Path) -> None:
    """As it happens: the log is right, the plugs were named the wrong way round."""
    changes = {'"A0"': '"A9"', '"A1"': '"A0"', '"A9"': '"A1"', "[[100, 0.0]": "[[200, 0.0]", "[3200, 60": "[3100, 60"}
    run = ridden(tmp_path, *trail(6.0), Day(changes=changes))
    assert "ends_swapped" in codes(run, "warning")


def test_a_sensor_for_ground_speed_does_not_hide_it(tmp_path: Path) -> None:
    front, rear = trail(6.0)
    extra = '[sensors.wheel]\nkind = "ground_speed"\ncolumn = "A0"\nunit = "km/h"'
    assert told(ridden(tmp_path, rear, front, Day(extra=extra)), "ends_swapped")


def test_a_bike_without_stated_wheelbase_is_judged_too(tmp_path: Path) -> None:
    front, rear = trail(6.0)
    assert told(ridden(tmp_path, rear, front, Day(changes={"wheelbase_mm = 1250\n": ""})), "ends_swapped")


def test_ends_that_have_nothing_in_common_are_not_swapped(tmp_path: Path) -> None:
    front, _ = trail(6.0)
    other = 60 + 6 * np.convolve(np.random.default_rng(9).standard_normal(front.shape[0]), np.hanning(15), "same")
    assert not told(ridden(tmp_path, front, other), "ends_swapped")


def test_swapped_for_a_part_of_the_run_is_told_as_that(tmp_path: Path) -> None:
    front, rear = trail(6.0)
    for share, places in ((0.40, "24."), (0.60, "36.")):
        part = round(share * front.shape[0])
        mixed = np.concatenate([rear[:part], front[part:]]), np.concatenate([front[:part], rear[part:]])
        found = told(ridden(tmp_path / places, *mixed), "ends_swapped")
        assert any(finding.no_verdict for finding in found)
        assert ("windows of 4 s (limit half" in " ".join(finding.message for finding in found)) is (share > 0.5)


class TestInAPart:
    """A part of a tenth of the run or more, of six windows, nine in ten of them reversed; the whole run isn't."""

    SECONDS = np.arange(0, 100.0, 0.01)
    WINDOWS = np.arange(0, 40) * 200

    def told(self, reversed_windows: list[int]) -> int:
        return len(ends_swapped_in_part("run_1", self.WINDOWS, self.WINDOWS[reversed_windows], self.SECONDS))

    @pytest.mark.parametrize(
        ("reversed_windows", "count"),
        [
            ([20, 21, 22, 23, 24, 25], 1),
            ([20, 21, 22, 23, 24], 0),
            ([20, 21, 22, 23, 25, 26], 0),
            ([20, 21, 22, 23, 24, 26, 27, 28, 29, 30], 1),
            ([0, 5, 10, 15, 20, 25, 30, 35], 0),
            ([], 0),
        ],
    )
    def test_nearly_all_of_it_is_reversed(self, reversed_windows: list[int], count: int) -> None:
        assert self.told(reversed_windows) == count

    def test_most_of_the_run_is_the_whole_runs_finding(self) -> None:
        assert self.told(list(range(30))) == 0

    def test_the_longest_part_is_named(self) -> None:
        """Beside an obvious version: every part that begins and ends reversed, by length."""
        rng = np.random.default_rng(3)
        for _ in range(200):
            turned = rng.random(40) < rng.choice([0.1, 0.6, 0.95])
            turned &= np.arange(40) >= rng.integers(0, 40)
            places = np.flatnonzero(turned).tolist()
            parts = [
                (first, last)
                for first in places
                for last in places
                if 10 * sum(turned[first : last + 1]) >= 9 * (last + 1 - first) >= 54
            ]
            found = ends_swapped_in_part("run_1", self.WINDOWS, self.WINDOWS[turned], self.SECONDS)
            if sum(turned) > 20 or not parts:
                assert found == ()
                continue
            first, last = max(parts, key=lambda part: (part[1] - part[0], -part[0]))
            assert f"from about {2 * first} to {2 * last + 4} s" in found[0].message

    def test_a_ride_of_half_a_day_takes_no_longer(self) -> None:
        windows = np.arange(20_000) * 2
        reversed_at = windows[np.r_[0:4_000:3, 12_000:20_000]]
        (finding,) = ends_swapped_in_part("run_1", windows, reversed_at, np.arange(40_000.0))
        assert "in 8000 of 8000 windows" in finding.message
