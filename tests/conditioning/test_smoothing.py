"""The low-pass against sines, scipy's own frequency response and what is printed of two-pass filters."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.signal import butter, filtfilt, freqz, sosfiltfilt, sosfreqz

from telemetry.conditioning import lowpass
from telemetry.conditioning.smoothing import both_ways, design_cutoff_hz
from tests.published.filter_classes import (
    CHANNEL_CLASSES,
    CLASS_TO_SINGLE_PASS,
    TWO_PASSES_ORDER_2,
    class_coefficients,
)
from tests.thresholds import threshold

ORDER, SHORTEST = int(threshold("conditioning.smoothing.ORDER")), int(threshold("conditioning.smoothing.SHORTEST"))
TWO_PASS = 0.8956803  # solved for by hand: (1 / (1 + x^8))^2 = 1/2
HALF_POWER = math.sqrt(0.5)
RATES = [(100.0, 40.0), (200.0, 60.0), (500.0, 60.0), (1000.0, 20.0), (1000.0, 60.0), (4000.0, 60.0)]


def passed(hertz: float, rate_hz: float, cutoff_hz: float, seconds: float = 8.0) -> tuple[float, float]:
    """Return gain and phase, rad, with which a sine comes out, by least squares over the middle half."""
    time_s = np.arange(round(seconds * rate_hz)) / rate_hz
    out = lowpass(np.sin(2 * np.pi * hertz * time_s), rate_hz, cutoff_hz)
    middle = slice(time_s.size // 4, 3 * time_s.size // 4)
    turn = 2 * np.pi * hertz * time_s[middle]
    (sine, cosine), *_ = np.linalg.lstsq(np.column_stack([np.sin(turn), np.cos(turn)]), out[middle], rcond=None)
    return math.hypot(sine, cosine), math.atan2(cosine, sine)


@pytest.mark.parametrize(("rate_hz", "cutoff_hz"), RATES)
class TestSines:
    def test_half_the_power_is_left_at_the_cutoff_after_both_passes(self, rate_hz: float, cutoff_hz: float) -> None:
        gain, _ = passed(cutoff_hz, rate_hz, cutoff_hz)
        assert gain == pytest.approx(HALF_POWER, rel=1e-5)
        assert 20 * math.log10(gain) == pytest.approx(-3.0103, abs=1e-4)

    @pytest.mark.parametrize("share", [0.05, 0.3, 0.7, 1.0, 1.15])
    def test_nothing_is_delayed(self, rate_hz: float, cutoff_hz: float, share: float) -> None:
        _, phase = passed(share * cutoff_hz, rate_hz, cutoff_hz)
        assert phase == pytest.approx(0.0, abs=1e-6)

    @pytest.mark.parametrize("share", [0.1, 0.5, 0.8, 1.1, 1.2])
    def test_gain_is_that_of_the_squared_butterworth_law(self, rate_hz: float, cutoff_hz: float, share: float) -> None:
        bent = math.tan(math.pi * share * cutoff_hz / rate_hz) / math.tan(math.pi * cutoff_hz / rate_hz)
        law = 1 / (1 + (TWO_PASS * bent) ** (2 * ORDER))
        gain, _ = passed(share * cutoff_hz, rate_hz, cutoff_hz)
        assert gain == pytest.approx(law, rel=1e-4)

    def test_the_design_has_half_the_power_in_scipys_own_response(self, rate_hz: float, cutoff_hz: float) -> None:
        b, a = butter(ORDER, design_cutoff_hz(cutoff_hz, rate_hz), fs=rate_hz)
        _, response = freqz(b, a, worN=[cutoff_hz], fs=rate_hz)
        assert abs(response[0]) ** 2 == pytest.approx(HALF_POWER, rel=1e-6)

    def test_it_is_scipys_forward_and_backward_filter(self, rate_hz: float, cutoff_hz: float) -> None:
        signal = np.random.default_rng(5).standard_normal(400).cumsum()
        b, a = butter(4, design_cutoff_hz(cutoff_hz, rate_hz), fs=rate_hz)
        assert lowpass(signal, rate_hz, cutoff_hz) == pytest.approx(filtfilt(b, a, signal), rel=1e-7, abs=1e-7)


def test_pure_noise_keeps_the_power_under_the_squared_response() -> None:
    rate_hz, cutoff_hz = 500.0, 60.0
    noise = np.random.default_rng(11).standard_normal(200_000)
    sections = butter(ORDER, design_cutoff_hz(cutoff_hz, rate_hz), fs=rate_hz, output="sos")
    _, response = sosfreqz(sections, worN=8192, fs=rate_hz)
    kept = np.mean(np.abs(response) ** 4)
    assert np.var(lowpass(noise, rate_hz, cutoff_hz)) == pytest.approx(kept, rel=0.02)


@pytest.mark.parametrize("level", [0.0, 45.0, -3.0, 1e6])
@pytest.mark.parametrize("count", [SHORTEST, 17, 1000])
def test_a_constant_comes_out_as_it_went_in(level: float, count: int) -> None:
    out = lowpass(np.full(count, level), 500.0, 60.0)
    assert out.shape == (count,)
    assert out == pytest.approx(np.full(count, level), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("slope", [0.4, -2.0])
def test_a_steady_ramp_is_left_alone_but_for_its_first_and_last_samples(slope: float) -> None:
    """The odd padding of 15 samples lets the ends settle to within a hundredth of a step."""
    ramp = 20 + slope * np.arange(600.0)
    off = np.abs(lowpass(ramp, 500.0, 60.0) - ramp)
    assert off[60:-60].max() < 1e-9
    assert off.max() < 0.01 * abs(slope)


def test_the_signal_given_is_not_changed() -> None:
    signal = np.random.default_rng(2).standard_normal(300)
    before = signal.copy()
    out = lowpass(signal, 500.0, 60.0)
    assert np.array_equal(signal, before)
    assert not np.shares_memory(out, signal)
    assert out.flags["C_CONTIGUOUS"]


def test_every_other_sample_of_a_log_is_as_good() -> None:
    signal = np.random.default_rng(3).standard_normal(4000).cumsum()[1::2]
    assert lowpass(signal, 500.0, 60.0) == pytest.approx(lowpass(signal.copy(), 500.0, 60.0), rel=1e-12)


def test_a_stretch_shorter_than_the_padding_is_refused() -> None:
    assert lowpass(np.ones(SHORTEST), 500.0, 60.0).shape == (SHORTEST,)
    with pytest.raises(ValueError, match="padlen"):
        lowpass(np.ones(SHORTEST - 1), 500.0, 60.0)


@pytest.mark.parametrize("cutoff_hz", [0.0, -5.0, 50.0, 60.0, math.nan])
def test_a_cutoff_outside_the_rates_half_is_refused(cutoff_hz: float) -> None:
    with pytest.raises(ValueError, match="half the rate, 50 Hz"):
        lowpass(np.ones(100), 100.0, cutoff_hz)


def two_pass_cutoff(order: int, rate_hz: float, cutoff_hz: float) -> float:
    """Return the design cut-off with which scipy's own response leaves half the power after both passes, by trying."""

    def too_much(design_hz: float) -> float:
        b, a = butter(order, design_hz, fs=rate_hz)
        _, response = freqz(b, a, worN=[cutoff_hz], fs=rate_hz)
        return float(abs(response[0]) ** 2 - HALF_POWER)

    return float(brentq(too_much, cutoff_hz, min(4 * cutoff_hz, 0.49 * rate_hz), xtol=1e-9))


class TestTwoPasses:
    """The correction for two passes against the response, Winter's figure and the channel classes of SAE J211."""

    @pytest.mark.parametrize(("rate_hz", "cutoff_hz"), [(1000.0, 20.0), (500.0, 60.0), (200.0, 60.0)])
    def test_the_design_cutoff_is_the_one_found_by_trying(self, rate_hz: float, cutoff_hz: float) -> None:
        assert design_cutoff_hz(cutoff_hz, rate_hz) == pytest.approx(two_pass_cutoff(4, rate_hz, cutoff_hz), rel=1e-8)

    def test_winters_figure_is_that_of_order_2(self) -> None:
        assert 0.1 / two_pass_cutoff(2, 1000.0, 0.1) == pytest.approx(TWO_PASSES_ORDER_2, abs=5e-4)

    @pytest.mark.parametrize("order", [1, 2, 4])
    def test_the_same_rule_at_any_order_leaves_half_the_power(self, order: int) -> None:
        b, a = butter(order, two_pass_cutoff(order, 1000.0, 20.0), fs=1000.0)
        _, response = freqz(b, a, worN=[20.0], fs=1000.0)
        gain, _ = passed(20.0, 1000.0, 20.0)
        assert gain == pytest.approx(abs(response[0]) ** 2, rel=1e-6)

    def test_without_the_correction_a_quarter_of_the_power_were_left(self) -> None:
        wanted = 20.0
        uncorrected = 1000 / math.pi * math.atan(math.tan(math.pi * wanted / 1000) * TWO_PASS)
        gain, _ = passed(wanted, 1000.0, uncorrected)
        assert gain == pytest.approx(0.5, rel=1e-5)

    @pytest.mark.parametrize(("channel", "rate_hz"), [(60, 10_000), (180, 10_000), (600, 20_000), (1000, 20_000)])
    def test_a_channel_class_has_its_half_power_where_ours_has(self, channel: int, rate_hz: int) -> None:
        """The class's own coefficients, both passes, against our filter with the class's -3 dB frequency."""
        at = np.linspace(0.9, 1.1, 4001) * CHANNEL_CLASSES[channel]
        half_power_hz = float(at[np.argmin(np.abs(class_gain(channel, rate_hz, at) - HALF_POWER))])
        assert half_power_hz == pytest.approx(CHANNEL_CLASSES[channel], rel=0.025)  # bilinear warping
        gain, _ = passed(half_power_hz, rate_hz, half_power_hz, seconds=2.0)
        assert gain == pytest.approx(HALF_POWER, rel=1e-4)

    @pytest.mark.parametrize("hertz", [60, 100, 160, 300])
    def test_class_60_and_ours_at_100_hz_pass_the_same_ride_alike(self, hertz: int) -> None:
        """Below its cut-off order 4 is flatter than the class's order 2, above it steeper."""
        (theirs,) = class_gain(60, 10_000, np.array([float(hertz)]))
        ours, _ = passed(hertz, 10_000.0, CHANNEL_CLASSES[60], seconds=2.0)
        if hertz == CHANNEL_CLASSES[60]:
            assert 20 * math.log10(ours / theirs) == pytest.approx(0, abs=0.01)
        else:
            assert (ours > theirs) == (hertz < CHANNEL_CLASSES[60])

    def test_the_classs_rule_for_one_pass_is_winters_turned_round(self) -> None:
        """2.0775 x class for one pass of order 2 puts both passes' half power at class / 0.6."""
        assert pytest.approx(1 / 0.6, rel=5e-4) == CLASS_TO_SINGLE_PASS * TWO_PASSES_ORDER_2


def class_gain(channel: int, rate_hz: int, at_hz: np.ndarray) -> np.ndarray:
    """Return the gain of a channel class after both passes."""
    a0, a1, a2, b1, b2 = class_coefficients(channel, rate_hz)
    _, response = freqz([a0, a1, a2], [1, -b1, -b2], worN=at_hz, fs=rate_hz)
    return np.abs(response) ** 2


@pytest.mark.parametrize("count", [40, 1000, 1001, 1033])
def test_block_by_block_is_the_library_s_own_filter(count):
    signal = np.random.default_rng(3).normal(size=count).cumsum()
    sections = butter(4, 60.0, fs=500.0, output="sos")
    np.testing.assert_array_equal(both_ways(sections, signal, block=100), sosfiltfilt(sections, signal))
