"""Glitches of slow logs: found beside real hits, never in place of one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning.glitches import find_glitches, is_slow
from tests.conditioning.made_ends import FRONT_MM, codes, front_end, front_ride, ride_of
from tests.measures.made_rides import made_log
from tests.thresholds import threshold

FULL_MM = 170.0


def riding(rate_hz: float, full_mm: float = FULL_MM, seconds: float = 40.0) -> np.ndarray:
    """Return travel that moves all the time: 2 Hz and 5 Hz, up to 5 times full travel a second."""
    time_s = np.arange(round(seconds * rate_hz)) / rate_hz
    slow, fast = 0.12 * np.sin(2 * np.pi * 2.0 * time_s), 0.05 * np.sin(2 * np.pi * 5.3 * time_s + 1)
    return full_mm * (0.32 + slow + fast)


def hit(rate_hz: float, phase: float, rise_s: float, back_s: float, full_mm: float = FULL_MM) -> np.ndarray:
    """Return a bottom-out out of sag: half cosines in, half a cosine out; its peak lies `phase` of a row off a row."""
    time_s = (np.arange(round(2 * rate_hz)) + phase) / rate_hz - 1.0
    rise = np.clip(1 + time_s / rise_s, 0, 1)
    back = np.clip(1 - time_s / back_s, 0, 1)
    return full_mm * (0.3 + 0.7 * 0.5 * (1 - np.cos(np.pi * np.where(time_s < 0, rise, back))))


def slowly_found(wheel_mm: np.ndarray, rate_hz: float, full_mm: float) -> list[int]:
    """The definition of the handbook, sample by sample, away from the ends."""
    found: set[int] = set()
    leg_mm = min(4000 / rate_hz, full_mm * (1 - np.exp(-30 / rate_hz)))
    for length in (1, 2, 3):
        for first in range(3, len(wheel_mm) - length - 2):
            last = first + length - 1
            into, away = wheel_mm[first] - wheel_mm[first - 1], wheel_mm[last + 1] - wheel_mm[last]
            if into * away >= 0 or min(abs(into), abs(away)) <= full_mm / 5:
                continue
            line = np.interp(range(first, last + 1), [first - 1, last + 1], wheel_mm[[first - 1, last + 1]])
            off = float(np.min(np.sign(into) * (wheel_mm[first : last + 1] - line)))
            places = [first - 2, first - 1, last + 1, last + 2]
            course = np.polyval(np.polyfit(places, wheel_mm[places], 1), places)
            flat = np.ptp(wheel_mm[[*range(first - 3, first), *range(last + 1, last + 4)]]) <= 0.02 * full_mm
            on_course = (
                np.max(np.abs(course - wheel_mm[places])) <= 0.15 * off
                and abs(wheel_mm[last + 1] - wheel_mm[first - 1]) <= off / 2
            )
            back = max(-into, -away)
            told = (on_course and back > leg_mm) or (flat and length == 1 and back > 0.6 * leg_mm)
            if off > full_mm / 5 and told:
                found.update(range(first, last + 1))
    return sorted(found)


@pytest.mark.parametrize("rate_hz", [50.0, 100.0, 130.0, 190.0])
@pytest.mark.parametrize("full_mm", [60.0, 170.0, 350.0])
def test_six_glitches_to_full_scale_are_all_found(rate_hz: float, full_mm: float) -> None:
    clean = riding(rate_hz, min(full_mm, 170.0) if rate_hz > 140 else full_mm)
    full_mm = min(full_mm, 170.0) if rate_hz > 140 else full_mm  # above, 10 m/s is the rule
    for length in (1, 2, 3):
        spoilt = clean.copy()
        places = np.linspace(0.1, 0.9, 6) * clean.size
        at = [int(place) + k for place in places for k in range(length)]
        spoilt[at] = 1.04 * full_mm
        assert find_glitches(spoilt, rate_hz, full_mm).tolist() == at


@pytest.mark.parametrize("share", [-0.05, 0.0, 0.75])
@pytest.mark.parametrize("rate_hz", [100.0, 130.0])
def test_to_zero_and_in_between_too(rate_hz: float, share: float) -> None:
    clean = riding(rate_hz)
    places = [
        place for place in range(40, clean.size - 40, 137) if abs(clean[place] - share * FULL_MM) > 0.29 * FULL_MM
    ]
    assert len(places) >= 5
    spoilt = clean.copy()
    spoilt[places] = share * FULL_MM
    assert find_glitches(spoilt, rate_hz, FULL_MM).tolist() == places


def test_fast_and_slow_find_the_same() -> None:
    rng = np.random.default_rng(8)
    for rate_hz in (25.0, 60.0, 110.0, 180.0):
        signal = riding(rate_hz, seconds=3000 / rate_hz)
        for place in range(20, signal.size - 20, 11):
            signal[place : place + rng.integers(1, 4)] += rng.uniform(-0.9, 0.9) * FULL_MM
        found = [place for place in find_glitches(signal, rate_hz, FULL_MM).tolist() if 6 < place < signal.size - 6]
        slowly = [place for place in slowly_found(signal, rate_hz, FULL_MM) if 6 < place < signal.size - 6]
        assert found == slowly
        assert len(found) > 30


@pytest.mark.parametrize("rate_hz", [25.0, 33.0, 50.0, 75.0, 100.0, 130.0, 190.0])
def test_a_hard_bottom_out_is_none_wherever_its_rows_fall(rate_hz: float) -> None:
    """170 mm of travel out of sag in 20 to 60 ms and back in 70 ms or more: up to 9 m/s in, 2.7 m/s out."""
    for rise_s in (0.02, 0.04, 0.06):
        for back_s in (0.07, 0.1, 0.2):
            for phase in np.linspace(0, 1, 13):
                assert find_glitches(hit(rate_hz, phase, rise_s, back_s), rate_hz, FULL_MM).size == 0


def test_it_is_for_logs_in_which_10_m_s_are_over_a_fifth_of_travel() -> None:
    signal = np.full(60, 50.0)
    signal[30] = 50.0 + 36.0
    assert is_slow(294.0, FULL_MM)
    assert not is_slow(295.0, FULL_MM)
    assert find_glitches(signal, 294.0, FULL_MM).tolist() == [30]
    assert find_glitches(signal, 295.0, FULL_MM).size == 0


class TestLimits:
    """The documented numbers, each just below and just above."""

    LEAST = threshold("conditioning.glitches.LEAST_SHARE") * FULL_MM
    FLAT = threshold("conditioning.glitches.FLAT_SHARE") * FULL_MM

    @pytest.mark.parametrize("sign", [1, -1])
    def test_both_steps_are_over_a_fifth_of_travel(self, sign: int) -> None:
        for off, found in ((0.999, []), (1.001, [10])):
            signal = np.full(20, 80.0)
            signal[10] += sign * off * self.LEAST
            assert find_glitches(signal, 90.0, FULL_MM).tolist() == found

    def test_readings_around_that_lie_flat_agree_within_a_tenth_of_that(self) -> None:
        readings = int(threshold("conditioning.glitches.FLAT_READINGS"))
        for share, found in ((0.999, [10]), (1.001, [])):
            signal = np.full(20, 80.0)
            signal[10] += 1.5 * self.LEAST
            signal[10 - readings] += share * self.FLAT
            assert find_glitches(signal, 50.0, FULL_MM).tolist() == found
            signal[10 - readings - 1] += 30.0
            assert find_glitches(signal, 50.0, FULL_MM).tolist() == found

    def moving(self, off_mm: float, bend_mm: float = 0.0, slope_mm: float = 6.0) -> np.ndarray:
        """Return travel that moves evenly, with a reading off its line and a bend in the two after it."""
        signal = 60.0 + slope_mm * (np.arange(20) - 10.0)
        signal[10] += off_mm
        signal[11] += bend_mm
        return signal

    def test_a_course_lies_within_a_share_of_how_far_off_the_glitch_is(self) -> None:
        share = threshold("conditioning.glitches.COURSE_SHARE")
        places = np.array([8, 9, 11, 12])
        for bend in np.linspace(0, 60, 241):
            signal = self.moving(90.0, -bend)
            line = np.polyval(np.polyfit(places, signal[places], 1), places)
            off = signal[10] - (signal[9] + signal[11]) / 2
            within = np.max(np.abs(line - signal[places])) <= share * off
            assert bool(find_glitches(signal, 100.0, FULL_MM).size) is bool(within)

    def test_the_two_beside_differ_by_no_more_than_half_of_that(self) -> None:
        share = threshold("conditioning.glitches.BRIDGED_SHARE")
        for times, found in ((0.999, [10]), (1.001, [])):
            slope = times * share * 80.0 / 2
            assert find_glitches(self.moving(80.0, slope_mm=slope), 100.0, FULL_MM).tolist() == found

    @pytest.mark.parametrize(("rate_hz", "slope"), [(100.0, 2.0), (40.0, 2.0)])
    def test_the_step_back_is_longer_than_a_leg_extends(self, rate_hz: float, slope: float) -> None:
        """By 4 m/s at 350 mm of travel, by the share of travel at 170."""
        speed, share = threshold("conditioning.glitches.FASTEST_MM_S"), threshold("conditioning.glitches.FASTEST_PER_S")
        full_mm = 170.0 if rate_hz < 60 else 185.0
        limit = min(speed / rate_hz, full_mm * (1 - np.exp(-share / rate_hz)))
        for times, found in ((0.999, []), (1.001, [10])):
            signal = self.moving(times * limit + slope, slope_mm=slope)
            assert signal[10] - signal[11] == pytest.approx(times * limit)
            assert find_glitches(signal, rate_hz, full_mm).tolist() == found


class TestInARide:
    def test_they_are_replaced_by_the_line_around_them_told_and_counted(self) -> None:
        readings = np.round(100 + riding(100.0) / 0.05)
        spoilt = readings.copy()
        spoilt[[500, 501]], spoilt[1500] = 4095.0, 2900.0  # 150 and 86 mm off: over and under 10 m/s
        ride = front_ride(spoilt, 100.0)
        assert codes(ride) == ["slow_rate", "slow_glitches", "spikes"]
        finding = ride.findings[1]
        assert (finding.severity, finding.row, finding.second) == ("note", 502, pytest.approx(5.0))
        assert "3 readings of 4000" in finding.message
        step = next(step for step in ride.history if step.stage == "glitches")
        assert step.parameters == {"readings": 3}
        assert next(step for step in ride.history if step.stage == "spikes").parameters == {"samples": 2}
        clean = front_ride(readings, 100.0)
        assert np.abs(ride.front.cleaned_mm - clean.front.cleaned_mm).max() < 3.0
        assert ride.front.noise == clean.front.noise

    def test_one_that_steps_faster_than_10_m_s_is_a_spike_as_ever(self) -> None:
        readings = np.full(2000, 1700.0)
        readings[900] = 3500.0  # 90 mm: 18 m/s at 200 rows a second
        assert codes(front_ride(readings, 200.0)) == ["slow_glitches", "spikes"]
        assert codes(front_ride(readings, 400.0)) == ["spikes"]

    def test_between_rows_of_an_uneven_clock_none_is_left(self) -> None:
        """Interpolated, a glitch would lie in two samples, each too near its neighbour."""
        rng = np.random.default_rng(4)
        stamps = (np.arange(3000) + rng.uniform(0, 0.7, 3000)) / 100.0
        truth = FRONT_MM * (0.32 + 0.1 * np.sin(2 * np.pi * 1.5 * stamps))
        readings = np.round(100 + truth / 0.05)
        readings[100:2900:97] = 3700.0
        log = replace(made_log({"A0": readings}, 100.0), time_s=stamps - stamps[0], even=False)
        ride = ride_of(log, front_end())
        assert ride.front.cleaned_mm.max() < 0.45 * FRONT_MM
        assert "29 readings" in next(found.message for found in ride.findings if found.code == "slow_glitches")
