"""Specific force from a chassis sensor: 1 g at rest, none in flight, whichever way the sensor is turned."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.conditioning import InertialRecipe
from telemetry.conditioning.flight_force import specific_force_g
from telemetry.model.inertial import InertialSignal
from telemetry.model.sensor import InertialSensor
from tests.conditioning.made_ends import front_end, ride_of
from tests.measures.inertial_rides import inertial
from tests.measures.made_rides import made_log
from tests.plain.plain_signal import low_passed
from tests.thresholds import threshold

CUTOFF_HZ = threshold("conditioning.flight_force.CUTOFF_HZ")
RATE_HZ = 500.0
COUNT = 3000
TIME_S = np.arange(COUNT) / RATE_HZ
TURNS = [Rotation.identity(), Rotation.from_euler("x", 90, degrees=True), Rotation.from_rotvec([0.4, -1.1, 0.7])]


def force(down_g: np.ndarray, turn: Rotation = TURNS[0], segments=((0, COUNT),)) -> np.ndarray:
    """Return the specific force of a sensor, turned, that feels `down_g` along the vertical."""
    axes = 9.80665 * np.outer(down_g, turn.apply([0.0, 0.0, 1.0]))
    return specific_force_g(of_axes(axes), RATE_HZ, segments)


def of_axes(axes_m_s2: np.ndarray) -> InertialSignal:
    """Return a sensor that reads so, one row a sample."""
    return replace(inertial(np.zeros(axes_m_s2.shape[0])), specific_force_m_s2=axes_m_s2)


@pytest.mark.parametrize("turn", TURNS, ids=["upright", "on its side", "askew"])
class TestEveryMounting:
    def test_at_rest_it_is_one_g(self, turn: Rotation) -> None:
        assert np.allclose(force(np.ones(COUNT), turn), 1.0, rtol=1e-9)

    def test_in_flight_it_is_near_none(self, turn: Rotation) -> None:
        flown = (TIME_S > 2.0) & (TIME_S < 2.6)
        found = force(np.where(flown, 0.0, 1.0), turn)
        well_inside = (TIME_S > 2.1) & (TIME_S < 2.5)
        assert found[well_inside].max() < 0.05
        below = np.count_nonzero(found < 0.4) / RATE_HZ
        assert below == pytest.approx(0.6, abs=0.03)  # the low-pass rounds both edges


def test_a_shake_at_15_hz_comes_through_by_half_its_power() -> None:
    found = force(1.0 + 0.5 * np.sin(2 * np.pi * CUTOFF_HZ * TIME_S))[500:-500]
    assert (found.max() - found.min()) / 2 == pytest.approx(0.5 * math.sqrt(0.5), rel=1e-3)


def test_shaking_of_the_frame_well_above_is_gone() -> None:
    found = force(1.0 + 3.0 * np.sin(2 * np.pi * 60.0 * TIME_S))[500:-500]
    assert np.allclose(found, 1.0, atol=0.005)


def test_a_slow_log_uses_two_fifths_of_its_rate() -> None:
    rate_hz = 30.0
    time_s = np.arange(900) / rate_hz
    shake = 1.0 + 0.5 * np.sin(2 * np.pi * 12.0 * time_s)
    axes = 9.80665 * np.column_stack([np.zeros(900), np.zeros(900), shake])
    found = specific_force_g(of_axes(axes), rate_hz, ((0, 900),))[200:-200]
    assert np.std(found) * math.sqrt(2) == pytest.approx(0.5 * math.sqrt(0.5), rel=1e-3)


def test_nothing_is_smoothed_across_a_gap() -> None:
    levels = np.where(np.arange(COUNT) < 1500, 1.0, 0.2)
    apart = force(levels, segments=((0, 1500), (1500, COUNT)))
    assert np.allclose(apart, levels, atol=1e-9)
    assert not np.allclose(force(levels), levels, atol=0.1)


def test_a_ride_takes_its_axes_by_their_names() -> None:
    sensor = InertialSensor(
        name="frame",
        end="front",
        on="chassis",
        columns={"ax": "x", "ay": "y", "az": "z"},
        acceleration_unit="m/s2",
    )
    part = 9.80665 / math.sqrt(3)
    columns = {"A0": np.full(COUNT, 1500.0), "x": np.full(COUNT, part), "y": np.full(COUNT, -part)}
    log = made_log({**columns, "z": np.full(COUNT, part)}, RATE_HZ)
    ride = ride_of(log, front_end(), inertial=(InertialRecipe(sensor=sensor),))
    assert ride.specific_force_g is not None
    assert np.allclose(ride.specific_force_g, 1.0, rtol=1e-9)
    assert list(ride.inertial) == [("front", "chassis")]
    assert ride_of(log, front_end()).specific_force_g is None


@pytest.mark.parametrize("rate_hz", [37.0, 38.0])
def test_below_37_5_rows_a_second_the_rate_decides(rate_hz: float) -> None:
    """Against a plain second writing; the length of three axes."""
    axes = np.random.default_rng(6).normal(0.3, 0.5, (3, 400))
    cutoff_hz = min(CUTOFF_HZ, 0.4 * rate_hz)
    expected = np.sqrt(sum(low_passed(axis, rate_hz, cutoff_hz) ** 2 for axis in axes))
    found = specific_force_g(of_axes(9.80665 * axes.T), rate_hz, ((0, 400),))
    assert found == pytest.approx(expected, abs=1e-4)
