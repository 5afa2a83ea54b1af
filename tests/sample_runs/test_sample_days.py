"""The sample ride day can be made again, and the program says of it what its README promises."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import telemetry

ROOT = Path(__file__).parent.parent.parent
DAY = ROOT / "sample_runs" / "lower_leg_oil"
LARGEST_BYTES = 3_000_000


@pytest.fixture(scope="module")
def comparison() -> telemetry.Comparison:
    return telemetry.compare(telemetry.read_ride_day(DAY))


def result(comparison: telemetry.Comparison, measure: str, end: str) -> dict[str, object]:
    rows = comparison.to_dict()["results"]
    return next(row for row in rows if row["measure"] == measure and row["end"] == end)


def test_made_again_nearly_every_cell_is_the_same(tmp_path: Path) -> None:
    script = ROOT / "sample_runs" / "make_lower_leg_oil.py"
    subprocess.run([sys.executable, str(script), str(tmp_path)], check=True)
    for file in sorted(DAY.glob("*.csv")):
        kept = np.loadtxt(file, delimiter=",", skiprows=1)
        again = np.loadtxt(tmp_path / file.name, delimiter=",", skiprows=1)
        assert kept.shape == again.shape
        assert np.mean(np.abs(kept - again) <= 1) >= 0.999


def test_the_folder_stays_small() -> None:
    assert sum(file.stat().st_size for file in DAY.iterdir()) < LARGEST_BYTES


@pytest.mark.parametrize("end", ["front", "rear"])
def test_sag_is_unchanged(comparison: telemetry.Comparison, end: str) -> None:
    assert result(comparison, "dynamic_sag", end)["verdict"] == "unchanged"


def test_the_end_of_the_stroke_is_undecided_and_more_runs_are_asked_for(comparison: telemetry.Comparison) -> None:
    row = result(comparison, "hit_depth_p95", "front")
    assert row["verdict"] == "undecided"
    assert isinstance(row["more_runs"], int)
    assert row["more_runs"] >= 1


def test_no_log_raises_more_than_a_note() -> None:
    analysis = telemetry.analyse(telemetry.read_ride_day(DAY))
    assert {run.usable for run in analysis.runs} == {"good"}


def test_every_number_is_finite_or_null(comparison: telemetry.Comparison) -> None:
    for row in comparison.to_dict()["results"]:
        numbers = [value for value in row.values() if isinstance(value, float)]
        assert np.isfinite(numbers).all()


def test_the_lag_gives_the_speed_that_was_ridden() -> None:
    analysis = telemetry.analyse(telemetry.read_ride_day(DAY))
    speeds = [run.value("ground_speed", "both") for run in analysis.runs]
    assert speeds == pytest.approx([6.10, 6.18, 6.14, 6.15], rel=0.02)
