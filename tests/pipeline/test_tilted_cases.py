"""One simulated ride down a natural trail, its inertial sensors level, and each turned by 30 degrees: the same told."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

import telemetry
from telemetry.model.catalogue import SPECS
from telemetry.model.within import parted
from telemetry.simulation.day_made import make_day
from telemetry.simulation.natural_ride import natural_scenario

Told = dict[tuple[str, str, str], float]
SENSORS = ("chassis_imu", "wheel_imu", "rear_chassis_imu", "rear_wheel_imu")
LEVEL = [0, 0, 0]
RIGHT, LEFT, NOSE_UP, NOSE_DOWN = [30, 0, 0], [-30, 0, 0], [0, -30, 0], [0, 30, 0]
ABOUT_UP, ALL = [0, 0, 30], [-20, 20, 20]
TILTS_DEG = ((RIGHT, NOSE_UP, ABOUT_UP, ALL), (ALL, ABOUT_UP, NOSE_DOWN, LEFT))
"""Turns about x, y, z, a case each."""
ALWAYS_TOLD = {"chassis_acceleration_rms", "moved_rebound_speed_10_per_min", "shock_response", "unloaded_share"}
WITHIN = 0.02


def told(folder: Path, tilts_deg: Sequence[list[int]]) -> Told:
    """Return what is measured by acceleration over the whole ride."""
    sensors = {
        name: {"misalignment_deg": tilt, "full_scale_g": 64, "low_pass_hz": 200, "rotation": name != "rear_wheel_imu"}
        for name, tilt in zip(SENSORS, tilts_deg, strict=True)
    }
    change = {
        "trail": {"natural": {"length_m": 160}},
        "logger": {"fork": None, "shock": None, **sensors},
        "recordings": [{"kind": "still"}],
    }
    make_day(natural_scenario(3, change), folder)
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    return {
        (row.measure, row.end, row.part or ""): row.value
        for row in run.measures
        if SPECS[row.measure].by == "acceleration" and parted(row.measure)[1] is None
    }


@pytest.fixture(scope="module")
def level(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return told(tmp_path_factory.mktemp("level") / "day", [LEVEL] * 4)


@pytest.mark.parametrize("tilts_deg", TILTS_DEG)
def test_cases_askew_tell_the_same(tilts_deg: Sequence[list[int]], level: Told, tmp_path: Path) -> None:
    assert {(name, end) for name, end, _ in level} >= {(name, end) for name in ALWAYS_TOLD for end in ("front", "rear")}
    assert told(tmp_path / "day", tilts_deg) == pytest.approx(level, rel=WITHIN)
