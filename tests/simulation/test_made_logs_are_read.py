"""The product reads what the logger writes, and finds what was put into it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from telemetry.logs import read_log
from telemetry.model.day import LogOptions, TimeColumn
from telemetry.model.log import Log
from telemetry.simulation.faults import Faults
from telemetry.simulation.logger import MadeLogger, write_log
from telemetry.simulation.sensors_made import MadeSpeed
from tests.simulation.made_signals import FORK, logger, swinging

MEAN_SPEED_M_S = 6 + 0.3 * (1 - np.cos(10 / 3))  # of 6 + sin(t / 3) over 10 s
NAMED = {"s": "t_s", "ms": "t_ms", "us": "t_us"}


def logged(path: Path, made: MadeLogger) -> tuple[Log, dict[str, np.ndarray]]:
    columns = write_log(path, made, swinging(40.0), np.random.default_rng(8))
    time = TimeColumn(column=made.clock.column, unit=made.clock.unit)
    needed = [sensor.column for sensor in made.displacement]
    return read_log(path, needed=needed, options=LogOptions(time=time)), columns


def codes(log: Log) -> set[str]:
    return {finding.code for finding in log.findings}


@pytest.mark.parametrize("suffix", [".csv", ".csv.gz"])
@pytest.mark.parametrize("unit", ["s", "ms", "us"])
def test_a_sound_log_is_read_to_the_count_without_a_finding(unit: Any, suffix: str, tmp_path: Path) -> None:
    log, columns = logged(tmp_path / f"log{suffix}", logger(unit=unit, column=NAMED[unit]))
    assert codes(log) == set()
    assert log.even
    assert log.rate_hz == pytest.approx(500, rel=1e-9)
    assert np.array_equal(log.columns["A0"], columns["A0"])
    assert np.array_equal(log.columns["A1"], columns["A1"])


def test_dialect_and_unit_are_found_unpinned(tmp_path: Path) -> None:
    made = replace(logger(), speed=MadeSpeed(column="speed_km_h", unit="km/h", noise_m_s=0.1))
    write_log(tmp_path / "log.csv", made, swinging(10.0), np.random.default_rng(8))
    log = read_log(tmp_path / "log.csv", needed=["A0", "speed_km_h"], options=LogOptions())
    assert log.rate_hz == pytest.approx(500, rel=1e-9)
    assert log.columns["speed_km_h"].mean() == pytest.approx(3.6 * MEAN_SPEED_M_S, abs=0.02)


@pytest.mark.parametrize("drift_ppm", [-2000.0, 800.0])
def test_a_drifting_clock_keeps_its_own_rate(drift_ppm: float, tmp_path: Path) -> None:
    """What one log can't tell: its clock is fast or slow against true time; only its length gives it away."""
    log, _ = logged(tmp_path / "log.csv", logger(unit="us", drift_ppm=drift_ppm))
    assert log.rate_hz == pytest.approx(500, rel=1e-6)
    assert log.time_s[-1] == pytest.approx(40 * (1 + drift_ppm * 1e-6), abs=0.0021)


def test_rounded_stamps_are_said_and_straightened(tmp_path: Path) -> None:
    log, _ = logged(tmp_path / "log.csv", logger(rate_hz=400.0))
    assert codes(log) == {"rounded_clock"}
    assert log.even
    assert np.max(np.abs(np.diff(log.time_s) - 1 / 400)) < 1e-6


def test_late_samples_make_an_uneven_clock(tmp_path: Path) -> None:
    log, columns = logged(tmp_path / "log.csv", logger(unit="us", jitter_share=0.15))
    assert codes(log) == {"uneven_clock"}
    assert not log.even
    stamps_ms = columns["t_ms"] / 1000
    line_ms = np.linspace(stamps_ms[0], stamps_ms[-1], stamps_ms.shape[0])
    assert np.std(stamps_ms - line_ms) == pytest.approx(0.30, rel=0.05)  # 15 % of 2 ms, the line's slope aside
    assert f"stray {np.std(stamps_ms - line_ms):.2f} ms (sd)" in log.findings[0].message


def test_a_little_lateness_is_no_finding(tmp_path: Path) -> None:
    log, _ = logged(tmp_path / "log.csv", logger(unit="us", jitter_share=0.02))
    assert codes(log) == set()
    assert log.rate_hz == pytest.approx(500, rel=1e-4)


@pytest.mark.parametrize(("unit", "bits"), [("us", 16), ("us", 24), ("ms", 16)])
def test_a_counter_that_rolls_over_is_unrolled_to_true_time(unit: Any, bits: Any, tmp_path: Path) -> None:
    made = logger(unit=unit, wraps_at_bits=bits, start_s=50.0, jitter_share=0.02 if unit == "us" else 0.0)
    log, columns = logged(tmp_path / "log.csv", made)
    assert "clock_wrapped" in codes(log)
    assert "clock_backwards" not in codes(log)
    assert log.time_s.shape == columns["t_ms"].shape
    position = (log.columns["A0"] - FORK.points[0][0]) / FORK.counts_a_mm
    true = 80 + 40 * np.sin(2 * np.pi * 1.7 * log.time_s) + 20 * np.sin(2 * np.pi * 7.3 * log.time_s)
    assert np.max(np.abs(position - true)) < 0.5 / FORK.counts_a_mm + 0.2  # 0.14 ms of lateness at 1.3 m/s


def test_gaps_are_found_with_their_place_and_length(tmp_path: Path) -> None:
    log, _ = logged(tmp_path / "log.csv", logger(Faults(gaps=((12.0, 0.8), (30.0, 0.4)))))
    assert codes(log) == {"gap"}
    assert "2 gaps, 1.20 s of 40.0 s" in log.findings[0].message
    assert log.findings[0].second == pytest.approx(11.998)
    assert len(log.segments) == 3
    assert log.gap_s == pytest.approx(1.2 + 2 * 0.002, abs=1e-6)


def test_dropouts_are_found_as_gaps(tmp_path: Path) -> None:
    faults = Faults(dropout_rate_per_min=15.0, dropout_s=0.05)
    log, columns = logged(tmp_path / "log.csv", logger(faults))
    lost = int(np.count_nonzero(np.diff(columns["t_ms"]) > 2))
    assert lost > 3
    assert codes(log) == {"gap"}
    assert log.findings[0].message.startswith(f"log.csv: {lost} gaps")
