"""Where an end is still: its speed, low-passed once more at 10 Hz, stays within 20 mm/s."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning import derivative, lowpass
from telemetry.conditioning.standing import SLOW_CUTOFF_HZ, STILL_SPEED_MM_S, still_mask

RATES = [100.0, 250.0, 1000.0, 4000.0]


def sine_speed(peak_mm_s: float, hertz: float, rate_hz: float) -> np.ndarray:
    return peak_mm_s * np.sin(2 * np.pi * hertz * np.arange(round(4 * rate_hz)) / rate_hz)


@pytest.mark.parametrize("rate_hz", RATES)
class TestLimit:
    def test_slow_motion_within_20_mm_s_is_still(self, rate_hz: float) -> None:
        assert np.all(still_mask(sine_speed(19.5, 1.0, rate_hz), rate_hz, 0.4 * min(rate_hz, 150.0)))

    @pytest.mark.parametrize("sign", [1, -1])
    def test_the_limit_is_20_mm_s_either_way(self, rate_hz: float, sign: int) -> None:
        steady = np.full(round(2 * rate_hz), float(sign))
        assert np.all(still_mask(19.99 * steady, rate_hz, 0.4 * min(rate_hz, 150.0)))
        assert not np.any(still_mask(20.01 * steady, rate_hz, 0.4 * min(rate_hz, 150.0)))

    def test_faster_is_not_where_it_is_faster(self, rate_hz: float) -> None:
        speed = sine_speed(40.0, 1.0, rate_hz)
        still = still_mask(speed, rate_hz, 0.4 * min(rate_hz, 150.0))
        away = np.abs(np.abs(speed) - STILL_SPEED_MM_S) > 1.5  # a kept sample at most from where it crosses the limit
        assert np.array_equal(still[away], np.abs(speed[away]) <= STILL_SPEED_MM_S)

    def test_a_tremble_at_10_hz_counts_by_half_its_power(self, rate_hz: float) -> None:
        cutoff_hz = 0.4 * min(rate_hz, 150.0)
        middle = slice(round(rate_hz), round(3 * rate_hz))
        under, over = (STILL_SPEED_MM_S * np.sqrt(2) * share for share in (0.98, 1.06))
        assert np.all(still_mask(sine_speed(under, SLOW_CUTOFF_HZ, rate_hz), rate_hz, cutoff_hz)[middle])
        assert not np.all(still_mask(sine_speed(over, SLOW_CUTOFF_HZ, rate_hz), rate_hz, cutoff_hz)[middle])

    def test_an_engines_shaking_at_40_hz_is_still(self, rate_hz: float) -> None:
        if rate_hz > 100:
            middle = slice(round(rate_hz / 2), round(3.5 * rate_hz))
            assert np.all(still_mask(sine_speed(300.0, 40.0, rate_hz), rate_hz, 60.0)[middle])


@pytest.mark.parametrize("rate_hz", [1000.0, 1234.0, 4000.0])
def test_thinning_moves_the_answer_by_at_most_4_ms(rate_hz: float) -> None:
    rng = np.random.default_rng(8)
    count = round(20 * rate_hz)
    bursts = np.repeat(rng.uniform(0, 1, 40) > 0.5, count // 40 + 1)[:count]
    travel = lowpass(60 + 3 * np.cumsum(rng.standard_normal(count)) / np.sqrt(rate_hz) * bursts, rate_hz, 60.0)
    speed = derivative(travel, rate_hz)
    thinned = still_mask(speed, rate_hz, 60.0)
    slow = np.abs(lowpass(speed, rate_hz, SLOW_CUTOFF_HZ))
    whole = slow <= STILL_SPEED_MM_S
    assert thinned.shape == whole.shape
    assert 0.02 < whole.mean() < 0.98
    crossings = np.flatnonzero(np.diff(whole))
    differing = np.flatnonzero((thinned != whole) & (np.abs(slow - STILL_SPEED_MM_S) > 0.5))
    assert differing.size > 0  # it is thinned
    nearest = np.abs(differing[:, None] - crossings).min(axis=1)
    assert nearest.max() <= np.ceil(0.004 * rate_hz)
    assert np.mean(thinned != whole) < 0.01


@pytest.mark.parametrize("count", [16, 17, 40, 63, 64, 65])
@pytest.mark.parametrize("rate_hz", [200.0, 1000.0, 2000.0])
def test_the_shortest_stretches_are_answered_sample_by_sample(count: int, rate_hz: float) -> None:
    assert still_mask(np.zeros(count), rate_hz, 60.0).tolist() == [True] * count
    assert still_mask(np.full(count, 500.0), rate_hz, 60.0).tolist() == [False] * count
