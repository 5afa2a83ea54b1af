"""Band, root mean square and peaks of shaking, and how long a wheel is unloaded."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures import find_motion
from telemetry.measures.inertial.band import PADDING, band_passed, low_passed, upper_edge_hz
from telemetry.measures.inertial.parts import carried
from telemetry.measures.inertial.shaking import foremost_peaks, minutes_of, peaks, root_mean_square
from telemetry.measures.inertial.unloading import load_share, load_shares, unloaded_pct
from telemetry.measures.inertial.view import inertial_view
from tests.measures.inertial_rides import inertial, inertial_ride
from tests.thresholds import threshold


def gain_at(hertz: float, rate_hz: float, passed=band_passed) -> float:
    signal = np.sin(2 * np.pi * hertz * np.arange(round(60 * rate_hz)) / rate_hz)
    inner = slice(round(20 * rate_hz), round(40 * rate_hz))
    return float(np.std(passed(signal, rate_hz)[inner]) / np.std(signal[inner]))


@pytest.mark.parametrize("rate_hz", [100.0, 200.0, 500.0, 1000.0])
def test_edges_lie_at_half_the_power_after_both_passes(rate_hz: float):
    assert gain_at(1.0, rate_hz) == pytest.approx(math.sqrt(0.5), rel=0.01)
    assert gain_at(upper_edge_hz(rate_hz), rate_hz) == pytest.approx(math.sqrt(0.5), rel=0.01)
    assert gain_at(10.0, rate_hz) == pytest.approx(1.0, abs=0.01)


def test_what_is_slow_is_kept_by_a_low_pass_and_left_out_of_the_band():
    def slow(signal: np.ndarray, rate_hz: float) -> np.ndarray:
        return low_passed(signal, rate_hz, 2.0)

    assert gain_at(0.05, 200.0, slow) == pytest.approx(1.0, abs=1e-3)
    assert gain_at(2.0, 200.0, slow) == pytest.approx(math.sqrt(0.5), rel=0.01)
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
    assert minutes == minutes_of(parts, 200.0)
    some, every = foremost_peaks(parts, 200.0, minutes), peaks(parts, 200.0)
    count = math.ceil(10 * minutes) + 1
    assert some.size < every.size
    assert np.sort(some)[-count:].tolist() == np.sort(every)[-count:].tolist()
    assert foremost_peaks([1000.0 * part for part in parts], 200.0, minutes).size == some.size


@pytest.mark.parametrize(("high", "found"), [(20, 40), (21, 21)])
def test_more_than_ten_a_minute_have_to_stand_out(high: int, found: int):
    """Of twenty a minute in two minutes, some high; without more than ten a minute of those, all are looked for."""
    signal = np.zeros(2_400)
    signal[30::60] = [50.0] * high + [1.0] * (40 - high)
    assert foremost_peaks([signal], 20.0, 2.0).size == found


def test_without_a_stretch_there_is_no_peak():
    assert peaks([], 200.0).size == 0


def test_all_peaks_are_looked_for_where_few_stand_out():
    signal = np.sin(2 * np.pi * np.arange(2_000) / 50)  # 200 Hz: 8 peaks a second, none over twice the rms
    assert foremost_peaks([signal], 200.0, 10 / 60).size == peaks([signal], 200.0).size > 60


def test_a_wheel_at_rest_carries_its_load_and_one_in_flight_none():
    at_rest, flying, usual = np.zeros(3), np.full(3, -9.80665), load_shares(None)
    assert load_share(at_rest, at_rest, at_rest, usual).tolist() == [1.0] * 3
    assert load_share(flying, flying, flying, usual) == pytest.approx([0.0] * 3)


def test_a_rider_moves_with_the_frame_up_to_an_edge():
    """At the edge half the power of the frame's shaking reaches the rider; a quarter of all that is ridden is bike."""
    edge_hz, share = (
        threshold("measures.inertial.unloading.RIDER_HZ"),
        threshold("measures.inertial.unloading.BIKE_SHARE"),
    )
    shaken = np.sin(2 * np.pi * edge_hz * np.arange(12_000) / 200.0)
    signals = inertial(np.zeros(shaken.size), on="wheel"), inertial(shaken)
    motion = find_motion(inertial_ride(*signals))
    ridden = replace(motion.time, riding=np.ones(shaken.size, dtype=bool))
    (load,) = carried(inertial_view(replace(motion, time=ridden), "front"))
    expected = ((1 - 0.27) * share + math.sqrt(0.5) * (1 - share)) / 9.80665
    assert np.ptp(load[4_000:8_000]) / 2 == pytest.approx(expected, rel=0.01)


def test_load_is_that_of_the_tyre_of_three_masses():
    """40 kg, half of it bike, 27 % of that below: 5.4 kg at +50, 14.6 at -5, 20 at 1 m/s2: 609.3 N of 392.3 N."""
    found = load_share(np.array([50.0]), np.array([-5.0]), np.array([1.0]), load_shares(0.5))
    by_hand = 5.4 * (9.80665 + 50) + 14.6 * (9.80665 - 5) + 20 * (9.80665 + 1)
    assert found[0] == pytest.approx(by_hand / (40 * 9.80665))


def test_where_masses_are_not_stated_the_usual_share_is_bike() -> None:
    assert load_shares(None) == load_shares(threshold("measures.inertial.unloading.BIKE_SHARE"))


def test_unloaded_is_below_three_tenths():
    assert unloaded_pct([np.array([0.29, 0.3, 1.0]), np.array([-2.0])]) == pytest.approx(50.0)
    assert math.isnan(unloaded_pct([]))
