"""`clipped`: readings that lie flat at the end of the range while the wheel was still moving."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import (
    RATE_HZ,
    Day,
    again,
    assert_says,
    ridden,
    the_one,
    told,
    without_rows,
    working,
    write_day,
)

CALM = working(40.0)


def with_hits(flats: list[tuple[float, int, float]], level_mm: float) -> np.ndarray:
    """Return calm travel with plateaus: (second, samples at `level_mm`, speed into and out of it, mm/s)."""
    travel = CALM.copy()
    for second, samples, speed in flats:
        first = round(second * RATE_HZ)
        travel[first : first + samples] = level_mm
        for away in range(1, 400):
            near = level_mm - away * speed / RATE_HZ
            before, after = first - away, first + samples - 1 + away
            travel[before] = max(travel[before], near)
            travel[after] = max(travel[after], near)
    return travel


STATED = Day(changes={'column = "A0"': 'column = "A0"\ncounts_range = [0, 2500]'})


class TestWithoutCountsRange:
    """The log's own extreme reading counts as the end of the range."""

    def test_three_equal_readings_met_at_speed(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, with_hits([(10.0, 3, 220.0), (30.0, 3, 220.0)], 120.0), CALM)
        finding = the_one(run, "clipped")
        assert (finding.severity, finding.end) == ("warning", "front")
        assert finding.second == pytest.approx(10.0, abs=1e-6)
        assert finding.row == 2 + 2500
        assert_says(finding, "run_1", "front", "10.00 s", "2 times", "2500", "200 mm/s", "check")
        assert run.usable == "with care"
        assert run.measures

    def test_a_value_that_is_never_reached_again_is_the_deepest_of_the_run(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, with_hits([(10.0, 9, 900.0)], 120.0), CALM), "clipped")

    def test_two_equal_readings_are_a_peak(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, with_hits([(10.0, 2, 220.0), (30.0, 2, 220.0)], 120.0), CALM), "clipped")

    def test_a_slow_turn_is_none(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, with_hits([(10.0, 3, 180.0), (30.0, 3, 180.0)], 120.0), CALM), "clipped")

    def test_only_the_logs_own_extreme_counts(self, tmp_path: Path) -> None:
        travel = np.maximum(with_hits([(10.0, 4, 300.0)], 120.0), with_hits([(20.0, 1, 300.0)], 124.0))
        assert not told(ridden(tmp_path, travel, CALM), "clipped")

    def test_extremes_are_those_of_the_whole_log_not_of_a_stretch(self, tmp_path: Path) -> None:
        travel = np.maximum(with_hits([(10.0, 4, 300.0)], 120.0), with_hits([(30.0, 1, 300.0)], 124.0))
        without_rows(write_day(tmp_path, travel, CALM), 5000, 5250)
        assert not told(again(tmp_path), "clipped")

    def test_one_finding_for_all_stretches_of_a_log_with_gaps(self, tmp_path: Path) -> None:
        travel = with_hits([(10.0, 4, 300.0), (30.0, 4, 300.0)], 120.0)
        without_rows(write_day(tmp_path, travel, CALM), 5000, 5250)
        assert_says(the_one(again(tmp_path), "clipped"), "2 times", "10.00 s")

    def test_topping_out_is_no_clipping(self, tmp_path: Path) -> None:
        assert not told(ridden(tmp_path, np.maximum(CALM - 60.0, 0.0), CALM), "clipped")

    def test_a_range_that_starts_short_of_topped_out_is(self, tmp_path: Path) -> None:
        finding = the_one(ridden(tmp_path, np.maximum(2.5 * CALM - 100.0, 20.0), CALM), "clipped")
        assert_says(finding, "less than 20.0 mm")


class TestWithCountsRange:
    """The stated ends count, and the log's own extremes: the range may end short of what is stated."""

    def test_equal_readings_at_the_stated_end(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, with_hits([(10.0, 3, 220.0), (15.0, 5, 400.0)], 120.0), CALM, STATED)
        assert_says(the_one(run, "clipped"), "2 times", "2500")

    def test_equal_readings_short_of_it_are_told_where_they_are_the_logs_own_extreme(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, with_hits([(10.0, 3, 220.0), (30.0, 3, 220.0)], 119.0), CALM, STATED)
        assert_says(the_one(run, "clipped"), "2 times", "2480")

    def test_and_are_none_where_the_log_reads_further(self, tmp_path: Path) -> None:
        travel = np.maximum(with_hits([(10.0, 4, 300.0)], 115.0), with_hits([(20.0, 1, 300.0)], 119.0))
        assert not told(ridden(tmp_path, travel, CALM, STATED), "clipped")

    def test_a_low_end_that_is_cut_is_told(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, np.maximum(2.5 * CALM - 100.0, 20.0), CALM, STATED)
        assert_says(the_one(run, "clipped"), "less than 20.0 mm", "no verdict")

    @pytest.mark.parametrize("level_mm", [160.0, 158.5])
    def test_a_leg_that_stops_at_its_full_travel_is_none(self, tmp_path: Path, level_mm: float) -> None:
        assert not told(ridden(tmp_path, with_hits([(10.0, 6, 900.0)], level_mm), CALM), "clipped")

    def test_the_low_end_counts_even_where_the_end_is_topped_out(self, tmp_path: Path) -> None:
        day = Day(changes={'column = "A0"': 'column = "A0"\ncounts_range = [100, 4095]'})
        travel = np.maximum(4 * CALM - 180.0, 0.0)
        assert the_one(ridden(tmp_path, np.minimum(travel, 150.0), CALM, day), "clipped").end == "front"

    def test_two_readings_or_a_slow_turn_there_are_none(self, tmp_path: Path) -> None:
        flats = [(10.0, 2, 400.0), (15.0, 9, 180.0)]
        assert not told(ridden(tmp_path, with_hits(flats, 120.0), CALM, STATED), "clipped")


class TestWhatItMeansForBottomOuts:
    """Inside a bottom-out the count is a lower bound; short of the line none can be seen."""

    def test_inside_a_bottom_out(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, with_hits([(10.0, 6, 900.0), (30.0, 6, 900.0)], 158.0), CALM)
        assert_says(the_one(run, "clipped"), "bottom-out", "lower bound")
        assert run.value("bottom_outs", "front") == 2

    def test_short_of_the_line(self, tmp_path: Path) -> None:
        finding = the_one(ridden(tmp_path, with_hits([(10.0, 6, 900.0), (30.0, 6, 900.0)], 150.0), CALM), "clipped")
        assert "lower bound" not in finding.message
        assert_says(finding, "150.0 mm", "156.8 mm")

    def test_the_shock_is_judged_at_the_wheel(self, tmp_path: Path) -> None:
        finding = the_one(ridden(tmp_path, CALM, with_hits([(10.0, 6, 900.0), (30.0, 6, 900.0)], 147.5)), "clipped")
        assert finding.end == "rear"
        assert_says(finding, "lower bound")


class TestWhatItMeansForVerdicts:
    """Depths that are cut make a change of their own; three stretches and more than 2 % of travel are needed."""

    @pytest.mark.parametrize(
        ("seconds", "level_mm", "false"),
        [((10.0, 15.0, 20.0), 150.0, True), ((10.0, 15.0), 150.0, False), ((10.0, 15.0, 20.0), 157.5, False)],
    )
    def test_no_verdict_rests_on_it(
        self, tmp_path: Path, seconds: tuple[float, ...], level_mm: float, false: bool
    ) -> None:
        travel = with_hits([(second, 6, 900.0) for second in seconds], level_mm)
        finding = the_one(ridden(tmp_path, travel, CALM), "clipped")
        assert finding.no_verdict is false
        assert ("no verdict" in finding.message) is false
