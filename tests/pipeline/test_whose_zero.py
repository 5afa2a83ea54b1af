"""A lifted recording's zero: whose it is, and in whose calibration."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import telemetry
from tests.pipeline.small_days import make_day

LIFTED = '[[static]]\nlog = "{log}"\nkind = "lifted"\nsetup = "{setup}"\n'


def write_rest(path: Path, **readings: float) -> None:
    """Write three seconds in which every column holds still but for a step to and fro."""
    flicker = np.arange(750) % 2
    lines = [",".join(["t_ms", *readings])]
    lines += [f"{4 * i}," + ",".join(f"{value + flicker[i]:.0f}" for value in readings.values()) for i in range(750)]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def zeros(day: telemetry.RideDay) -> dict[str, float | None]:
    """Return the front zero, mm, that each run's history tells, once from the whole day and once alone."""
    together = {
        run.entry.name: step.parameters["level_mm"]
        for run in telemetry.analyse(day).runs
        for step in run.history
        if step.stage == "zero" and step.end == "front"
    }
    for name, level in together.items():
        history = telemetry.load_ride(day, name).history
        (alone,) = (step for step in history if step.stage == "zero" and step.end == "front")
        assert alone.parameters["level_mm"] == level
    return together


def test_one_recording_for_two_calibrations_is_read_in_each(tmp_path: Path) -> None:
    both = LIFTED.format(log="rest.csv", setup="a") + LIFTED.format(log="rest.csv", setup="b")
    other = "[setups.b.sensors.fork]\npoints = [[100, 0.0], [1700, 160.0]]\n"
    folder = make_day(tmp_path, "ab", extra=other + both)
    write_rest(folder / "rest.csv", A0=180, A1=200)
    found = zeros(telemetry.read_ride_day(folder))
    assert found["run_1"] == pytest.approx(80.5 / 20, abs=0.03)
    assert found["run_2"] == pytest.approx(80.5 / 10, abs=0.06)


def test_a_key_that_only_a_run_replaces_keeps_its_setup_s_zero(tmp_path: Path) -> None:
    folder = make_day(tmp_path, "aa", extra=LIFTED.format(log="rest.csv", setup="a"))
    path = folder / "ride_day.toml"
    run_2 = 'log = "run_2.csv"\nsetup = "a"\n'
    path.write_text(path.read_text().replace(run_2, run_2 + 'sensors.fork.column = "A2"\n'), encoding="utf-8")
    log = folder / "run_2.csv"
    log.write_text(log.read_text().replace("t_ms,A0,A1", "t_ms,A2,A1"), encoding="ascii")
    write_rest(folder / "rest.csv", A0=180, A1=200)
    day = telemetry.read_ride_day(folder)
    found = zeros(day)
    assert found["run_1"] == found["run_2"] == pytest.approx(80.5 / 20, abs=0.03)
    codes = [finding.code for run in telemetry.analyse(day).runs for finding in run.findings]
    assert "zero_unchecked" not in codes


def test_one_recording_may_hold_the_columns_of_two_sensors(tmp_path: Path) -> None:
    both = LIFTED.format(log="rest.csv", setup="a") + LIFTED.format(log="rest.csv", setup="b")
    folder = make_day(tmp_path, "ab", extra='[setups.b.sensors.fork]\ncolumn = "A2"\n' + both)
    log = folder / "run_2.csv"
    log.write_text(log.read_text().replace("t_ms,A0,A1", "t_ms,A2,A1"), encoding="ascii")
    write_rest(folder / "rest.csv", A0=180, A1=200, A2=140)
    found = zeros(telemetry.read_ride_day(folder))
    assert found["run_1"] == pytest.approx(80.5 / 20, abs=0.03)
    assert found["run_2"] == pytest.approx(40.5 / 20, abs=0.03)


def test_a_leg_that_was_pulled_out_is_told(tmp_path: Path) -> None:
    folder = make_day(tmp_path, "a", extra=LIFTED.format(log="rest.csv", setup="a") + "pulled = true\n")
    write_rest(folder / "rest.csv", A0=180, A1=200)
    history = telemetry.load_ride(telemetry.read_ride_day(folder), "run_1").history
    words = [step.words for step in history if step.stage == "zero"]
    assert all("rest.csv, leg pulled out" in text for text in words)
