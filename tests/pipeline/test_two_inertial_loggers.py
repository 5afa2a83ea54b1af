"""Runs of two loggers of which one or both hold inertial sensors alone."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import Analysis
from tests.pipeline.inertial_days import HEAD, RATE_HZ, SITES, columns_of, sensor_tables, upward, write_log

LATE_S = 0.4
"""The rear's logger is switched on so much later."""
FORK = """\
[bike.front]
travel_mm = 160
[sensors.pot]
kind = "displacement"
end = "front"
column = "A0"
points = [[0, 0.0], [1600, 160.0]]
"""
RUN = '[setups.a]\n[[runs]]\nlog = { front = "front.csv", rear = "rear.csv" }\nname = "run_1"\nsetup = "a"\n'


def later(columns: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
    return {name: column[round(LATE_S * RATE_HZ) :] for name, column in columns.items()}


def fork_mm(up_m_s2: np.ndarray) -> np.ndarray:
    """Return travel of a fork that goes down as the chassis does, and shakes while it is ridden."""
    down = np.zeros(up_m_s2.shape[0])
    second = round(RATE_HZ)
    for start, stop in ((2 * second, 5 * second), (down.shape[0] - 6 * second, down.shape[0])):
        speed = np.cumsum(up_m_s2[start:stop]) / RATE_HZ
        speed -= np.linspace(0, speed[-1], speed.shape[0])
        way = np.cumsum(speed) / RATE_HZ
        down[start:stop] = -1000 * (way - np.linspace(0, way[-1], way.shape[0]))
    ridden = slice(5 * second, -6 * second)
    down[ridden] = np.convolve(up_m_s2, np.hanning(30), "same")[ridden]
    return np.clip(40 + down, 0, 159)


def analysed(folder: Path, front: Mapping[str, np.ndarray], rear: Mapping[str, np.ndarray], tables: str) -> Analysis:
    write_log(folder / "front.csv", front)
    write_log(folder / "rear.csv", rear)
    (folder / "ride_day.toml").write_text(HEAD + tables + RUN, encoding="utf-8")
    return telemetry.analyse(telemetry.read_ride_day(folder))


def offset_s(found: Analysis) -> float:
    (step,) = [step for step in found.runs[0].history if step.stage == "joining"]
    return float(step.parameters["offset_s"])  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def up() -> np.ndarray:
    return upward(40.0, 1)


def test_two_loggers_of_inertial_sensors_are_joined_by_pushes(tmp_path: Path, up: np.ndarray) -> None:
    front, rear = columns_of("crown", up, 1), later(columns_of("seat", 0.8 * up, 2))
    found = analysed(tmp_path, front, rear, sensor_tables(("crown", "seat")))
    (run,) = found.runs
    (told,) = [finding for finding in run.findings if finding.code == "loggers_joined"]
    assert "by the three pushes at start and end" in told.message
    assert offset_s(found) == pytest.approx(LATE_S, abs=0.03)
    assert run.value("chassis_acceleration_rms", "front") is not None
    assert run.value("chassis_acceleration_rms", "rear") == pytest.approx(
        0.8 * (run.value("chassis_acceleration_rms", "front") or 0.0), rel=0.02
    )


def test_a_potentiometer_and_a_logger_of_inertial_sensors_are_joined(tmp_path: Path, up: np.ndarray) -> None:
    rear = later(columns_of("seat", 0.8 * up, 2))
    found = analysed(tmp_path, {"A0": 10 * fork_mm(up)}, rear, FORK + sensor_tables(("seat",)))
    (run,) = found.runs
    assert offset_s(found) == pytest.approx(LATE_S, abs=0.1)
    assert run.value("dynamic_sag", "front") is not None
    assert run.value("chassis_acceleration_rms", "rear") is not None
    absent = {(row.measure, row.end): row.reason for row in run.absent}
    assert "sag, travel and bottoming can't come from acceleration" in absent["dynamic_sag", "rear"]


def test_without_pushes_shaking_joins_them_roughly(tmp_path: Path, up: np.ndarray) -> None:
    ridden = slice(round(9 * RATE_HZ), round(40 * RATE_HZ))
    front = {name: column[ridden] for name, column in columns_of("crown", up, 1).items()}
    rear = later({name: column[ridden] for name, column in columns_of("seat", 0.8 * up, 2).items()})
    found = analysed(tmp_path, front, rear, sensor_tables(("crown", "seat")))
    (told,) = [finding for finding in found.runs[0].findings if finding.code == "loggers_not_joined"]
    assert told.severity == "warning"
    assert offset_s(found) == pytest.approx(LATE_S, abs=0.1)


def test_a_logger_that_never_moves_leaves_the_other_end(tmp_path: Path, up: np.ndarray) -> None:
    dead = later(columns_of("seat", 0 * up, 2))
    found = analysed(tmp_path, columns_of("crown", up, 1), dead, sensor_tables(("crown", "seat")))
    (run,) = found.runs
    assert run.without == "without its rear"
    assert run.value("chassis_acceleration_rms", "front") is not None
    assert run.value("chassis_acceleration_rms", "rear") is None


@pytest.mark.parametrize("wrong", [("seat",), ("crown", "seat")])
def test_a_logger_in_another_unit_is_told_and_leaves_the_other_end(
    tmp_path: Path, up: np.ndarray, wrong: tuple[str, ...]
) -> None:
    tables = "".join(
        sensor_tables((name,)).replace('_unit = "g"', f'_unit = "{"m/s2" if name in wrong else "g"}"')
        for name in ("crown", "seat")
    )
    rear = later(columns_of("seat", 0.8 * up, 2))
    (run,) = analysed(tmp_path, columns_of("crown", up, 1), rear, tables).runs
    told = {finding.end: finding.severity for finding in run.findings if finding.code == "wrong_scale"}
    assert told == {SITES[name][0]: "error" for name in wrong}
    assert run.usable == ("with care" if len(wrong) == 1 else "ride again")
    assert (run.value("chassis_acceleration_rms", "front") is not None) is (len(wrong) == 1)
