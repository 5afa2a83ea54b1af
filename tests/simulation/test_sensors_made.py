"""Displacement and speed sensors: whole counts within the range, noise, offset, play."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.simulation.sensors_made import MadeDisplacement, MadeSpeed, counts, played, speed_readings
from tests.simulation.made_signals import FORK, SHOCK

POSITIONS = np.linspace(-20.0, 200.0, 20_001)


def rng() -> np.random.Generator:
    return np.random.default_rng(11)


@pytest.mark.parametrize("sensor", [FORK, SHOCK], ids=["rising", "falling"])
def test_a_reading_is_the_nearest_count_to_its_calibration(sensor: MadeDisplacement) -> None:
    position = np.linspace(0.0, sensor.points[1][1], 5001)
    read = counts(sensor, position, rng())
    exact = np.interp(position, [mm for _, mm in sensor.points], [reading for reading, _ in sensor.points])
    assert np.array_equal(read, np.rint(read))
    error = read - exact
    assert np.max(np.abs(error)) <= 0.5 + 1e-9
    assert np.std(error) == pytest.approx(1 / np.sqrt(12), rel=0.02)  # quantisation noise of one count


@pytest.mark.parametrize("bits", [8, 10, 12, 16])
def test_readings_saturate_at_the_converters_ends(bits: int) -> None:
    top = 2.0**bits - 1
    sensor = MadeDisplacement(column="A0", end="front", points=((0.1 * top, 0.0), (0.9 * top, 170.0)), bits=bits)
    read = counts(sensor, np.linspace(-300.0, 500.0, 20_001), rng())
    assert (read.min(), read.max()) == (0.0, top)
    assert np.count_nonzero(read == 0.0) > 1000
    assert np.count_nonzero(read == top) > 1000


def test_noise_has_the_stated_deviation_and_adds_to_that_of_whole_counts() -> None:
    sensor = replace(FORK, noise_mm=0.2)
    read = counts(sensor, np.full(200_000, 60.0), rng())
    noise = 0.2 * sensor.counts_a_mm
    assert np.std(read) == pytest.approx(np.sqrt(noise**2 + 1 / 12), rel=0.01)
    white = read - read.mean()
    assert abs(float(white[1:] @ white[:-1]) / float(white @ white)) < 4 / np.sqrt(200_000)


def test_a_mounting_offset_shifts_every_reading_by_as_much() -> None:
    moved = counts(replace(FORK, offset_mm=5.0), POSITIONS, rng())
    assert np.array_equal(moved, counts(FORK, POSITIONS + 5.0, rng()))


def plainly_played(position: np.ndarray, play: float) -> np.ndarray:
    followed = [position[0]]
    for value in position[1:]:
        followed.append(min(max(followed[-1], value - play / 2), value + play / 2))
    return np.array(followed)


@given(st.lists(st.floats(-100, 100) | st.integers(-3, 3).map(float), min_size=1, max_size=60), st.floats(0.0, 50.0))
def test_play_equals_the_operator_gone_through_sample_by_sample(position: list[float], play: float) -> None:
    values = np.array(position)
    before = values.copy()
    assert np.array_equal(played(values, play), plainly_played(values, play))
    assert np.array_equal(values, before)


def test_play_is_as_wide_as_asked_and_never_further_than_half() -> None:
    turn = np.linspace(0, 6 * np.pi, 30_001)
    position = 60 + 50 * np.sin(turn)
    followed = played(position, 1.6)
    later = turn > np.pi / 2  # once it has touched one side
    speed = np.cos(turn)
    sinking, rising = later & (speed > 0.3), later & (speed < -0.3)
    assert np.allclose((position - followed)[sinking], 0.8)
    assert np.allclose((position - followed)[rising], -0.8)
    assert np.max(np.abs(position - followed)) <= 0.8 + 1e-9
    assert np.array_equal(played(position, 0.0), position)


def test_speed_is_written_in_its_unit_never_below_zero() -> None:
    true = np.full(100_000, 5.0)
    read = speed_readings(MadeSpeed(column="v", unit="km/h", noise_m_s=0.3), true, rng())
    assert read.mean() == pytest.approx(18.0, abs=4 * 0.3 * 3.6 / np.sqrt(100_000))
    assert read.std() == pytest.approx(0.3 * 3.6, rel=0.02)
    assert speed_readings(MadeSpeed(column="v", noise_m_s=1.0), np.zeros(1000), rng()).min() == 0.0


@pytest.mark.parametrize(
    ("key", "value"), [("noise_mm", -0.1), ("hysteresis_mm", 21.0), ("offset_mm", float("nan")), ("bits", 7)]
)
def test_a_value_outside_its_range_is_refused(key: str, value: float) -> None:
    with pytest.raises(ValueError, match=rf"MadeDisplacement\.{key}: found .*; expected"):
        replace(FORK, **{key: value})


def test_points_need_two_readings_and_two_lengths() -> None:
    with pytest.raises(ValueError, match="expected two readings and two lengths"):
        replace(FORK, points=((100.0, 0.0), (100.0, 170.0)))
    with pytest.raises(ValueError, match="expected two readings and two lengths"):
        replace(FORK, points=((100.0, 0.0), (200.0, 0.0)))
