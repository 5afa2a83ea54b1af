"""One low-pass for every run of a day: 60 Hz, the day's own, or 0.4 of the slowest log's rate."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.pipeline.rides import Rides
from tests.pipeline.small_days import RATE_HZ, make_day


def thin(log: Path, every: int) -> None:
    """Keep one row in so many."""
    header, *rows = log.read_text(encoding="ascii").splitlines()
    log.write_text("\n".join([header, *rows[::every]]) + "\n", encoding="ascii")


def own_cutoff(folder: Path, hertz: float) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(f"conditioning = {{ cutoff_hz = {hertz} }}\n{text}", encoding="utf-8")


def cutoffs(folder: Path) -> list[float]:
    """Return what each run's history says its low-pass was."""
    day = telemetry.read_ride_day(folder)
    found = []
    for run in day.runs:
        steps = [step for step in telemetry.load_ride(day, run.name).history if step.stage == "low-pass"]
        found += [float(str(step.parameters["cutoff_hz"])) for step in steps]
    return found


def test_60_hz_where_every_log_is_fast(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b"], seconds=8)
    assert cutoffs(folder) == [60.0] * 4  # two runs, two ends


@pytest.mark.parametrize(("every", "cutoff_hz"), [(2, 0.4 * RATE_HZ / 2), (4, 0.4 * RATE_HZ / 4)])
def test_one_slow_log_lowers_it_for_all(tmp_path: Path, every: int, cutoff_hz: float) -> None:
    folder = make_day(tmp_path / "day", ["a", "b", "a"], seconds=8)
    thin(folder / "run_2.csv", every)
    assert cutoffs(folder) == pytest.approx([cutoff_hz] * 6, rel=1e-6)
    assert Rides(telemetry.read_ride_day(folder)).cutoff_hz == pytest.approx(cutoff_hz, rel=1e-6)


def test_a_day_may_ask_for_its_own(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b"], seconds=8)
    own_cutoff(folder, 30)
    assert cutoffs(folder) == [30.0] * 4
    thin(folder / "run_2.csv", 5)
    assert cutoffs(folder) == pytest.approx([20.0] * 4, rel=1e-6)


def test_every_output_prints_it(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b"], seconds=8)
    thin(folder / "run_1.csv", 4)
    assert telemetry.analyse(telemetry.read_ride_day(folder)).to_dict()["conditioning"]["cutoff_hz"] == pytest.approx(
        0.4 * RATE_HZ / 4, rel=1e-6
    )
