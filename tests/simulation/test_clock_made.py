"""A logger's clock: rate, lateness, drift and roll-over against closed forms."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from telemetry.simulation.clock_made import Clock, own_times_s, stamps, true_times_s


def rng() -> np.random.Generator:
    return np.random.default_rng(5)


def test_a_perfect_clock_samples_evenly_and_ends_with_the_signals() -> None:
    clock = Clock(rate_hz=500.0)
    own = own_times_s(clock, 10.0, rng())
    assert own.shape == (5001,)
    assert np.allclose(own, np.arange(5001) / 500)
    assert np.array_equal(stamps(clock, own), np.arange(5001) * 2.0)


def test_samples_are_late_by_the_stated_deviation_and_keep_their_order() -> None:
    clock = Clock(rate_hz=500.0, jitter_share=0.2)
    own = own_times_s(clock, 400.0, rng())
    late = own * 500 - np.arange(own.shape[0])
    assert late.min() >= 0.0
    assert late.max() < np.sqrt(12) * 0.2 < 1
    assert late.std() == pytest.approx(0.2, rel=0.01)
    assert late.mean() == pytest.approx(np.sqrt(3) * 0.2, rel=0.01)
    assert np.diff(own).std() * 500 == pytest.approx(np.sqrt(2) * 0.2, rel=0.01)
    assert np.diff(own).min() > 0


@pytest.mark.parametrize("drift_ppm", [-300.0, 0.0, 5000.0])
def test_a_fast_clock_counts_more_seconds_and_samples_more_often(drift_ppm: float) -> None:
    clock = Clock(rate_hz=400.0, drift_ppm=drift_ppm, switched_on_s=0.5)
    own = own_times_s(clock, 100.5, rng())
    true = true_times_s(clock, own)
    assert true[0] == 0.5
    assert true[-1] <= 100.5 + 1e-9
    assert np.diff(true).mean() == pytest.approx(1 / 400 / (1 + drift_ppm * 1e-6), rel=1e-9)
    assert own[-1] / (true[-1] - true[0]) == pytest.approx(1 + drift_ppm * 1e-6, rel=1e-12)
    assert own.shape[0] == np.floor(100 * (1 + drift_ppm * 1e-6) * 400 + 1e-9) + 1


@pytest.mark.parametrize(("unit", "tick_s", "in_s"), [("s", 1e-6, 1.0), ("ms", 1e-3, 1e-3), ("us", 1e-6, 1e-6)])
def test_stamps_are_cut_off_to_whole_ticks(unit: Any, tick_s: float, in_s: float) -> None:
    clock = Clock(rate_hz=997.0, jitter_share=0.1, unit=unit, start_s=12.5)
    own = own_times_s(clock, 20.0, rng())
    behind = 12.5 + own - stamps(clock, own) * in_s
    assert behind.min() >= -2e-6 * tick_s - 1e-12
    assert behind.max() < tick_s + 1e-12


@pytest.mark.parametrize(("unit", "bits", "in_s"), [("us", 16, 1e-6), ("ms", 16, 1e-3), ("us", 24, 1e-6)])
def test_a_counter_that_rolls_over_is_the_true_count_modulo_its_range(unit: Any, bits: Any, in_s: float) -> None:
    clock = Clock(rate_hz=500.0, jitter_share=0.1, unit=unit, wraps_at_bits=bits, start_s=60.0)
    own = own_times_s(clock, 40.0, rng())
    rolled = stamps(clock, own)
    assert rolled.max() < 2**bits
    span = 2.0**bits * in_s
    lost = np.concatenate([[0.0], np.cumsum(np.diff(rolled) < 0)])
    assert lost[-1] == np.floor((60 + own[-1]) / span) - np.floor(60 / span)
    unrolled = rolled * in_s + lost * span
    assert np.allclose(unrolled - unrolled[0], own - own[0], atol=1.01 * in_s)


def test_ranges_and_units_are_checked() -> None:
    with pytest.raises(ValueError, match=r"Clock\.rate_hz: found 5\.0; expected 20 to 10000"):
        Clock(rate_hz=5.0)
    with pytest.raises(ValueError, match=r"Clock\.jitter_share: found 0\.3"):
        Clock(rate_hz=500.0, jitter_share=0.3)
    with pytest.raises(ValueError, match="found a clock in seconds"):
        Clock(rate_hz=500.0, unit="s", wraps_at_bits=16)
    with pytest.raises(ValueError, match="expected 's', 'ms' or 'us'"):
        Clock(rate_hz=500.0, unit="min")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="expected none, 16, 24 or 32"):
        Clock(rate_hz=500.0, wraps_at_bits=20)  # type: ignore[arg-type]
