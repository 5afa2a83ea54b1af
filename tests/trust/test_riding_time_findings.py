"""`short_run` and `not_riding`: how much riding there is; `untrimmed`: whether its ends are known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import RATE_HZ, Day, again, assert_says, ridden, the_one, told, working, write_day


def riding_for(seconds: float, standing_s: float = 0.0) -> np.ndarray:
    """Return travel that works for so many seconds, stopping where it lies lowest, and then rests."""
    time = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    moving = 60 - 25 * np.cos(2 * np.pi * 1.25 * time)
    return np.concatenate([moving, np.full(round(standing_s * RATE_HZ), moving[-1])])


class TestShortRun:
    """Under 30 s of riding."""

    def test_under_the_limit(self, tmp_path: Path) -> None:
        travel = riding_for(29.9)
        run = ridden(tmp_path, travel, travel)
        finding = the_one(run, "short_run")
        assert finding.severity == "warning"
        assert_says(finding, "run_1", "29.9 s of riding", "limit 30 s", "longer")
        assert run.usable == "with care"
        assert run.measures

    @pytest.mark.parametrize("rate_hz", [200.0, 250.0, 300.0, 333.3, 500.0])
    def test_30_seconds_to_the_row_are_enough(self, tmp_path: Path, rate_hz: float) -> None:
        travel = working(30.0, rate_hz=rate_hz)[: int(np.ceil(30.0 * rate_hz))]
        assert not told(ridden(tmp_path, travel, travel, Day(rate_hz=rate_hz)), "short_run")

    def test_stamps_rounded_to_milliseconds_do_not_make_30_seconds_short(self, tmp_path: Path) -> None:
        travel = working(30.0, rate_hz=300.0)
        folder = write_day(tmp_path, travel, travel, Day(rate_hz=300.0))
        lines = (folder / "run_1.csv").read_text().splitlines()
        rounded = [f"{float(line.split(',')[0]):.0f},{line.split(',', 1)[1]}" for line in lines[1:]]
        (folder / "run_1.csv").write_text("\n".join([lines[0], *rounded]) + "\n")
        assert not told(again(folder), "short_run")

    def test_standing_does_not_count(self, tmp_path: Path) -> None:
        travel = riding_for(28.0, standing_s=20.0)
        assert_says(the_one(ridden(tmp_path, travel, travel), "short_run"), "28.")

    def test_what_lies_before_start_s_does_not_count(self, tmp_path: Path) -> None:
        travel = working(60.0)
        run = ridden(tmp_path, travel, travel, Day(run="start_s = 10.0\nend_s = 39.5"))
        assert_says(the_one(run, "short_run"), "29.5 s")
        assert not told(ridden(tmp_path, travel, travel, Day(run="start_s = 10.0\nend_s = 40.5")), "short_run")


class TestNotRiding:
    """Under 5 s of riding."""

    def test_standing_throughout(self, tmp_path: Path) -> None:
        still = np.full(10_000, 40.0)
        run = ridden(tmp_path, still, still)
        finding = the_one(run, "not_riding")
        assert finding.severity == "error"
        assert_says(finding, "0.0 s of riding", "ride again")
        assert run.usable == "ride again"
        assert {gone.reason for gone in run.absent} == {"not_riding"}

    def test_on_the_stand_throughout(self, tmp_path: Path) -> None:
        shaken = np.abs(2 * np.sin(np.arange(10_000) / 10))
        assert the_one(ridden(tmp_path, shaken, shaken), "not_riding").severity == "error"

    def test_a_log_of_less_than_a_stretch_can_be(self, tmp_path: Path) -> None:
        travel = working(0.2)
        run = ridden(tmp_path, travel, travel)
        assert_says(the_one(run, "not_riding"), "run_1", "0.25 s and 16 rows", "check")
        assert not run.measures


class TestUntrimmed:
    """A note where neither start and end nor pushes are known."""

    @pytest.mark.parametrize(
        ("stated", "expected"),
        [("", True), ("start_s = 1.0", True), ("end_s = 39.0", True), ("start_s = 1.0\nend_s = 39.0", False)],
    )
    def test_both_ends_have_to_be_known(self, tmp_path: Path, stated: str, *, expected: bool) -> None:
        travel = working(40.0)
        run = ridden(tmp_path, travel, travel, Day(run=stated))
        assert bool(told(run, "untrimmed")) is expected
        assert run.usable == "good"

    def test_what_it_says(self, tmp_path: Path) -> None:
        finding = the_one(ridden(tmp_path, working(40.0), working(40.0)), "untrimmed")
        assert finding.severity == "note"
        assert_says(finding, "run_1", "start_s", "end_s", "state start_s and end_s", "three pushes", "three times")


class TestEndBeyondLog:
    """`end_beyond_log`: over half a second, a log that was cut off or belongs to another run."""

    @pytest.mark.parametrize(("end_s", "expected"), [(40.4, False), (40.6, True), (7300.0, True)])
    def test_over_half_a_second(self, tmp_path: Path, end_s: float, *, expected: bool) -> None:
        travel = working(40.0)
        run = ridden(tmp_path, travel, travel, Day(run=f"start_s = 0.0\nend_s = {end_s}"))
        assert bool(told(run, "end_beyond_log")) is expected
        assert run.measures
        if expected:
            finding = the_one(run, "end_beyond_log")
            assert finding.severity == "warning"
            assert_says(finding, "run_1", f"{end_s:g} s", "40.00 s", "cut off", "end_s")
