"""Ground speed from the lag between the ends: correlations, clear peaks and how many windows it takes, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import butter, sosfiltfilt

from telemetry.measures.ground_speed import (
    NO_LAGS,
    Lags,
    _clear_peaks,
    _grounded,
    correlations,
    find_lags,
    lag_bounds_s,
    speed_from_lags,
)
from telemetry.measures.missing import Missing
from tests.plain.plain_lag import window_lag
from tests.thresholds import documented, threshold

LEAST, OVER_NEXT = (
    threshold("measures.ground_speed.LEAST_CORRELATION"),
    threshold("measures.ground_speed.OVER_NEXT_PEAK"),
)
WINDOW_S = threshold("model.motion.LAG_WINDOW_S")
BAND_HZ = documented()["measures.ground_speed.BAND_HZ"]
RATE_HZ = 200.0
LAG = 24
BOUNDS_S = (0.05, 0.5)


def test_correlations_are_those_of_what_both_have() -> None:
    rng = np.random.default_rng(2)
    front, rear = rng.normal(size=(3, 40)), rng.normal(size=(3, 40))
    lags = np.array([-39, -7, -1, 0, 1, 12, 39])
    found = correlations(front, rear, lags)
    for row, lag in np.ndindex(found.shape):
        by = int(lags[lag])
        pairs = [(front[row, at], rear[row, at + by]) for at in range(40) if 0 <= at + by < 40]
        f, r = np.array(pairs).T
        assert found[row, lag] == pytest.approx(np.sum(f * r) / np.sqrt(np.sum(f**2) * np.sum(r**2)), abs=1e-9)


def test_an_end_that_does_not_move_is_like_nothing() -> None:
    moving = np.sin(np.arange(50.0))[None]
    assert correlations(np.zeros((1, 50)), moving, np.arange(5)).tolist() == [[0.0] * 5]
    assert correlations(np.zeros((1, 50)), np.zeros((1, 50)), np.arange(5)).tolist() == [[0.0] * 5]


def test_what_only_rounding_is_left_of_is_like_nothing() -> None:
    """All but the overlap's samples are a million times larger: their rounding would stand for its correlation."""
    front, rear = np.r_[1e-6, np.ones(9)][None], np.r_[np.ones(9), 1e-6][None]
    assert correlations(front, rear, np.array([0, 9]))[0, 1] == 0.0


class TestClearPeaks:
    @pytest.mark.parametrize(("height", "clear"), [(LEAST, True), (0.999 * LEAST, False)])
    def test_a_peak_reaches_0_4(self, height: float, *, clear: bool) -> None:
        place, top = _clear_peaks(np.array([[0.1, height, 0.1, 0.0, 0.0]]))
        assert np.isfinite(place).tolist() == np.isfinite(top).tolist() == [clear]
        if clear:
            assert (place[0], top[0]) == (1.0, height)

    @pytest.mark.parametrize(("share", "clear"), [(1.0001, True), (0.9999, False)])
    def test_and_1_3_times_the_next(self, share: float, *, clear: bool) -> None:
        rows = np.array([[0.0, 0.5, 0.2, share * OVER_NEXT * 0.5, 0.1, 0.3, 0.0]])
        assert np.isfinite(_clear_peaks(rows)[1]).tolist() == [clear]
        assert np.isfinite(_clear_peaks(rows[:, ::-1])[1]).tolist() == [clear]

    def test_exactly_1_3_times_is_enough(self) -> None:
        rows = np.array([[0.0, 0.5, 0.0, OVER_NEXT * 0.5, 0.0]])
        assert _clear_peaks(rows)[1] == [OVER_NEXT * 0.5]

    def test_the_first_and_last_lag_are_no_peaks(self) -> None:
        assert np.isnan(_clear_peaks(np.array([[0.9, 0.1, 0.1, 0.9]]))[0]).all()
        assert np.isnan(_clear_peaks(np.array([[0.1, 0.5, 0.9]]))[0]).all()

    def test_of_a_plateau_the_first_lag_is_the_peak(self) -> None:
        assert _clear_peaks(np.array([[0.1, 0.6, 0.6, 0.1]]))[0] == [1.5]
        assert _clear_peaks(np.array([[0.1, 0.1, 0.6, 0.1]]))[0] == [2.0]

    def test_a_parabola_refines_its_place_row_by_row(self) -> None:
        at = np.arange(9)
        rows = np.array([0.8 - 0.02 * (at - middle) ** 2 for middle in (3.3, 4.8)])
        place, top = _clear_peaks(rows)
        assert place == pytest.approx([3.3, 4.8])
        assert top == pytest.approx([0.8 - 0.02 * 0.09, 0.8 - 0.02 * 0.04])


def rough(seconds: float, seed: int = 3) -> np.ndarray:
    """Return speed like a trail's, within the band that is compared."""
    white = np.random.default_rng(seed).standard_normal(round(seconds * RATE_HZ) + 200)
    return sosfiltfilt(butter(4, BAND_HZ, btype="bandpass", fs=RATE_HZ, output="sos"), white)


def ends(seconds: float, lag: int = LAG) -> tuple[np.ndarray, np.ndarray]:
    whole = rough(seconds)
    count = round(seconds * RATE_HZ)
    return whole[100 : 100 + count], whole[100 - lag : 100 - lag + count]


def lags_of(front: np.ndarray, rear: np.ndarray, **keys: object) -> Lags:
    return find_lags((front, rear), ((0, front.shape[0]),), RATE_HZ, BOUNDS_S, **keys)  # type: ignore[arg-type]


class TestFindLags:
    def test_the_lag_is_found_in_windows_of_4_s_half_overlapping(self) -> None:
        found = lags_of(*ends(20.0))
        assert found.windows == found.judged_windows == 9
        assert found.lag_s == pytest.approx(np.full(9, LAG / RATE_HZ), abs=1e-4)
        assert (found.reversed_windows, found.opposed_windows) == (0, 0)

    @pytest.mark.parametrize(("lacking", "windows"), [(0, 1), (1, 0)])
    def test_a_stretch_holds_a_window(self, lacking: int, windows: int) -> None:
        front, rear = ends(10.0)
        stop = 300 + round(WINDOW_S * RATE_HZ) - lacking
        found = find_lags((front, rear), ((0, 300), (300, stop)), RATE_HZ, BOUNDS_S)
        assert (found.windows, found.lag_s.size) == (windows, windows)

    @pytest.mark.parametrize(("lacking", "windows"), [(0, 2), (1, 1)])
    def test_the_last_window_ends_with_its_stretch(self, lacking: int, windows: int) -> None:
        front, rear = ends(10.0)
        count = round(1.5 * WINDOW_S * RATE_HZ) - lacking
        assert lags_of(front[:count], rear[:count]).windows == windows

    def test_scale_and_what_lies_outside_the_band_move_nothing(self) -> None:
        front, rear = ends(20.0)
        slow = 20 * np.sin(2 * np.pi * 1.5 * np.arange(front.size) / RATE_HZ)
        fast = 20 * np.sin(2 * np.pi * 60 * np.arange(front.size) / RATE_HZ)
        found = lags_of(3 * front + slow + fast, 0.2 * rear - slow)
        assert found.lag_s == pytest.approx(np.full(9, LAG / RATE_HZ), abs=2e-3)

    def test_speeds_are_compared_within_the_band_and_between_samples(self) -> None:
        """Against a plain second writing, on ends that share a half of what they do at all frequencies."""
        shared, *own = np.random.default_rng(8).standard_normal((3, round(20 * RATE_HZ) + LAG))
        front = shared[LAG:] + own[0][LAG:]
        rear = shared[:-LAG] + own[1][LAG:]
        band = butter(4, BAND_HZ, btype="bandpass", fs=RATE_HZ, output="sos")
        passed = [sosfiltfilt(band, end) for end in (front, rear)]
        size, lags = (
            round(WINDOW_S * RATE_HZ),
            range(round(BOUNDS_S[0] * RATE_HZ) - 1, round(BOUNDS_S[1] * RATE_HZ) + 2),
        )
        windows = [slice(start, start + size) for start in range(0, front.size - size + 1, size // 2)]
        expected = [window_lag(passed[0][part], passed[1][part], lags) for part in windows]
        told = [lag / RATE_HZ for lag in expected if lag is not None]
        assert 5 <= len(told) <= len(windows)
        assert lags_of(front, rear).lag_s == pytest.approx(told, rel=1e-7)

    def test_ends_swapped_are_told_in_reversed_windows(self) -> None:
        front, rear = ends(20.0)
        found = lags_of(rear, front)
        assert (found.lag_s.size, found.reversed_windows, found.opposed_windows) == (0, 9, 0)

    @pytest.mark.parametrize("swapped", [False, True])
    def test_an_end_upside_down_is_told_in_opposed_windows(self, *, swapped: bool) -> None:
        front, rear = ends(20.0)
        found = lags_of(-rear, front) if swapped else lags_of(front, -rear)
        assert (found.lag_s.size, found.reversed_windows, found.opposed_windows) == (0, 0, 9)

    @pytest.mark.parametrize("lag", [0, 5, -5])
    def test_ends_that_move_alike_at_once_are_neither(self, lag: int) -> None:
        """Too short a lag for any speed, yet no end goes against the other."""
        found = lags_of(*ends(20.0, lag))
        assert (found.reversed_windows, found.opposed_windows) == (0, 0)

    def test_a_flight_is_not_judged_but_its_lag_counts(self) -> None:
        front, rear = ends(20.0)
        found = lags_of(front, rear, flights=((1500, 1560),))
        assert (found.windows, found.lag_s.size, found.judged_windows) == (9, 9, 6)
        clear = [0, 400, 2000, 2400, 2800, 3200]
        assert found.judged_at.tolist() == clear
        turned = lags_of(rear, front, flights=((1500, 1560),))
        assert turned.reversed_windows == 6
        assert turned.reversed_at.tolist() == turned.judged_at.tolist() == clear
        assert lags_of(front, -rear, flights=((1500, 1560),)).opposed_windows == 6

    @pytest.mark.parametrize(("rate_hz", "judged"), [(55.1, True), (54.9, False)])
    def test_a_log_too_slow_for_the_band_tells_nothing(self, rate_hz: float, *, judged: bool) -> None:
        front, rear = ends(40.0)
        found = find_lags((front, rear), ((0, front.size),), rate_hz, (0.1, 1.0))
        assert (found.windows > 0) is judged
        assert (found is NO_LAGS) is not judged

    @pytest.mark.parametrize(("longest_s", "judged"), [(3.9, True), (3.99, False), (4.5, False)])
    def test_lags_as_long_as_a_window_tell_nothing(self, longest_s: float, *, judged: bool) -> None:
        front, rear = ends(20.0)
        found = find_lags((front, rear), ((0, front.size),), RATE_HZ, (0.05, longest_s))
        assert (found is NO_LAGS) is not judged

    @pytest.mark.parametrize(
        ("bounds_s", "found"), [((0.115, 0.5), 9), ((0.125, 0.5), 0), ((0.05, 0.125), 9), ((0.05, 0.115), 0)]
    )
    def test_lags_are_looked_for_within_bounds(self, bounds_s: tuple[float, float], found: int) -> None:
        front, rear = ends(20.0)
        assert find_lags((front, rear), ((0, front.size),), RATE_HZ, bounds_s).lag_s.size == found

    def test_a_fast_log_is_thinned(self) -> None:
        front, rear = ends(20.0)
        fine = np.arange(front.size * 5) / 5
        dense = [np.interp(fine, np.arange(front.size), end) for end in (front, rear)]
        found = find_lags((dense[0], dense[1]), ((0, fine.size),), 5 * RATE_HZ, BOUNDS_S, ((7500, 7800),))
        assert found.lag_s == pytest.approx(np.full(9, LAG / RATE_HZ), abs=1e-3)
        assert found.judged_windows == 6

    @pytest.mark.parametrize(("rate_hz", "half"), [(398.5, 797), (402.5, 804)])
    def test_only_a_log_of_twice_the_rate_is_thinned(self, rate_hz: float, half: int) -> None:
        """Half a window of 4 s: of every other sample it would be 796 at 398.5 Hz, of every one 805 at 402.5 Hz."""
        front, rear = ends(20.0)
        found = find_lags((front, rear), ((0, front.size),), rate_hz, BOUNDS_S)
        assert found.judged_at.tolist()[:2] == [0, half]

    def test_a_stretch_too_short_at_a_fast_rate_tells_nothing(self) -> None:
        front, rear = ends(20.0)
        found = find_lags((front, rear), ((0, 3000),), 5 * RATE_HZ, BOUNDS_S)
        assert found is NO_LAGS
        assert (found.lag_s.size, found.judged_at.size, found.reversed_at.size) == (0, 0, 0)
        assert (found.windows, found.judged_windows, found.reversed_windows, found.opposed_windows) == (0, 0, 0, 0)

    def test_many_windows_are_worked_in_pieces(self) -> None:
        """More than are taken at once: the same answer for each."""
        front, rear = ends(300.0)
        found = lags_of(front, rear)
        assert found.windows == found.judged_windows == found.lag_s.size == 149
        assert found.lag_s == pytest.approx(np.full(149, LAG / RATE_HZ), abs=1e-4)


@pytest.mark.parametrize(
    ("start", "clear"),
    [(100, True), (101, False), (800, False), (1499, False), (1500, True)],
)
def test_a_window_clear_of_a_flight_ends_0_2_s_before_it_or_begins_1_s_after(start: int, *, clear: bool) -> None:
    before, after = threshold("measures.ground_speed.BEFORE_S"), threshold("measures.ground_speed.AFTER_S")
    flight = (100 + 800 + round(before * RATE_HZ), 1500 - round(after * RATE_HZ))
    assert _grounded(np.array([start]), 800, (flight,), RATE_HZ).tolist() == [clear]
    assert _grounded(np.array([start]), 800, (flight, (50_000, 50_100)), RATE_HZ).tolist() == [clear]


def test_lag_bounds_are_those_of_the_slowest_and_the_fastest_ride() -> None:
    long_mm = threshold("measures.ground_speed.LONG_TRAVEL_MM")
    slowest, fastest = threshold("measures.ground_speed.SLOWEST_M_S"), threshold("measures.ground_speed.FASTEST_M_S")
    faster = threshold("measures.ground_speed.FASTEST_LONG_TRAVEL_M_S")
    assert lag_bounds_s(1200.0, long_mm) == pytest.approx((1.2 / fastest, 1.2 / slowest))
    assert lag_bounds_s(1200.0, long_mm + 0.01) == pytest.approx((1.2 / faster, 1.2 / slowest))


def with_lags(*lag_s: float, windows: int) -> Lags:
    return replace(NO_LAGS, lag_s=np.array(lag_s), windows=windows)


class TestSpeedFromLags:
    FEWEST = int(threshold("measures.ground_speed.FEWEST_WINDOWS"))
    SHARE = threshold("measures.ground_speed.LEAST_SHARE")

    def test_it_is_the_median_of_wheelbase_over_lag(self) -> None:
        lags = with_lags(0.1, 0.2, 0.25, 0.4, 0.5, windows=5)
        assert speed_from_lags(lags, 1250.0) == pytest.approx(5.0)

    @pytest.mark.parametrize(("lacking", "given"), [(0, True), (1, False)])
    def test_it_takes_five_windows(self, lacking: int, *, given: bool) -> None:
        found = speed_from_lags(with_lags(*[0.2] * (self.FEWEST - lacking), windows=self.FEWEST), 1250.0)
        assert isinstance(found, float) is given

    @pytest.mark.parametrize(("clear", "given"), [(30, True), (29, False)])
    def test_and_30_per_cent_of_them(self, clear: int, *, given: bool) -> None:
        found = speed_from_lags(with_lags(*[0.2] * clear, windows=round(30 / self.SHARE)), 1250.0)
        assert isinstance(found, float) is given
        if not given:
            assert isinstance(found, Missing)
            assert "29 of 100 windows" in found.reason
