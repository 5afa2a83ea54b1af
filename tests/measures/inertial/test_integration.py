"""Acceleration to movement: against closed forms of sines, scipy's own filters, and noise counted out."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfiltfilt

from telemetry.measures.inertial.integration import (
    EDGE_S,
    integrated,
    kept,
    movement_of_white_mm,
)
from tests.thresholds import threshold


@pytest.mark.parametrize("rate_hz", [200.0, 1000.0])
@pytest.mark.parametrize("hz", [0.6, 1.5, 5.0, 20.0])
def test_a_sine_comes_back_as_what_is_kept_of_its_integrals(hz: float, rate_hz: float) -> None:
    turn = 2 * np.pi * hz
    time = np.arange(round(40 * rate_hz)) / rate_hz
    movement, speed = integrated(-0.02 * turn**2 * np.sin(turn * time), rate_hz)
    middle = slice(time.size // 4, -time.size // 4)
    share = float(kept(np.array([hz]), rate_hz)[0])
    assert movement[middle] == pytest.approx(20 * share * np.sin(turn * time)[middle], abs=0.05)
    assert speed[middle] == pytest.approx(20 * share * turn * np.cos(turn * time)[middle], abs=0.05 * turn)


def test_what_is_kept_is_that_of_a_butterworth_filter_run_both_ways() -> None:
    rate_hz, pulse = 2000.0, np.zeros(1 << 17)
    pulse[1 << 16] = 1.0
    root = np.sqrt(2) - 1
    low = threshold("measures.inertial.integration.CORNER_HZ") * root ** (1 / 6)
    high = threshold("measures.inertial.integration.FASTEST_HZ") / root ** (1 / 8)
    passed = sosfiltfilt(butter(3, low, "high", fs=rate_hz, output="sos"), pulse)
    passed = sosfiltfilt(butter(4, high, fs=rate_hz, output="sos"), passed)
    frequency = np.fft.rfftfreq(pulse.size, 1 / rate_hz)
    looked_at = (frequency > 0.2) & (frequency < 60)
    found = kept(frequency[looked_at], rate_hz)
    assert found == pytest.approx(np.abs(np.fft.rfft(passed))[looked_at], abs=0.01)
    corner = kept(np.array([0.6, 60.0]), rate_hz)
    assert corner == pytest.approx(np.sqrt([0.5, 0.5]), abs=1e-3)


def test_below_150_rows_a_second_less_of_the_fast_is_kept() -> None:
    assert kept(np.array([40.0]), 100.0) == pytest.approx(np.sqrt(0.5), abs=1e-3)


def test_a_constant_and_its_size_change_nothing() -> None:
    shaking = np.random.default_rng(1).standard_normal(4000)
    level, raised = integrated(shaking, 200.0)[0], integrated(shaking + 300.0, 200.0)[0]
    assert raised == pytest.approx(level, abs=1e-6)


def test_a_speed_known_as_such_is_added() -> None:
    rate_hz = 500.0
    time = np.arange(20_000) / rate_hz
    turn = 2 * np.pi * 2.0
    by_force, _ = integrated(-0.01 * turn**2 * np.sin(turn * time), rate_hz)
    by_speed, _ = integrated(np.zeros(time.size), rate_hz, 0.01 * turn * np.cos(turn * time))
    assert by_speed[2000:-2000] == pytest.approx(by_force[2000:-2000], abs=0.02)


def test_a_log_that_starts_amid_a_movement_has_settled_after_three_seconds() -> None:
    """1 m/s at the first row, of which acceleration tells nothing: what is left of it after 3 s is under 2 mm."""
    rate_hz = 500.0
    time = np.arange(round(30 * rate_hz)) / rate_hz
    turn = 2 * np.pi * 1.5
    movement, _ = integrated(-turn * np.sin(turn * time), rate_hz)
    share = float(kept(np.array([1.5]), rate_hz)[0])
    wrong = np.abs(movement - 1e3 / turn * share * np.sin(turn * time))
    edge = round(EDGE_S * rate_hz)
    assert wrong[edge:-edge].max() < 2.0
    assert wrong[: edge // 4].max() > 20.0


def test_the_movement_of_white_noise_is_what_noise_gives() -> None:
    rate_hz, sd = 200.0, 0.5
    noise = np.random.default_rng(3).normal(0, sd, 1 << 19)
    movement, _ = integrated(noise, rate_hz)
    assert np.std(movement) == pytest.approx(movement_of_white_mm(2 * sd**2 / rate_hz, rate_hz), rel=0.04)
