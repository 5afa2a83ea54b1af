"""Logs too short for this or that, and readings no sensor gives: figures or a word, never a crash."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.inertial import CleanedInertial, InertialRecipe, LoggedRide, clean_inertial
from tests.conditioning.inertial.felt import ACCELERATION, ROTATION, G, sensor

Segments = tuple[tuple[int, int], ...]


def found_in(read: dict[str, np.ndarray], rate_hz: float, segments: Segments, *, gyroscope: bool) -> CleanedInertial:
    ride = LoggedRide(name="run_1", rate_hz=rate_hz, segments=segments, column=lambda name: read[str(name)])
    count = segments[-1][1]
    (found,) = clean_inertial(ride, (InertialRecipe(sensor=sensor(gyroscope=gyroscope)),), np.zeros(count))
    return found


@pytest.mark.parametrize("gyroscope", [True, False])
@pytest.mark.parametrize("rate_hz", [5.0, 37.0, 200.0, 20_000.0])
@pytest.mark.parametrize("segments", [((0, 16),), ((0, 16), (16, 50), (50, 1000))], ids=["short", "torn"])
def test_short_and_torn_logs(segments: Segments, rate_hz: float, gyroscope: bool) -> None:
    rng = np.random.default_rng(1)
    count = segments[-1][1]
    read = {axis: rng.normal(G / np.sqrt(3), 0.01, count) for axis in ACCELERATION}
    read |= {axis: rng.normal(0.0, 1e-3, count) for axis in ROTATION}
    signal = found_in(read, rate_hz, segments, gyroscope=gyroscope).signal
    assert signal is not None
    for array in (signal.specific_force_m_s2, signal.attitude.pitch_rad, signal.attitude.upward_m_s2):
        assert array.shape[0] == count
        assert np.all(np.isfinite(array))
    assert np.abs(signal.attitude.upward_m_s2).max() < 0.1


@pytest.mark.parametrize("reading", [0.0, 1e-300, 1e15, -1e15])
def test_readings_no_sensor_gives(reading: float) -> None:
    read = {axis: np.full(1000, reading) for axis in (*ACCELERATION, *ROTATION)}
    found = found_in(read, 200.0, ((0, 1000),), gyroscope=True)
    assert found.out is not None
    assert found.out.code == "wrong_scale"
    assert "check its columns and acceleration_unit = 'm/s2'" in found.out.message
