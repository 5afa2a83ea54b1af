"""`zero_shift`: zero is where the end tops out, or a sensor has moved."""

from __future__ import annotations

import gzip
import shutil
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario
from tests.trust.one_run import (
    FRONT_FULL_MM,
    RATE_HZ,
    Day,
    again,
    assert_lost,
    assert_says,
    codes,
    ridden,
    the_one,
    told,
    working,
    write_day,
    write_log,
)

REAR = working(40.0, middle_mm=50.0)
SMALLEST = 0.3 * 0.02 * FRONT_FULL_MM  # 0.3 of the smallest change of sag, 2 points: 0.96 mm


def topping_out(level_mm: float, times: int = 6, lasts_s: float = 0.30) -> np.ndarray:
    """Return working travel that comes to rest at a level so many times, met slowly, and works in between."""
    travel = working(40.0)
    ramp = np.linspace(0, 1, 75)
    for number in range(times):
        first = 1000 + 1200 * number
        rest = round(lasts_s * RATE_HZ)
        shape = np.concatenate([1 - ramp, np.zeros(rest), ramp])
        stop = first + shape.shape[0]
        travel[first:stop] = level_mm + (1 + np.cos(np.pi * (1 - shape))) / 2 * (travel[first:stop] - level_mm)
    return travel


class TestWarning:
    """The end tops out further from zero than 0.5 mm and 0.3 x the smallest change of sag."""

    @pytest.mark.parametrize("sign", [1, -1])
    def test_just_past_the_limit(self, tmp_path: Path, sign: int) -> None:
        run = ridden(tmp_path, topping_out(sign * (SMALLEST + 0.09)), REAR)
        finding = the_one(run, "zero_shift")
        assert (finding.severity, finding.end) == ("warning", "front")
        assert_says(
            finding, "run_1", "front", "6 times", f"{'+' if sign > 0 else '−'}1.05 mm", "0.96 mm", "3.2 mm", "lifted"
        )
        assert finding.second == pytest.approx(1075 / RATE_HZ, abs=0.1)
        assert_says(finding, "first at 4.")
        assert run.usable == "with care"
        assert run.measures

    @pytest.mark.parametrize(("level_mm", "expected"), [(2.1, True), (1.7, False)])
    def test_a_larger_smallest_change_widens_it(self, tmp_path: Path, level_mm: float, *, expected: bool) -> None:
        day = Day(extra='[comparison]\nsmallest_change = { "dynamic_sag:front" = "4 points" }')
        assert bool(told(ridden(tmp_path, topping_out(level_mm), REAR, day), "zero_shift")) is expected

    def test_the_shock_is_judged_at_the_wheel(self, tmp_path: Path) -> None:
        assert the_one(ridden(tmp_path, working(40.0), topping_out(1.0)), "zero_shift").end == "rear"
        assert not told(ridden(tmp_path, working(40.0), topping_out(0.8)), "zero_shift")


class TestError:
    """Over 2 % of travel."""

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize(("share", "severity"), [(0.021, "error"), (0.019, "warning")])
    def test_two_percent_is_the_limit(self, tmp_path: Path, sign: int, share: float, severity: str) -> None:
        run = ridden(tmp_path, topping_out(sign * share * FRONT_FULL_MM), REAR)
        assert the_one(run, "zero_shift").severity == severity
        assert (run.value("travel_p95", "front") is not None) is (severity == "warning")

    def test_the_reason_of_absent_measures(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, topping_out(6.0), REAR)
        assert_lost(run, "front", "zero_shift")


class TestALevel:
    """Flat for 50 ms or more, at least five times, and the lowest there is."""

    @pytest.mark.parametrize(("times", "expected"), [(5, True), (4, False)])
    def test_noise_makes_no_two_times_of_one(self, tmp_path: Path, times: int, *, expected: bool) -> None:
        source = np.random.default_rng(3)
        front = topping_out(2.0, times, lasts_s=0.6) + 0.1 * source.standard_normal(10_000)
        day = Day(extra='[[static]]\nlog = "still.csv"\nkind = "still"\nsetup = "a"')
        write_day(tmp_path, front, REAR, day)
        write_log(tmp_path / "still.csv", 60 + 0.1 * source.standard_normal(1250), np.zeros(1250))
        run = again(tmp_path)
        assert bool(told(run, "zero_shift")) is expected
        for finding in told(run, "zero_shift"):
            assert_says(finding, f"{times} times")

    def test_a_bike_that_never_tops_out_gives_none(self, tmp_path: Path) -> None:
        assert codes(ridden(tmp_path, working(40.0), REAR), "warning", "error") == set()

    def test_slow_pedalling_near_the_top_without_topping_out_gives_none(self, tmp_path: Path) -> None:
        time = np.arange(10_000) / RATE_HZ
        front = 30 - 22 * np.cos(2 * np.pi * 1.0 * time)
        assert not told(ridden(tmp_path, front, REAR), "zero_shift")

    def test_rests_above_the_lowest_level_are_none(self, tmp_path: Path) -> None:
        front = topping_out(12.0)
        dips = 6 + 4 * np.cos(2 * np.pi * np.arange(10_000) / 250)
        front[8000:] = np.maximum(dips[8000:], 0.0)
        front[7960:8000] = np.linspace(front[7959], front[8000], 40)
        assert not told(ridden(tmp_path, front, REAR), "zero_shift")


class TestLiftedRecording:
    """It moves the zero: a note says by how much, and what is judged is what remains."""

    @staticmethod
    def lifted(folder: Path, front_mm: np.ndarray, level_mm: float) -> Path:
        """Write the day with a lifted recording at that level of the fork's sensor, of 5 s."""
        day = Day(extra='[[static]]\nlog = "lifted.csv"\nkind = "lifted"\nsetup = "a"')
        write_day(folder, front_mm, REAR, day)
        write_log(folder / "lifted.csv", np.full(1250, level_mm), np.zeros(1250))
        return folder

    @pytest.mark.parametrize("level_mm", [4.0, -4.0])
    def test_a_note_says_by_how_much(self, tmp_path: Path, level_mm: float) -> None:
        run = again(self.lifted(tmp_path, working(40.0), level_mm))
        finding = the_one(run, "zero_shift")
        assert (finding.severity, finding.end) == ("note", "front")
        assert_says(finding, "run_1", "front", "lifted.csv", f"{level_mm:+.2f} mm".replace("-", "−"), "taken out")
        assert run.usable == "good"

    def test_no_note_where_nothing_moved(self, tmp_path: Path) -> None:
        assert not told(again(self.lifted(tmp_path, working(40.0), 0.0)), "zero_shift")

    def test_what_it_takes_out_is_no_warning(self, tmp_path: Path) -> None:
        run = again(self.lifted(tmp_path, topping_out(4.0), 4.0))
        assert the_one(run, "zero_shift").severity == "note"

    def test_a_sensor_that_slipped_after_it_is_found_with_that_zero_in_force(self, tmp_path: Path) -> None:
        run = again(self.lifted(tmp_path, topping_out(6.0), 4.0))
        assert [finding.severity for finding in told(run, "zero_shift")] == ["note", "warning"]
        assert_says(told(run, "zero_shift")[1], "+2.00 mm")

    @pytest.mark.parametrize(("later_mm", "is_told"), [(4.0, True), (-1.1, True), (0.9, False)])
    def test_the_next_recording_puts_zero_elsewhere(self, tmp_path: Path, later_mm: float, is_told: bool) -> None:
        second = '[[runs]]\nlog = "run_2.csv"\nsetup = "a"\n'
        recorded = '[[static]]\nlog = "{}.csv"\nkind = "lifted"\nbefore_run = "{}"\n'
        extra = second + recorded.format("lifted", "run_1") + recorded.format("later", "run_2")
        write_day(tmp_path, working(40.0), REAR, Day(extra=extra))
        write_log(tmp_path / "run_2.csv", working(40.0), REAR)
        write_log(tmp_path / "lifted.csv", np.zeros(1250), np.zeros(1250))
        write_log(tmp_path / "later.csv", np.full(1250, later_mm), np.zeros(1250))
        first, after = telemetry.analyse(telemetry.read_ride_day(tmp_path)).runs
        said = [finding for finding in first.findings if finding.code == "zero_moves"]
        assert [finding.severity for finding in said] == ["note"] * is_told
        if is_told:
            words = f"{later_mm:+.1f} mm".replace("-", "−")
            assert_says(said[0], "run_1", "front", "later.csv", "lifted.csv", words, "0.96 mm", "ride again")
        assert not told(after, "zero_moves")

    def test_topping_out_at_the_old_zero_after_a_lifted_recording_elsewhere(self, tmp_path: Path) -> None:
        run = again(self.lifted(tmp_path, topping_out(0.0), 4.0))
        assert [finding.severity for finding in told(run, "zero_shift")] == ["note", "error"]


class TestInFlight:
    """In free fall a leg rests further in than with its wheel hanging; with a lifted zero that is no slipped sensor."""

    @pytest.fixture(scope="class")
    @classmethod
    def jumps(cls, tmp_path_factory: pytest.TempPathFactory) -> Path:
        """A simulated line of jumps."""
        folder = tmp_path_factory.mktemp("jumps") / "day"
        make_day(read_scenario(Path(__file__).parent.parent / "benchmarks" / "jump_line.toml"), folder)
        return folder

    def test_legs_that_rest_a_little_in_are_noted_only(self, jumps: Path) -> None:
        for run in telemetry.analyse(telemetry.read_ride_day(jumps)).runs:
            assert run.usable == "good"
            resting = [f for f in run.findings if f.code == "zero_shift" and "in flight" in f.message]
            assert {finding.severity for finding in resting} == {"note"}
            assert "front" in {finding.end for finding in resting}
            assert "ends_swapped" not in {finding.code for finding in run.findings}

    def test_a_sensor_that_slipped_outwards_is_found_all_the_same(self, jumps: Path, tmp_path: Path) -> None:
        """By 4 mm from the third jump on."""
        shutil.copytree(jumps, tmp_path / "day")
        path = tmp_path / "day" / "run_1.csv.gz"
        lines = gzip.decompress(path.read_bytes()).decode().splitlines()
        column = lines[0].split(",").index("A0")
        for place in range(len(lines) // 3, len(lines)):
            cells = lines[place].split(",")
            cells[column] = str(int(cells[column]) - 84)
            lines[place] = ",".join(cells)
        path.write_bytes(gzip.compress(("\n".join(lines) + "\n").encode()))
        run = telemetry.analyse(telemetry.read_ride_day(tmp_path / "day")).runs[0]
        assert run.usable != "good", run.findings
