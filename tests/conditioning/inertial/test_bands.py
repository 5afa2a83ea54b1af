"""Bands of a sensor's blocks: how many it takes, and what is left of a swing within and beside one."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.inertial.bands import in_band, is_held
from tests.thresholds import threshold

PART_S = threshold("conditioning.inertial.bands.PART_S")
HELD_TIMES = threshold("conditioning.inertial.bands.HELD_TIMES")
HIGHEST_SHARE = threshold("conditioning.inertial.bands.HIGHEST_SHARE")
RATE_HZ = 50.0


@pytest.mark.parametrize(("short_by", "held"), [(0, True), (1, False)])
def test_it_takes_one_part(short_by: int, *, held: bool) -> None:
    assert is_held(round(PART_S * RATE_HZ) - short_by, RATE_HZ, 3.0) is held


@pytest.mark.parametrize(("share", "held"), [(1.0, True), (0.99, False)])
def test_it_takes_blocks_fast_enough_for_the_upper_edge(share: float, *, held: bool) -> None:
    assert is_held(10_000, share * HELD_TIMES * 3.0, 3.0) is held


@pytest.mark.parametrize(("swing_hz", "left"), [(0.05, 0.0), (1.0, 1.0), (0.5, 0.5), (2.0, 0.5), (20.0, 0.0)])
def test_a_swing_within_stays_where_it_is_one_beside_goes_one_at_an_edge_halves(swing_hz: float, left: float) -> None:
    """Two passes of -3 dB each leave a half at either edge."""
    at_s = np.arange(200 * int(RATE_HZ)) / RATE_HZ
    swing = np.sin(2 * np.pi * swing_hz * at_s)
    (found,) = in_band(swing[None], RATE_HZ, (0.5, 2.0))
    middle = slice(2500, 7500)
    assert found[middle] @ swing[middle] / (swing[middle] @ swing[middle]) == pytest.approx(left, abs=0.03)


def test_a_band_ends_where_slow_blocks_do() -> None:
    noise = np.random.default_rng(3).standard_normal((2, 1000))
    rate_hz = 2.0 / HIGHEST_SHARE
    assert np.array_equal(in_band(noise, rate_hz, (0.5, 8.0)), in_band(noise, rate_hz, (0.5, 2.0)))
    assert not np.array_equal(in_band(noise, rate_hz, (0.5, 8.0)), in_band(noise, rate_hz, (0.5, 1.98)))
