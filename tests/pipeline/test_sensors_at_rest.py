"""Recordings in which nothing moves tell which way is up, and bias, of the runs that they stand nearest to."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import telemetry
from tests.pipeline.inertial_days import RATE_HZ, columns_of, make_inertial_day, write_log

TILTED_DEG = 8.0


def still_log(path: Path, tilt_deg: float = 0.0, a_g: float = 1.0) -> None:
    """Write 5 s of a sensor called fork that stands, its case tilted sideward."""
    columns = columns_of("fork", np.zeros(round(5 * RATE_HZ)), 1)
    columns["fork_ay"] = columns["fork_ay"] + a_g * np.sin(np.radians(tilt_deg))
    columns["fork_az"] = columns["fork_az"] - 1 + a_g * np.cos(np.radians(tilt_deg))
    columns["fork_gx"] = columns["fork_gx"] + 3.0
    write_log(path, columns)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_inertial_day(tmp_path, ("a", "a"), sensors=("fork",), seconds=20.0)


def with_recordings(folder: Path, *tables: str) -> telemetry.RideDay:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8") + "".join(f"\n[[static]]\n{table}\n" for table in tables)
    file.write_text(text, encoding="utf-8")
    return telemetry.read_ride_day(folder)


def source(day: telemetry.RideDay, run: str) -> tuple[str, float]:
    """Return what up was found from, and by how much the case is turned for it, deg."""
    mounting = telemetry.load_ride(day, run).inertial["front", "wheel"].mounting
    return mounting.found_from.partition(";")[0], float(np.degrees(np.arcsin(abs(mounting.to_bike[2, 1]))))


def test_without_one_the_ride_itself_tells(folder: Path) -> None:
    assert source(telemetry.read_ride_day(folder), "run_1")[0] == "where the ride stands"


def test_the_recording_before_a_run_counts_else_the_next_after_it(folder: Path) -> None:
    still_log(folder / "still_1.csv", TILTED_DEG)
    still_log(folder / "still_2.csv", -TILTED_DEG / 2)
    day = with_recordings(
        folder,
        'log = "still_1.csv"\nkind = "still"\nbefore_run = "run_1"',
        'log = "still_2.csv"\nkind = "still"\nbefore_run = "run_2"',
    )
    assert source(day, "run_1") == ("still_1.csv", pytest.approx(TILTED_DEG, abs=0.2))
    assert source(day, "run_2") == ("still_2.csv", pytest.approx(TILTED_DEG / 2, abs=0.2))


def test_a_later_one_is_better_than_none(folder: Path) -> None:
    still_log(folder / "still_2.csv", TILTED_DEG)
    day = with_recordings(folder, 'log = "still_2.csv"\nkind = "still"\nbefore_run = "run_2"')
    assert source(day, "run_1")[0] == "still_2.csv"


def test_a_lifted_bike_hangs_anyhow_and_tells_no_way_up(folder: Path) -> None:
    still_log(folder / "lifted_1.csv", TILTED_DEG)
    day = with_recordings(folder, 'log = "lifted_1.csv"\nkind = "lifted"\nbefore_run = "run_1"')
    assert source(day, "run_1")[0] == "where the ride stands"


def test_a_lifted_recording_in_another_scale_is_told(folder: Path) -> None:
    still_log(folder / "lifted_1.csv", a_g=2.0)
    day = with_recordings(folder, 'log = "lifted_1.csv"\nkind = "lifted"\nbefore_run = "run_1"')
    run = telemetry.analyse(day).runs[0]
    (told,) = [item for item in run.findings if item.code == "wrong_scale"]
    assert "reads 2 g at rest (lifted_1.csv)" in told.message
