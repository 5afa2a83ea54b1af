"""What lies before a ride's start or after its end spoils nothing of it; the same within is told."""

from __future__ import annotations

import gzip
import re
import shutil
from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import (
    RATE_HZ,
    Day,
    again,
    assert_says,
    codes,
    ridden,
    the_one,
    told,
    without_rows,
    working,
    write_day,
)

SAMPLE = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"
TRAVEL = working(80.0)
BOUNDS = "start_s = 20\nend_s = 60"
STATED = Day(run=BOUNDS)
BEFORE, AFTER, WITHIN = round(8 * RATE_HZ), round(66 * RATE_HZ), round(40 * RATE_HZ)
PLACES = [pytest.param(BEFORE, False, id="before"), pytest.param(AFTER, False, id="after"), (WITHIN, True)]


def of_run(folder: Path, front: np.ndarray, day: Day = STATED) -> set[str]:
    return codes(ridden(folder, front, np.roll(TRAVEL, 40), day), "warning", "error") - {"short_run"}


@pytest.mark.parametrize(("start_s", "stop_s", "severity"), [(1, 19, None), (15, 25, "warning"), (30, 39, "error")])
def test_a_gap_counts_by_its_share_of_the_ride(tmp_path: Path, start_s: int, stop_s: int, severity: str | None) -> None:
    run = again(
        without_rows(write_day(tmp_path, TRAVEL, TRAVEL, STATED), round(start_s * RATE_HZ), round(stop_s * RATE_HZ))
    )
    assert [finding.severity for finding in told(run, "gap")] == [severity] * (severity is not None)
    assert bool(run.measures) is (severity != "error")
    if severity is not None:
        assert_says(the_one(run, "gap"), "1 gap", "of 40.0 s between 20.00 and 60.00 s", "error above 20 %", "row")


def test_a_gap_beyond_three_pushes_counts_for_nothing(tmp_path: Path) -> None:
    """A logger switched on early, that slept until the pushes."""
    folder = shutil.copytree(SAMPLE, tmp_path / "day", ignore=shutil.ignore_patterns("run_[2-6]*", "truth*"))
    text = (folder / "ride_day.toml").read_text("utf-8")
    head, *tables = re.split(r"(?m)^(?=\[\[|\[comparison\])", text)
    kept = [table for table in tables if "run_1" in table]
    (folder / "ride_day.toml").write_text(head + re.sub(r"(start|end)_s = .*\n", "", "".join(kept)), "utf-8")
    header, *rows = gzip.decompress((folder / "run_1.csv.gz").read_bytes()).decode().splitlines()
    early = [f"{2 * row},{rows[0].partition(',')[2]}" for row in range(500)]
    later = [f"{40_000 + float(cells[0]):g},{cells[2]}" for cells in (row.partition(",") for row in rows)]
    (folder / "run_1.csv.gz").write_bytes(gzip.compress("\n".join([header, *early, *later]).encode(), 1))
    assert codes(again(folder), "warning", "error") == set()


def test_without_bounds_it_counts_by_its_share_of_the_log(tmp_path: Path) -> None:
    run = again(without_rows(write_day(tmp_path, TRAVEL, TRAVEL), 250, round(19 * RATE_HZ)))
    assert the_one(run, "gap").severity == "error"


@pytest.mark.parametrize(("place", "is_told"), PLACES)
def test_contact_lost(tmp_path: Path, place: int, *, is_told: bool) -> None:
    front = TRAVEL.copy()
    for n in range(3):
        front[place + 400 * n : place + 400 * n + 8] = 155.0
    found = of_run(tmp_path, front)
    assert "contact_lost_often" in found if is_told else not found


@pytest.mark.parametrize(("place", "is_told"), PLACES)
def test_readings_that_run_out_of_range(tmp_path: Path, place: int, *, is_told: bool) -> None:
    front = TRAVEL.copy()
    part = slice(place, place + 1000)
    front[part] = np.minimum(60 + 2 * (front[part] - 60), 90.0)
    range_end = Day(run=BOUNDS, changes={"[3300, 160.0]]": "[3300, 160.0]]\ncounts_range = [0, 1900]"})
    assert of_run(tmp_path, front, range_end) == ({"clipped"} if is_told else set())


@pytest.mark.parametrize(("place", "is_told"), PLACES)
def test_an_end_that_is_stuck_while_the_other_works(tmp_path: Path, place: int, *, is_told: bool) -> None:
    """As on the way to the trail, the fork strapped down."""
    front = TRAVEL.copy()
    front[place : place + 2000] = front[place]
    assert ("stuck" in of_run(tmp_path, front)) is is_told


@pytest.mark.parametrize(("place", "is_told"), PLACES)
def test_rows_written_twice(tmp_path: Path, place: int, *, is_told: bool) -> None:
    rng = np.random.default_rng(2)
    front, rear = (np.rint(20 * (TRAVEL + rng.normal(0, 1.5, TRAVEL.shape))) / 20 for _ in range(2))
    for column in (front, rear):
        column[place : place + 500] = column[place - 1200 : place - 700]
    found = codes(ridden(tmp_path, front, rear, STATED))
    assert ("replayed_rows" in found) is is_told


def test_a_level_that_is_never_ridden_is_no_hole(tmp_path: Path) -> None:
    """Strapped down deeper than it is ridden, for a fifth of the log."""
    front = TRAVEL.copy()
    front[: round(16 * RATE_HZ)] = 120 + np.linspace(0, 2, round(16 * RATE_HZ))
    assert "dead_band" not in of_run(tmp_path, front)
