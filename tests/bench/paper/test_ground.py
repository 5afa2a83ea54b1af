"""Ground out of a wheel's path and what its tyre carries."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.bench.paper.ground import CARRIES_NOTHING_N, WheelPath, ground_m
from telemetry.dynamics.car import Wheel

RATE_HZ = 500.0
WHEEL = Wheel(mass_kg=3.5, tyre_n_m=90e3, tyre_n_s_m=200.0)


def test_ground_is_the_wheel_plus_what_its_tyre_is_pressed_by() -> None:
    seconds = np.arange(3000) / RATE_HZ
    pressed = 0.01 + 0.004 * np.sin(2 * np.pi * 5 * seconds)
    pressing = 0.004 * 2 * np.pi * 5 * np.cos(2 * np.pi * 5 * seconds)
    wheel = 0.02 * np.sin(2 * np.pi * 2 * seconds)
    path = WheelPath(height_m=wheel, tyre_n=90e3 * pressed + 200 * pressing, wheel=WHEEL)
    assert ground_m(path, RATE_HZ)[50:] == pytest.approx((wheel + pressed)[50:], abs=1e-5)


def flying() -> tuple[WheelPath, np.ndarray]:
    """Return a wheel that leaves flat ground for 0.2 s and rises 100 mm in it."""
    count, off = 1000, np.arange(400, 500)
    wheel, tyre = np.full(count, -0.01), np.full(count, 900.0)
    fading = np.arange(1, 41)
    tyre[360:400] = 900 - (900 - CARRIES_NOTHING_N) * fading / 41
    wheel[360:400] = -tyre[360:400] / WHEEL.tyre_n_m
    tyre[500:540], wheel[500:540] = tyre[360:400][::-1], wheel[360:400][::-1]
    wheel[off] = 0.1 * np.sin(np.pi * (off - 399) / 101)
    tyre[off] = np.linspace(-30, CARRIES_NOTHING_N - 1, 100)
    return WheelPath(height_m=wheel, tyre_n=tyre, wheel=WHEEL), off


def test_ground_that_no_tyre_felt_goes_on_smoothly_below_the_wheel() -> None:
    path, off = flying()
    laid = ground_m(path, RATE_HZ)
    assert path.unseen == ((400, 500),)
    assert np.all(laid[off] <= path.height_m[off] + 1e-12)
    assert laid[450] == pytest.approx(0.0, abs=2e-3)  # flat before and after: flat between
    drawn = np.array([ground_m(path, RATE_HZ, np.random.default_rng(seed))[450] for seed in range(30)])
    assert 0.01 < drawn.std() < 0.1
    assert np.all(drawn <= path.height_m[450])


def test_what_the_balance_leaves_over_in_the_air_is_told() -> None:
    path, off = flying()
    assert path.left_over_n[off] == pytest.approx(path.tyre_n[off])
    assert np.all(path.left_over_n[:400] == 0)
