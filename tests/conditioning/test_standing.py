"""Where an end is still: its speed, low-passed once more at 10 Hz, stays within 20 mm/s."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.conditioning.speed import still_mask
from tests.plain.plain_signal import derivative, low_passed
from tests.thresholds import threshold

SLOW_CUTOFF_HZ = threshold("conditioning.speed.SLOW_CUTOFF_HZ")
STILL_SPEED_MM_S = threshold("conditioning.speed.STILL_SPEED_MM_S")
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

    @pytest.mark.parametrize("sign", [1, -1])
    def test_20_mm_s_itself_is_still(self, rate_hz: float, sign: int) -> None:
        """A constant comes through the low-pass to the last digit or two: as near as can be tried."""
        steady = np.full(round(rate_hz), sign * STILL_SPEED_MM_S * (1 - 1e-12))
        assert np.all(still_mask(steady, rate_hz, 0.4 * min(rate_hz, 150.0)))

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
    travel = low_passed(60 + 3 * np.cumsum(rng.standard_normal(count)) / np.sqrt(rate_hz) * bursts, rate_hz, 60.0)
    speed = derivative(travel, rate_hz)
    thinned = still_mask(speed, rate_hz, 60.0)
    slow = np.abs(low_passed(speed, rate_hz, SLOW_CUTOFF_HZ))
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


@pytest.mark.parametrize(
    ("rate_hz", "cutoff_hz", "every"),
    [(499.0, 60.0, 1), (500.0, 60.0, 2), (749.0, 60.0, 2), (750.0, 60.0, 3), (1000.0, 60.0, 4), (1000.0, 100.0, 2)],
)
def test_a_fast_log_is_thinned_to_250_rows_a_second_and_four_times_its_cutoff_or_more(
    rate_hz: float, cutoff_hz: float, every: int
) -> None:
    """All samples of a kept one share its answer."""
    speed = 30.0 * np.random.default_rng(4).standard_normal(6000)
    thinned = np.abs(low_passed(speed[::every], rate_hz / every, SLOW_CUTOFF_HZ)) <= STILL_SPEED_MM_S
    assert still_mask(speed, rate_hz, cutoff_hz).tolist() == np.repeat(thinned, every)[:6000].tolist()


@pytest.mark.parametrize(("count", "thinned"), [(63, False), (64, True)])
def test_a_stretch_too_short_for_the_thinned_filter_is_not_thinned(count: int, *, thinned: bool) -> None:
    speed = 60.0 * np.random.default_rng(2).standard_normal(count)
    every = 4 if thinned else 1
    expected = np.abs(low_passed(speed[::every], 1000.0 / every, SLOW_CUTOFF_HZ)) <= STILL_SPEED_MM_S
    assert still_mask(speed, 1000.0, 60.0).tolist() == np.repeat(expected, every)[:count].tolist()


@pytest.mark.parametrize(("rate_hz", "cutoff_hz"), [(20.0, 8.0), (30.0, 10.0)])
def test_a_slow_log_is_low_passed_at_two_fifths_of_its_rate_at_most(rate_hz: float, cutoff_hz: float) -> None:
    speed = 30.0 * np.random.default_rng(3).standard_normal(300)
    expected = np.abs(low_passed(speed, rate_hz, cutoff_hz)) <= STILL_SPEED_MM_S
    assert 0.1 < expected.mean() < 0.9
    assert still_mask(speed, rate_hz, 0.4 * rate_hz).tolist() == expected.tolist()
