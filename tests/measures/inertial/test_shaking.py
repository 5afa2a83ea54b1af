"""Band, root mean square and peaks of shaking, and how long a wheel is unloaded."""

from __future__ import annotations

import math

import numpy as np
import pytest

from telemetry.measures.inertial.band import PADDING, band_passed, upper_edge_hz
from telemetry.measures.inertial.shaking import foremost_peaks, peaks, root_mean_square
from telemetry.measures.inertial.unloading import UNSPRUNG_SHARE, load_share, unloaded_pct


def gain_at(hertz: float, rate_hz: float, **options: bool) -> float:
    signal = np.sin(2 * np.pi * hertz * np.arange(round(60 * rate_hz)) / rate_hz)
    inner = slice(round(20 * rate_hz), round(40 * rate_hz))
    return float(np.std(band_passed(signal, rate_hz, **options)[inner]) / np.std(signal[inner]))


@pytest.mark.parametrize("rate_hz", [100.0, 200.0, 500.0, 1000.0])
def test_edges_lie_at_half_the_power_after_both_passes(rate_hz: float):
    assert gain_at(1.0, rate_hz) == pytest.approx(math.sqrt(0.5), rel=0.01)
    assert gain_at(upper_edge_hz(rate_hz), rate_hz) == pytest.approx(math.sqrt(0.5), rel=0.01)
    assert gain_at(10.0, rate_hz) == pytest.approx(1.0, abs=0.01)


def test_what_is_slow_is_kept_where_asked_and_left_out_else():
    assert gain_at(0.05, 200.0, from_zero=True) == pytest.approx(1.0, abs=1e-3)
    assert gain_at(0.05, 200.0) < 0.01


def test_the_upper_edge_is_what_a_slow_log_holds():
    assert [upper_edge_hz(rate) for rate in (1000.0, 200.0, 150.0)] == [80.0, 80.0, 60.0]


def test_a_stretch_just_longer_than_the_padding_will_do():
    assert band_passed(np.ones(PADDING + 1), 200.0).size == PADDING + 1


def test_root_mean_square_counts_every_sample_once():
    assert root_mean_square([np.array([3.0, -3.0]), np.array([0.0] * 6)]) == pytest.approx(1.5)
    assert math.isnan(root_mean_square([]))


def test_of_two_peaks_close_together_the_higher_counts():
    signal = np.zeros(100)
    signal[[20, 29, 60]] = [5.0, -7.0, 4.0]
    assert peaks([signal], 100.0).tolist() == [7.0, 4.0]
    signal[[20, 29]] = [5.0, 0.0]
    signal[30] = -7.0
    assert peaks([signal], 100.0).tolist() == [5.0, 7.0, 4.0]


def test_foremost_peaks_are_the_highest_of_all_whatever_is_looked_for_first():
    rng = np.random.default_rng(1)
    parts = [rng.normal(size=20_000) * rng.lognormal(size=20_000) for _ in range(2)]
    minutes = 40_000 / 200.0 / 60
    some, every = foremost_peaks(parts, 200.0, minutes), peaks(parts, 200.0)
    count = math.ceil(10 * minutes) + 1
    assert some.size < every.size
    assert np.sort(some)[-count:].tolist() == np.sort(every)[-count:].tolist()


def test_all_peaks_are_looked_for_where_few_stand_out():
    signal = np.sin(2 * np.pi * np.arange(2_000) / 50)  # 200 Hz: 8 peaks a second, none over twice the rms
    assert foremost_peaks([signal], 200.0, 10 / 60).size == peaks([signal], 200.0).size > 60


def test_a_wheel_at_rest_carries_its_load_and_one_in_flight_none():
    at_rest, flying = np.zeros(3), np.full(3, -9.80665)
    assert load_share(at_rest, at_rest, UNSPRUNG_SHARE).tolist() == [1.0] * 3
    assert load_share(flying, flying, UNSPRUNG_SHARE) == pytest.approx([0.0] * 3)


def test_load_is_that_of_the_tyre_of_two_masses():
    """4 kg below, 36 kg above, +50 and -5 m/s2: 4 x 59.807 + 36 x 4.807 = 412.27 N of 392.27 N."""
    assert load_share(np.array([50.0]), np.array([-5.0]), 0.1)[0] == pytest.approx(412.27 / 392.27, rel=1e-4)


def test_unloaded_is_below_three_tenths():
    assert unloaded_pct([np.array([0.29, 0.3, 1.0]), np.array([-2.0])]) == pytest.approx(50.0)
    assert math.isnan(unloaded_pct([]))
