"""Spikes: what is one, what isn't, what stands in its place."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import median_abs_deviation

from telemetry.conditioning.despiking import MAD_TO_SD, find_spikes, outliers
from tests.conditioning.made_ends import FORK_POINTS, codes, front_end, front_ride, rear_end, ride_of
from tests.measures.made_rides import made_log, path
from tests.thresholds import threshold

RATE_HZ = 500.0  # 10 m/s are 20 mm a step
STEP_MM = 10_000.0 / RATE_HZ


def moving(count: int = 400) -> np.ndarray:
    """Return travel that moves at up to 1.2 m/s, with a little roughness."""
    time_s = np.arange(count) / RATE_HZ
    rough = np.random.default_rng(6).normal(0, 0.2, count)
    return 70 + 50 * np.sin(2 * np.pi * 4 * time_s) * np.sin(2 * np.pi * time_s) + rough


def found(wheel_mm: np.ndarray, rate_hz: float = RATE_HZ) -> list[int]:
    return find_spikes(wheel_mm, wheel_mm, rate_hz).samples.tolist()


def with_spike(at: int, *heights_mm: float, base: np.ndarray | None = None) -> np.ndarray:
    signal = np.full(100, 50.0) if base is None else base.copy()
    signal[at : at + len(heights_mm)] += heights_mm
    return signal


class TestPublishedOutliers:
    """Hampel's identifier: further than 3 scaled MAD from the window's median."""

    SERIES = np.array([1, 1.1, 0.9, 1, 8, 1, 1.1, 0.9, 1.05, 1])

    def test_the_scale_is_that_of_a_normal_distribution(self) -> None:
        assert pytest.approx(1.482602218505602, rel=1e-14) == MAD_TO_SD

    def test_the_worked_series_has_one_outlier_and_its_median(self) -> None:
        is_out, median = outliers(self.SERIES, np.arange(10))
        assert np.flatnonzero(is_out).tolist() == [4]
        assert median[4] == 1.0

    def test_each_sample_is_judged_in_the_seven_around_it(self) -> None:
        signal = np.random.default_rng(1).standard_t(2, 300)
        is_out, median = outliers(signal, np.arange(300))
        for place in range(3, 297):
            window = signal[place - 3 : place + 4]
            assert median[place] == np.median(window)
            limit = 3 * median_abs_deviation(window, scale="normal")
            assert is_out[place] == (abs(signal[place] - np.median(window)) > limit)
        assert 5 < is_out.sum() < 150

    @pytest.mark.parametrize("place", [0, 1, 2, 297, 298, 299])
    def test_at_the_ends_the_window_of_seven_moves_inwards(self, place: int) -> None:
        signal = np.random.default_rng(1).standard_t(2, 300)
        window = signal[:7] if place < 7 else signal[-7:]
        _, median = outliers(signal, np.array([place]))
        assert median[0] == np.median(window)
        assert outliers(np.arange(300.0), np.array([place]))[1] == [3.0 if place < 7 else 296.0]


class TestWhatIsASpike:
    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize("length", [1, 2, 3])
    def test_one_to_three_samples_away_and_back(self, length: int, sign: int) -> None:
        signal = with_spike(40, *[sign * 45.0] * length)
        assert found(signal) == list(range(40, 40 + length))

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize("length", [1, 2, 3])
    def test_also_while_the_wheel_moves(self, length: int, sign: int) -> None:
        """Motion within the window widens its MAD, so the spike must stand out further."""
        for at in (50, 133, 260):
            signal = with_spike(at, *[sign * 75.0] * length, base=moving())
            assert found(signal) == list(range(at, at + length))

    def test_samples_of_one_spike_need_not_be_alike(self) -> None:
        assert found(with_spike(40, 70.0, 55.0, 62.0)) == [40, 41, 42]

    def test_four_samples_are_motion(self) -> None:
        assert found(with_spike(40, 45.0, 45.0, 45.0, 45.0)) == []

    @pytest.mark.parametrize(("height_mm", "expected"), [(0.999 * STEP_MM, []), (1.001 * STEP_MM, [40])])
    def test_both_steps_exceed_10_m_s(self, height_mm: float, expected: list[int]) -> None:
        assert found(with_spike(40, height_mm)) == expected
        assert found(with_spike(40, -height_mm)) == expected

    def test_a_slower_step_out_makes_it_no_spike(self) -> None:
        signal = np.full(100, 50.0)
        signal[40:43] = [95.0, 80.0, 65.0]  # 22.5 m/s in, 7.5 m/s out
        assert found(signal) == []

    def test_the_same_reading_is_no_spike_at_a_tenth_of_the_rate(self) -> None:
        signal = with_spike(40, 45.0)
        assert found(signal, 1000.0) == [40]
        assert found(signal, 200.0) == []  # 9 m/s

    @pytest.mark.parametrize("height_mm", [30.0, -30.0, 120.0])
    def test_a_jump_that_stays_is_none(self, height_mm: float) -> None:
        signal = np.full(100, 50.0)
        signal[40:] += height_mm
        assert found(signal) == []

    def test_two_steps_the_same_way_are_none(self) -> None:
        signal = np.full(100, 50.0)
        signal[40] += 30
        signal[41:] += 60
        assert found(signal) == []

    def test_an_outlier_that_is_passed_on_the_way_up_is_none(self) -> None:
        """Fast into it and fast on the same way; the way back down is slower than 10 m/s."""
        signal = np.full(100, 50.0)
        signal[40:44] = [71.0, 92.0, 72.5, 53.0]
        assert outliers(signal, np.array([40]))[0].tolist() == [True]
        assert found(signal) == []
        assert found(100 - signal) == []

    def test_nor_at_a_rate_at_which_a_fast_step_is_less_than_a_millimetre(self) -> None:
        signal = np.full(100, 1.25)
        signal[40:44] = [1.775, 2.3, 1.8125, 1.325]
        assert found(signal, 40 * RATE_HZ) == []

    def test_a_fast_step_within_a_spike_begins_none_and_what_follows_is_found(self) -> None:
        signal = with_spike(30, 60.0, 100.0)
        signal[60] += 45
        assert found(signal) == [30, 31, 60]

    def test_a_wild_neighbourhood_makes_an_outlier_no_outlier(self) -> None:
        """Both steps exceed 10 m/s and turn, yet 34 mm is within 3 x 1.4826 MAD of 12 mm."""
        signal = np.zeros(21)
        signal[7:14] = [0, 12, 24, 46, 22, 10, 0]
        assert found(signal) == []

    def test_a_spike_each_way_is_two(self) -> None:
        assert found(with_spike(40, 60.0, -60.0)) == [40, 41]

    def test_spikes_follow_one_another(self) -> None:
        signal = with_spike(30, 45.0)
        signal[[33, 60]] -= 45
        signal[[61, 62]] -= 40
        assert found(signal) == [30, 33, 60, 61, 62]

    def test_the_first_and_the_last_sample_have_only_one_step(self) -> None:
        signal = np.full(100, 50.0)
        signal[[0, 99]] = 120.0
        assert found(signal) == []

    @pytest.mark.parametrize("place", [1, 2, 97, 98])
    def test_next_to_an_end_there_are_two(self, place: int) -> None:
        assert found(with_spike(place, 45.0)) == [place]

    @pytest.mark.parametrize("count", [0, 1, 6])
    def test_a_stretch_shorter_than_the_window_has_none(self, count: int) -> None:
        signal = np.zeros(count)
        signal[count // 2 : count // 2 + 1] = 90.0
        assert found(signal) == []

    def test_steps_are_judged_at_the_wheel_and_outliers_in_readings(self) -> None:
        stroke = np.full(100, 20.0)
        stroke[40] += 9.0  # 4.5 m/s at the shock, 11 m/s at a wheel of ratio 2.5
        assert find_spikes(stroke, stroke, RATE_HZ).samples.size == 0
        spikes = find_spikes(3900 - 50 * stroke, 2.5 * stroke, RATE_HZ)
        assert spikes.samples.tolist() == [40]
        assert spikes.values.tolist() == [3900 - 50 * 20.0]


class TestCleanSignals:
    def test_nothing_is_found_in_motion(self) -> None:
        assert found(moving(5000)) == []

    def test_nothing_is_found_in_the_hardest_hits(self) -> None:
        """Half-cosines of 150 mm in 25 ms peak at 9.4 m/s."""
        corners = [corner for _ in range(20) for corner in ((160.0, 0.025), (10.0, 0.025))]
        assert math.pi * 150 / 2 / 0.024 < 10_000
        assert found(path(*corners, start=10.0)) == []

    def test_nothing_is_found_in_a_log_that_stands(self) -> None:
        assert found(np.full(1000, 45.0)) == []

    def test_a_converters_last_digit_is_none(self) -> None:
        assert found(np.round(moving(5000) / 0.05) * 0.05) == []

    @pytest.mark.parametrize("seed", [1, 2])
    def test_readings_that_are_no_spike_stay_bit_for_bit(self, seed: int) -> None:
        readings = np.random.default_rng(seed).normal(2000, 4, 1000).round()
        assert front_ride(readings).front.cleaned_mm == pytest.approx((readings - 100) * 0.05, abs=1e-9)


class TestInARide:
    """Counted, replaced by the median of readings, and told with place and share."""

    BASE = 1700.0

    def ride(self, spikes: int, samples: int = 4000):
        readings = np.full(samples, self.BASE)
        readings[100 : 100 + 20 * spikes : 20] += 900  # 45 mm
        return front_ride(readings)

    def test_the_medians_stand_in_the_spikes_places(self) -> None:
        mended = self.ride(7)
        assert mended.front.cleaned_mm == pytest.approx(np.full(4000, (self.BASE - FORK_POINTS[0][0]) * 0.05))
        step = next(step for step in mended.history if step.stage == "spikes")
        assert step.parameters == {"samples": 7}

    def test_up_to_a_thousandth_of_all_samples_is_a_note(self) -> None:
        (finding,) = self.ride(4).findings
        assert (finding.code, finding.severity, finding.end) == ("spikes", "note", "front")
        assert "4 samples" in finding.message
        assert finding.second == pytest.approx(0.2)
        assert finding.row == 102  # the 100th sample after row 2

    def test_more_is_a_warning(self) -> None:
        (finding,) = self.ride(5).findings
        assert (finding.code, finding.severity) == ("spikes", "warning")
        assert "limit 0.1 %" in finding.message

    def test_none_are_told_in_history_only(self) -> None:
        clean = self.ride(0)
        assert codes(clean) == []
        assert next(step for step in clean.history if step.stage == "spikes").parameters == {"samples": 0}

    def test_a_shocks_spike_is_judged_through_its_leverage(self) -> None:
        readings = np.full(2000, 3000.0)  # 18 mm of stroke
        readings[500] -= 400  # 8 mm: 4 m/s at the shock, over 10 m/s at the wheel
        ride = ride_of(made_log({"A1": readings}, RATE_HZ), rear_end())
        assert codes(ride) == ["spikes"]
        assert np.ptp(ride.rear.cleaned_mm) == pytest.approx(0.0, abs=1e-9)
        slower = ride_of(made_log({"A1": readings}, RATE_HZ / 2), rear_end())
        assert "spikes" not in codes(slower)

    def test_a_spike_does_not_reach_across_a_gap(self) -> None:
        """The jump at a segment's end is half a spike; its other half lies behind the gap."""
        readings = np.full(1000, self.BASE)
        readings[499] += 900
        ride = ride_of(made_log({"A0": readings}, RATE_HZ, ((0, 500), (500, 1000))), front_end())
        assert "spikes" not in codes(ride)
        assert codes(front_ride(readings)) == ["spikes"]


class TestLimits:
    """The documented numbers, each just below and just above."""

    SPEED, SD = threshold("conditioning.despiking.SPEED_LIMIT_MM_S"), threshold("conditioning.despiking.SD_LIMIT")
    WINDOW, LONGEST = int(threshold("conditioning.despiking.WINDOW")), int(threshold("conditioning.despiking.LONGEST"))

    @pytest.mark.parametrize("rate_hz", [200.0, 1000.0])
    @pytest.mark.parametrize(("share", "is_spike"), [(1.0, False), (1.0001, True)])
    def test_both_steps_are_faster_than_the_limit(self, rate_hz: float, share: float, *, is_spike: bool) -> None:
        step = self.SPEED / rate_hz
        for into, away in ((share, 1.5), (1.5, share)):
            signal = np.full(40, 50.0)
            signal[20:22] += np.array([into, into - away]) * step  # the way back ends a little off, for a sample
            assert (20 in found(signal, rate_hz)) is is_spike

    @pytest.mark.parametrize(("share", "is_out"), [(0.999, False), (1.001, True)])
    def test_an_outlier_lies_further_than_so_many_sd_of_a_normal_distribution(
        self, share: float, *, is_out: bool
    ) -> None:
        """The window's other samples lie 1, 1, 2, 2, 3 and 3 off its median: their median is 2 with its own."""
        limit = self.SD * 1.4826022 * 2
        for own in (share * limit, -share * limit):
            window = 70 + np.array([1.0, -1.0, 2.0, own, -2.0, -3.0 if own > 0 else 3.0, 0.0])
            assert np.median(window) == 70.0
            assert np.median(np.abs(window - 70)) == 2.0
            assert outliers(window, np.array([3]))[0].tolist() == [is_out]

    def test_a_spike_lasts_no_longer_than_the_limit(self) -> None:
        assert found(with_spike(40, *[45.0] * self.LONGEST)) == list(range(40, 40 + self.LONGEST))
        assert found(with_spike(40, *[45.0] * (self.LONGEST + 1))) == []

    @pytest.mark.parametrize(("lacking", "is_spike"), [(0, True), (1, False)])
    def test_a_stretch_holds_a_window(self, lacking: int, *, is_spike: bool) -> None:
        signal = np.full(self.WINDOW - lacking, 50.0)
        signal[3] += 45.0
        assert bool(found(signal)) is is_spike
        fast = find_spikes(signal, signal, RATE_HZ).fast
        assert fast.tolist() == [2, 3]

    def test_every_fast_step_is_told_whether_a_spike_or_not(self) -> None:
        signal = with_spike(40, 45.0)
        signal[70:] += 60.0
        spikes = find_spikes(signal, signal, RATE_HZ)
        assert (spikes.samples.tolist(), spikes.fast.tolist(), spikes.values.tolist()) == ([40], [39, 40, 69], [50.0])

    def test_a_spike_on_the_very_last_samples_has_no_way_back(self) -> None:
        signal = np.full(100, 50.0)
        signal[98:] += 45.0
        assert found(signal) == []

    def test_steps_of_a_spike_that_is_taken_begin_no_other(self) -> None:
        """Up and on to a second level, back by two steps: one spike of two samples, none of the steps within it."""
        signal = np.full(100, 50.0)
        signal[40:42] = [95.0, 140.0]
        assert found(signal) == [40, 41]
        signal[42] = 92.0
        assert found(signal) == [40, 41]
