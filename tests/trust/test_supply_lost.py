"""`supply_lost`: readings that lie dead for 10 s or more at 0 V, at full scale, or where an input floats."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.trust.supply import Dead, dead_stretches
from tests.thresholds import threshold
from tests.trust.one_run import (
    FRONT_FULL_MM,
    RATE_HZ,
    REAR_FULL_MM,
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
)

LOST_S = threshold("trust.supply.LOST_S")
REAR = working(60.0, middle_mm=50.0)


def without(travel: np.ndarray, level_mm: float, *parts_s: tuple[float, float], noise_mm: float = 0.0) -> np.ndarray:
    """Return travel that is dead at a level in these parts, s."""
    time = np.arange(travel.shape[0]) / RATE_HZ
    dead = np.any([(time >= start) & (time < stop) for start, stop in parts_s], axis=0)
    noise = np.random.default_rng(3).normal(0, noise_mm, travel.shape[0]) if noise_mm else 0.0
    return np.where(dead, level_mm + noise, travel)


def late(folder: Path, seed: int = 1) -> None:
    """Let the logger's samples be up to 0.7 of a step late."""
    lines = (folder / "run_1.csv").read_text(encoding="ascii").splitlines()
    lag = np.random.default_rng(seed).uniform(0, 0.7, len(lines) - 1) * 1000 / RATE_HZ
    cells = [line.split(",", 1) for line in lines[1:]]
    rows = [f"{float(time) + own:.3f},{rest}" for (time, rest), own in zip(cells, lag, strict=True)]
    (folder / "run_1.csv").write_text("\n".join([lines[0], *rows]) + "\n", encoding="ascii")


@pytest.mark.parametrize("level_mm", [0.0, FRONT_FULL_MM, -4.9, 100.0])
@pytest.mark.parametrize("noise_mm", [0.0, 0.3])
def test_both_ends_lost_for_the_last_third_on_a_clock_that_jitters(
    tmp_path: Path, level_mm: float, noise_mm: float
) -> None:
    """Where 0 V means full travel it was one hard bottom-out at each end, and nothing else."""
    rear_mm = REAR_FULL_MM if level_mm == FRONT_FULL_MM else level_mm
    front = without(working(60.0), level_mm, (40.0, 60.0), noise_mm=noise_mm)
    folder = write_day(tmp_path, front, without(REAR, rear_mm, (40.0, 60.0), noise_mm=noise_mm))
    late(folder)
    run = again(folder)
    for end in ("front", "rear"):
        finding = next(found for found in told(run, "supply_lost") if found.end == end)
        assert finding.severity == "error"
        assert finding.second == pytest.approx(40.0, abs=0.02)
        assert_says(finding, "run_1", end, "mm from 40.0", "jump", "limit 10 s", "check", "end_s = 39.9")
    assert not run.measures
    assert {gone.reason for gone in run.absent} == {"supply_lost"}


def test_what_was_ridden_before_is_measured_with_the_end_it_names(tmp_path: Path) -> None:
    front = without(working(60.0), FRONT_FULL_MM, (40.0, 60.0))
    run = ridden(tmp_path, front, without(REAR, REAR_FULL_MM, (40.0, 60.0)), Day(run="end_s = 39.9"))
    assert codes(run, "error") == set()
    assert run.value("bottom_outs", "front") == run.value("bottom_outs", "rear") == 0.0


def test_one_end_alone_leaves_the_other(tmp_path: Path) -> None:
    run = ridden(tmp_path, without(working(60.0), 110.0, (20.0, 45.0), noise_mm=0.4), REAR)
    assert the_one(run, "supply_lost").second == pytest.approx(20.0, abs=0.01)
    assert_lost(run, "front", "supply_lost")


def test_topped_out_while_the_other_end_works(tmp_path: Path) -> None:
    run = ridden(tmp_path, without(working(60.0, middle_mm=40.0), 0.0, (20.0, 45.0)), REAR)
    assert_lost(run, "front", "supply_lost")


def test_from_the_start_it_says_what_can_be_measured_after(tmp_path: Path) -> None:
    front, rear = (without(travel, 120.0, (0.0, 20.0)) for travel in (working(60.0), REAR))
    run = ridden(tmp_path, front, rear)
    for finding in told(run, "supply_lost"):
        assert finding.second == 0.0
        assert_says(finding, "after it can be measured: start_s = 20.1")
    assert {finding.end for finding in told(run, "supply_lost")} == {"front", "rear"}


def test_twice_is_told_once_with_both(tmp_path: Path) -> None:
    run = ridden(tmp_path, without(working(60.0), 120.0, (10.0, 22.0), (35.0, 50.0), noise_mm=0.2), REAR)
    assert_says(the_one(run, "supply_lost"), "from 10.00 s", "for 12.0 s, 2 times, 27.0 s in all")


class TestWhatIsNone:
    def test_a_bike_that_comes_to_rest_and_stands(self, tmp_path: Path) -> None:
        """It swings out within half a second, as a damped bike does."""
        time = np.arange(round(60 * RATE_HZ)) / RATE_HZ
        ends = [
            np.where(time < 40, travel, 45 + (travel[round(40 * RATE_HZ)] - 45) * np.exp(-(time - 40).clip(0) * 8))
            for travel in (working(60.0), REAR)
        ]
        assert not told(ridden(tmp_path, *ends), "supply_lost")

    def test_a_bike_that_is_lifted_and_hung_up(self, tmp_path: Path) -> None:
        """Each end drops out at 1.5 m/s, the rear a little later."""
        time = np.arange(round(60 * RATE_HZ)) / RATE_HZ
        ends = [
            np.where(
                time < start_s, travel, np.clip(travel[round(start_s * RATE_HZ)] - 1500 * (time - start_s), 0, None)
            )
            for travel, start_s in ((working(60.0), 40.0), (REAR, 40.3))
        ]
        assert not told(ridden(tmp_path, *ends), "supply_lost")

    def test_one_that_stays_within_a_step_inside_travel_is_stuck(self, tmp_path: Path) -> None:
        run = ridden(tmp_path, without(working(60.0), 110.0, (20.0, 45.0)), REAR)
        assert codes(run, "error") == {"stuck"}

    def test_a_smooth_road_before_a_kerb(self, tmp_path: Path) -> None:
        """Pedalling moves the end by 1 mm either way, for 20 s: no noise, though within 3 % of travel."""
        time = np.arange(round(60 * RATE_HZ)) / RATE_HZ
        smooth = (time > 20) & (time < 40)
        front = np.where(smooth, 45 + np.sin(2 * np.pi * 1.5 * time), working(60.0))
        front[(time > 40) & (time < 40.02)] = 80.0
        assert not told(ridden(tmp_path, front, REAR), "supply_lost")


@pytest.mark.parametrize(("lasts_s", "count"), [(LOST_S - 0.02, 0), (LOST_S + 0.02, 1)])
def test_it_lasts_so_long(lasts_s: float, count: int) -> None:
    travel = without(working(40.0), 120.0, (15.0, 15.0 + lasts_s))
    assert len(dead_stretches(travel, RATE_HZ, FRONT_FULL_MM, 0.05)) == count


def test_a_stretch_knows_its_level_and_its_jumps() -> None:
    travel = without(working(40.0), 120.0, (15.0, 30.0))
    (dead,) = dead_stretches(travel, RATE_HZ, FRONT_FULL_MM, 0.05)
    start, stop = round(15 * RATE_HZ), round(30 * RATE_HZ)
    into = max(120.0 - travel[start - 1], 120.0 - travel[start - 2])
    out = max(120.0 - travel[stop], 120.0 - travel[stop + 1])
    assert dead == Dead(
        start=start, stop=stop, level_mm=120.0, into_mm=pytest.approx(into), out_mm=pytest.approx(out), spread_mm=0.0
    )


@pytest.mark.parametrize(("share", "count"), [(0.99, 1), (1.01, 0)])
def test_it_stays_within_so_much_of_full_travel(share: float, count: int) -> None:
    travel = without(working(40.0), 120.0, (10.0, 30.0))
    steps = round(10 * RATE_HZ)
    travel[steps : 3 * steps : 2] += share * threshold("trust.supply.WITHIN_SHARE") * FRONT_FULL_MM
    assert len(dead_stretches(travel, RATE_HZ, FRONT_FULL_MM, 0.05)) == count


def test_between_travel_and_where_a_lost_supply_reads_the_sensors_track_is_not_worn(tmp_path: Path) -> None:
    run = ridden(tmp_path, without(working(60.0), -4.9, (40.0, 60.0)), without(REAR, -4.9, (40.0, 60.0)))
    assert {finding.end for finding in told(run, "supply_lost")} == {"front", "rear"}
    assert not told(run, "dead_band")
