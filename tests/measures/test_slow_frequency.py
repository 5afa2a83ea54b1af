"""The strongest slow frequency: windows, bounds and the parabola on log power, on arrays."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.measures.missing import Missing
from telemetry.measures.slow_frequency import mean_spectrum, strongest_peak_hz, strongest_slow_frequency, without_line
from telemetry.model.peaks import peak_shift
from tests.thresholds import threshold

LOWEST_HZ = threshold("measures.slow_frequency.LOWEST_HZ")
HIGHEST_HZ = threshold("measures.slow_frequency.HIGHEST_HZ")
WINDOW_S = threshold("measures.slow_frequency.WINDOW_S")


def wave(hertz: float, seconds: float, rate_hz: float = 100.0, mm: float = 10.0) -> np.ndarray:
    return mm * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate_hz)) / rate_hz)


def by_hand(windows: np.ndarray, rate_hz: float) -> np.ndarray:
    """Return the mean power density of windows, mm2/Hz, by the transform written out."""
    count = windows.shape[1]
    at = np.arange(count)
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * at / count)
    flat = np.array([row - np.polyval(np.polyfit(at, row, 1), at) for row in windows])
    turns = np.exp(-2j * np.pi * np.outer(np.arange(count // 2 + 1), at) / count)
    power = np.abs((flat * hann) @ turns.T) ** 2
    return 2 * power.mean(axis=0) / (rate_hz * np.sum(hann**2))


def test_the_spectrum_is_welchs_over_every_stretch_by_its_windows() -> None:
    rate_hz = 20.0
    length, half = round(WINDOW_S * rate_hz), round(WINDOW_S * rate_hz / 2)
    travel = np.random.default_rng(5).normal(0, 5, 1000).cumsum()
    ridden = ((10, 10 + length - 1), (200, 200 + length), (400, 400 + 2 * length + half - 1))
    starts = [200, 400, 400 + half, 400 + 2 * half]
    found = mean_spectrum(travel, ridden, rate_hz)
    assert found is not None
    assert found[0] == pytest.approx(np.arange(length // 2 + 1) / WINDOW_S)
    expected = by_hand(np.array([travel[start : start + length] for start in starts]), rate_hz)
    assert found[1][1:-1] == pytest.approx(expected[1:-1])


@pytest.mark.parametrize("lacking", [1, 0])
def test_a_stretch_of_8_s_is_enough(lacking: int) -> None:
    travel = 60 + wave(2.0, 20.0)
    found = strongest_slow_frequency(travel, ((0, 300), (300, 300 + round(100 * WINDOW_S) - lacking)), 100.0)
    if lacking:
        assert found == Missing(f"no {WINDOW_S:g} s of riding without a break")
    else:
        assert found == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize(
    ("hertz", "found_hz"),
    [(0.5, 2.0), (LOWEST_HZ + 0.05, LOWEST_HZ + 0.05), (HIGHEST_HZ - 0.1, HIGHEST_HZ - 0.1), (HIGHEST_HZ + 0.2, 2.0)],
)
def test_it_lies_from_0_7_to_4_hz(hertz: float, found_hz: float) -> None:
    """A weaker wave of 2 Hz is found where the stronger one lies outside."""
    travel = wave(hertz, 64.0) + wave(2.0, 64.0, mm=3.0)
    assert strongest_slow_frequency(travel, ((0, 6400),), 100.0) == pytest.approx(found_hz, abs=0.01)


@pytest.mark.parametrize("rate_hz", [100.0, 239.0, 240.0, 479.0, 480.0, 1000.0])
def test_a_fast_log_is_thinned_to_240_rows_a_second_or_more(rate_hz: float) -> None:
    every = max(1, int(rate_hz // 240))
    found = mean_spectrum(wave(2.0, 30.0, rate_hz), ((0, round(30 * rate_hz)),), rate_hz)
    assert found is not None
    assert found[0][-1] == pytest.approx(rate_hz / every / 2, rel=0.01)
    assert strongest_slow_frequency(wave(2.03, 30.0, rate_hz), ((0, round(30 * rate_hz)),), rate_hz) == pytest.approx(
        2.03, abs=0.01
    )


def test_a_line_is_taken_out_by_least_squares() -> None:
    rows = np.random.default_rng(1).normal(size=(3, 7)) + np.outer([1.0, -2.0, 5.0], np.arange(7.0))
    at = np.arange(7)
    expected = [row - np.polyval(np.polyfit(at, row, 1), at) for row in rows]
    assert without_line(rows) == pytest.approx(np.array(expected))


HERTZ = np.arange(0, 6.01, 0.1)


def power_with(*peaks: tuple[float, float]) -> np.ndarray:
    power = np.full(HERTZ.shape, 1e-3)
    for hertz, height in peaks:
        power[np.argmin(np.abs(HERTZ - hertz))] = height
    return power


class TestStrongestPeak:
    @pytest.mark.parametrize("bound_hz", [LOWEST_HZ, HIGHEST_HZ])
    def test_it_lies_within_bounds_both_included(self, bound_hz: float) -> None:
        place = int(np.argmin(np.abs(HERTZ - bound_hz)))
        exact = HERTZ.copy()
        exact[place] = bound_hz
        outwards = 1 if bound_hz == HIGHEST_HZ else -1
        for shift, found_hz in ((0, bound_hz), (outwards, 2.0), (-outwards, exact[place - outwards])):
            power = power_with((2.0, 1.0))
            power[place + shift] = 9.0
            found = strongest_peak_hz(exact, power, LOWEST_HZ, HIGHEST_HZ)
            assert found == pytest.approx(found_hz, abs=1e-6)

    @pytest.mark.parametrize("beside", [5.0, 9.0])
    @pytest.mark.parametrize("bound_hz", [LOWEST_HZ, HIGHEST_HZ])
    def test_the_flank_of_a_peak_out_of_bounds_is_none(self, bound_hz: float, beside: float) -> None:
        place = int(np.argmin(np.abs(HERTZ - bound_hz)))
        outwards = 1 if bound_hz == HIGHEST_HZ else -1
        power = power_with((2.0, 1.0))
        power[place], power[place + outwards] = beside, 9.0
        found = strongest_peak_hz(HERTZ, power, LOWEST_HZ - 0.01, HIGHEST_HZ + 0.01)
        assert found == pytest.approx(2.0 if outwards < 0 or beside < 9 else HERTZ[place], abs=0.06)

    @pytest.mark.parametrize("place", [1, 59])
    def test_the_second_and_the_last_but_one_may_be_peaks_the_ends_may_not(self, place: int) -> None:
        power = power_with((2.0, 1.0))
        power[[0, 60]] = 20.0
        power[place] = 50.0
        found = strongest_peak_hz(HERTZ, power, 0.0, 9.0)
        assert found == pytest.approx(HERTZ[place], abs=0.05)

    def test_it_is_a_local_peak_and_the_highest(self) -> None:
        for slope in (np.exp(-HERTZ), np.exp(HERTZ)):  # highest at a bound, yet no peak there
            power = slope.copy()
            power[[20, 30]] = 1.5 * slope[[20, 30]]
            highest = HERTZ[20] if slope[20] > slope[30] else HERTZ[30]
            assert strongest_peak_hz(HERTZ, power, LOWEST_HZ, HIGHEST_HZ) == pytest.approx(highest, abs=0.05)

    def test_a_parabola_on_log_power_refines_it(self) -> None:
        bell = np.exp(-(((HERTZ - 1.93) / 0.2) ** 2))
        assert strongest_peak_hz(HERTZ, bell, LOWEST_HZ, HIGHEST_HZ) == pytest.approx(1.93, rel=1e-9)
        assert strongest_peak_hz(HERTZ + 0.04, bell, LOWEST_HZ, HIGHEST_HZ) == pytest.approx(1.97, rel=1e-9)

    @pytest.mark.parametrize("side", [-1, 1])
    def test_beside_nothing_it_stays_where_it_is(self, side: int) -> None:
        power = power_with((2.0, 1.0))
        power[20 + side] = 0.0
        power[20 - side] = 0.5
        assert strongest_peak_hz(HERTZ, power, LOWEST_HZ, HIGHEST_HZ) == HERTZ[20]

    @pytest.mark.parametrize(
        "power", [np.zeros(61), -power_with((2.0, 1.0)), np.arange(61.0)], ids=["none", "below", "rising"]
    )
    def test_without_a_peak_there_is_none(self, power: np.ndarray) -> None:
        assert strongest_peak_hz(HERTZ, power, LOWEST_HZ, HIGHEST_HZ) == Missing("no peak between 0.7 and 4 Hz")

    def test_what_stands_out_of_nothing_has_power(self) -> None:
        power = np.full(61, -1.0)
        power[20] = 0.0
        assert isinstance(strongest_peak_hz(HERTZ, power, LOWEST_HZ, HIGHEST_HZ), Missing)
        power[30] = 0.5
        assert strongest_peak_hz(HERTZ, power, LOWEST_HZ, HIGHEST_HZ) == HERTZ[30]

    def test_of_two_equal_samples_the_first_is_the_peak(self) -> None:
        power = power_with((2.0, 1.0))
        power[21] = 1.0
        assert strongest_peak_hz(HERTZ, power, LOWEST_HZ, HIGHEST_HZ) == pytest.approx(2.05)


class TestPeakShift:
    @pytest.mark.parametrize("shift", [-0.5, -0.3, 0.0, 0.2, 0.5])
    def test_the_top_of_a_parabola_is_found(self, shift: float) -> None:
        below, top, above = (7 - 3 * (at - shift) ** 2 for at in (-1, 0, 1))
        assert float(peak_shift(below, top, above)) == pytest.approx(shift)

    def test_three_that_do_not_bend_like_a_peak_shift_nothing(self) -> None:
        found = peak_shift(np.array([1.0, 1.0, 5.0]), np.array([2.0, 1.0, 1.0]), np.array([3.0, 1.0, 4.0]))
        assert found.tolist() == [0.0, 0.0, 0.0]

    def test_it_never_reaches_further_than_half_way(self) -> None:
        assert peak_shift(np.array([9.0, 1.0]), np.array([8.0, 8.0]), np.array([1.0, 9.0])).tolist() == [-0.5, 0.5]
