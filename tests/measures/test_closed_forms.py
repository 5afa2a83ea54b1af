"""Measures on rides whose truth is known in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from telemetry.measures import BikeFacts, Knees, measure_run
from telemetry.measures.catalogue import Sheet, find_run_lags
from tests.measures.made_rides import FRONT_MM, REAR_MM, made_motion, path

FACTS = BikeFacts(head_angle_deg=64.0, wheelbase_mm=1250.0, knees={}, hard_bottom_out_mm_s=600.0)


def sheet(travel, rate_hz=500.0, facts=FACTS, **options) -> Sheet:
    motion = made_motion(travel, rate_hz, **options)
    return measure_run(motion, facts, find_run_lags(motion, facts))


def value(found: Sheet, measure: str, end: str = "front") -> float:
    return next(row.value for row in found.measures if row.measure == measure and row.end == end)


def reason(found: Sheet, measure: str, end: str = "front") -> str:
    return next(row.reason for row in found.absent if row.measure == measure and row.end == end)


def sine(mean: float, amplitude: float, hertz: float, seconds: float, rate_hz: float = 500.0) -> np.ndarray:
    return mean + amplitude * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate_hz)) / rate_hz)


class TestSine:
    """A sine of 2 Hz, 30 mm about 60 mm: mean, percentiles and 2 pi f A are exact."""

    HERTZ, AMPLITUDE, MEAN, SECONDS = 2.0, 30.0, 60.0, 60.0

    @pytest.fixture(scope="class")
    @classmethod
    def found(cls) -> Sheet:
        return sheet({"front": sine(cls.MEAN, cls.AMPLITUDE, cls.HERTZ, cls.SECONDS)})

    def test_sag_is_the_mean(self, found: Sheet) -> None:
        assert value(found, "dynamic_sag") == pytest.approx(100 * self.MEAN / FRONT_MM, abs=0.01)
        assert value(found, "dynamic_sag_median") == pytest.approx(100 * self.MEAN / FRONT_MM, abs=0.05)

    def test_the_95th_percentile_of_travel_is_the_arcsine_law(self, found: Sheet) -> None:
        level = self.MEAN + self.AMPLITUDE * math.sin(math.pi * (0.95 - 0.5))
        assert value(found, "travel_p95") == pytest.approx(100 * level / FRONT_MM, abs=0.02)

    def test_peak_speed_is_two_pi_f_a(self, found: Sheet) -> None:
        peak = 2 * math.pi * self.HERTZ * self.AMPLITUDE
        for name in ("compression_speed_p50", "compression_speed_p95", "rebound_speed_p50", "rebound_speed_p95"):
            assert value(found, name) == pytest.approx(peak, rel=0.002)

    def test_strokes_and_hits_a_minute_are_the_frequency(self, found: Sheet) -> None:
        for name in ("strokes_per_min", "hits_per_min"):
            assert value(found, name) == pytest.approx(60 * self.HERTZ, rel=0.015)

    def test_hits_are_two_amplitudes_long_and_peak_at_the_top(self, found: Sheet) -> None:
        assert value(found, "hit_length_p95") == pytest.approx(2 * self.AMPLITUDE, rel=0.001)
        assert value(found, "hit_depth_p95") == pytest.approx(100 * (self.MEAN + self.AMPLITUDE) / FRONT_MM, abs=0.02)
        assert value(found, "travel_max") == pytest.approx(100 * (self.MEAN + self.AMPLITUDE) / FRONT_MM, abs=0.01)

    def test_the_strongest_slow_frequency_is_the_sines(self, found: Sheet) -> None:
        assert value(found, "strongest_slow_frequency") == pytest.approx(self.HERTZ, abs=0.01)

    def test_the_ten_a_minute_speed_is_every_peaks(self, found: Sheet) -> None:
        assert value(found, "compression_speed_10_per_min") == pytest.approx(
            2 * math.pi * self.HERTZ * self.AMPLITUDE, rel=0.002
        )

    def test_what_one_end_cannot_give_is_absent_with_the_reason(self, found: Sheet) -> None:
        assert "one end measured" in reason(found, "airborne_time", "both")
        assert "no displacement sensor at the rear" in reason(found, "dynamic_sag", "rear")
        assert "no displacement sensor at the rear" in reason(found, "sag_difference", "both")
        assert not [row for row in found.measures if row.end == "rear"]


def hits(count: int, low: float, high: float, down_s: float = 0.2, up_s: float = 0.4) -> list[tuple[float, float]]:
    return [corner for _ in range(count) for corner in ((high, down_s), (low, up_s))]


def test_half_cosine_strokes_keep_their_length_depth_and_speed() -> None:
    found = sheet({"front": path((20, 0.3), *hits(30, 20, 120))})
    assert value(found, "hit_length_p50") == pytest.approx(100, rel=0.005)
    assert value(found, "hit_depth_p95") == pytest.approx(100 * 120 / FRONT_MM, rel=0.002)
    assert value(found, "compression_speed_p50") == pytest.approx(math.pi * 100 / 2 / 0.2, rel=0.01)
    assert value(found, "rebound_speed_p50") == pytest.approx(math.pi * 100 / 2 / 0.4, rel=0.01)


def test_shaft_speed_is_wheel_speed_over_the_leverage_ratio() -> None:
    found = sheet({"rear": path((20, 0.3), *hits(30, 20, 110))})
    wheel, shaft = value(found, "compression_speed_p95", "rear"), value(found, "shaft_compression_speed_p95", "rear")
    assert shaft == pytest.approx(wheel / 2.5, rel=1e-9)


def test_the_share_below_the_knee_counts_hits() -> None:
    slow, fast = hits(15, 20, 80, 0.6, 0.6), hits(5, 20, 120, 0.15, 0.5)
    facts = BikeFacts(
        head_angle_deg=None,
        wheelbase_mm=None,
        knees={"front": Knees(compression_mm_s=500.0, rebound_mm_s=10_000.0)},
        hard_bottom_out_mm_s=600.0,
    )
    found = sheet({"front": path((20, 0.3), *slow, *fast)}, facts=facts)
    assert value(found, "below_knee_compression_hits") == pytest.approx(75.0, abs=3.0)
    assert value(found, "below_knee_rebound_returns") == 100.0
    assert "head_angle_deg" not in reason(found, "below_knee_compression_hits", "rear")


class TestBottoming:
    """Line at full travel less the larger of 3 mm and 2 %: 166.6 of 170 mm; re-armed 8.5 mm above it."""

    def test_each_arrival_counts_once_and_wobble_at_the_bottom_does_not(self) -> None:
        dips = [*hits(4, 40, 168), (168, 0.2), (164, 0.05), (168, 0.05), (40, 0.4), *hits(3, 40, 165)]
        found = sheet({"front": path((40, 0.3), *dips)})
        assert value(found, "bottom_outs") == 5

    def test_hard_ones_are_told_by_their_last_8_mm(self) -> None:
        found = sheet({"front": path((40, 0.3), *hits(3, 40, 169.5, 0.10, 0.4), *hits(2, 40, 167, 2.0, 0.4))})
        assert value(found, "bottom_outs") == 5
        assert value(found, "hard_bottom_outs") == 3

    def test_a_known_bumper_moves_the_line_half_way(self) -> None:
        travel = path((40, 0.3), *hits(6, 40, 163))
        assert value(sheet({"front": travel}), "bottom_outs") == 0
        assert value(sheet({"front": travel}, bumper_mm=155.0), "bottom_outs") == 6

    def test_a_segment_that_starts_past_the_line_counts_none_for_it(self) -> None:
        travel = np.concatenate([np.full(300, 168.0), path((40, 0.4), *hits(2, 40, 168), start=168.0)])
        assert value(sheet({"front": travel}), "bottom_outs") == 2


def test_top_outs_are_returns_that_arrive_fast() -> None:
    fast, slow = hits(6, 1, 90, 0.2, 0.12), hits(6, 1, 90, 0.2, 1.5)
    found = sheet({"front": path((30, 0.2), (1, 2.0), *fast, *slow)})
    minutes = value(found, "riding_time", "both") / 60
    assert value(found, "top_outs_per_min") * minutes == pytest.approx(6, abs=1e-6)


def test_recovery_is_the_way_back_from_the_deepest_point_to_sag() -> None:
    travel = path((30, 0.5), *hits(40, 30, 120, 0.2, 0.8))
    found = sheet({"front": travel})
    sag_mm = value(found, "dynamic_sag") * FRONT_MM / 100
    part = (120 - sag_mm) / 90  # of a half-cosine of 0.8 s
    assert value(found, "recovery_time") == pytest.approx(0.8 * math.acos(1 - 2 * part) / math.pi, abs=0.006)


def test_packing_is_how_much_deeper_each_hit_of_a_burst_starts() -> None:
    burst = [corner for start in (20, 24, 28, 32) for corner in ((start + 60, 0.2), (start + 4, 0.2))]
    corners = [corner for _ in range(5) for corner in (*burst, (20, 1.2))]
    assert value(sheet({"front": path((20, 0.5), *corners)}), "packing") == pytest.approx(4.0, rel=0.02)


def test_too_few_recoveries_are_absent_not_zero() -> None:
    found = sheet({"front": path((30, 0.5), *hits(3, 30, 120), *hits(30, 30, 70))})
    assert "at least 5" in reason(found, "recovery_time")


class TestBothEnds:
    """Front and rear alike: the ratio is the sine of the head angle, the difference that of the shares."""

    @pytest.fixture(scope="class")
    @classmethod
    def found(cls) -> Sheet:
        travel = path((30, 0.3), *hits(60, 30, 100))
        return sheet({"front": travel, "rear": travel})

    def test_speeds_compare_vertically(self, found: Sheet) -> None:
        assert value(found, "compression_speed_ratio", "both") == pytest.approx(math.sin(math.radians(64)), rel=1e-9)

    def test_sag_compares_in_shares(self, found: Sheet) -> None:
        share = value(found, "dynamic_sag", "front") / 100 * FRONT_MM
        assert value(found, "sag_difference", "both") == pytest.approx(100 * share * (1 / FRONT_MM - 1 / REAR_MM))

    def test_a_head_angle_not_stated_leaves_ratios_out(self) -> None:
        travel = path((30, 0.3), *hits(20, 30, 100))
        facts = BikeFacts(head_angle_deg=None, wheelbase_mm=None, knees={}, hard_bottom_out_mm_s=600.0)
        found = sheet({"front": travel, "rear": travel}, facts=facts)
        assert "head_angle_deg" in reason(found, "rebound_speed_ratio", "both")
        assert "wheelbase_mm" in reason(found, "ground_speed", "both")


def test_the_lag_between_the_ends_gives_ground_speed() -> None:
    rng = np.random.default_rng(3)
    rough = np.convolve(rng.standard_normal(30_000), np.hanning(25), "same")
    front = 60 + 4 * rough
    lag = 100  # 0.2 s at 500 rows a second
    rear = 60 + 4 * np.concatenate([np.zeros(lag), rough[:-lag]])
    found = sheet({"front": front, "rear": rear})
    assert value(found, "ground_speed", "both") == pytest.approx(1.25 / 0.2, rel=0.002)
    motion = made_motion({"front": rear, "rear": front})
    lags = find_run_lags(motion, FACTS)
    assert lags is not None
    assert lags.reversed_windows > 0.9 * lags.windows


def test_unrelated_ends_give_no_ground_speed() -> None:
    rng = np.random.default_rng(4)
    ends = {end: 60 + 4 * np.convolve(rng.standard_normal(20_000), np.hanning(25), "same") for end in ("front", "rear")}
    assert "windows" in reason(sheet(ends), "ground_speed", "both")


class TestRidingTime:
    """Standing, lifted and flown time are told apart."""

    @pytest.fixture(scope="class")
    @classmethod
    def found(cls) -> Sheet:
        ride = path((45, 0.5), *hits(50, 45, 90, 0.2, 0.3), start=45.0)
        flight = path((0.5, 0.15), (0.5, 0.4), (45, 0.15), start=45.0)
        lifted = path((0.3, 0.3), (0.3, 5.0), (45, 0.3), start=45.0)
        travel = np.concatenate([np.full(2000, 45.0), ride, flight, ride, lifted, ride, np.full(1500, 45.0)])
        return sheet({"front": travel, "rear": travel})

    def test_standing_and_lifted_time_is_not_ridden(self, found: Sheet) -> None:
        ridden = 3 * (0.5 + 50 * 0.5) + 0.7 + 0.6
        assert value(found, "riding_time", "both") == pytest.approx(ridden, abs=0.9)

    def test_only_the_short_stretch_at_the_top_is_flown(self, found: Sheet) -> None:
        assert 0.40 <= value(found, "airborne_time", "both") <= 0.62

    def test_flown_time_is_left_out_of_sag_alone(self, found: Sheet) -> None:
        assert value(found, "dynamic_sag") > 100 * 45 / FRONT_MM


def test_start_and_end_bound_what_counts() -> None:
    travel = path((30, 0.3), *hits(60, 30, 100))
    found = sheet({"front": travel}, bounds_s=(5.0, 25.0))
    assert value(found, "riding_time", "both") == pytest.approx(20.0, abs=0.01)


def test_cutting_a_log_in_two_loses_at_most_the_stroke_at_the_cut() -> None:
    travel = path((30, 0.3), *hits(40, 30, 100))
    whole = sheet({"front": travel})
    cut = sheet({"front": travel}, segments=((0, 6000), (6000, travel.shape[0])))
    minutes = value(whole, "riding_time", "both") / 60
    assert 0 <= (value(whole, "strokes_per_min") - value(cut, "strokes_per_min")) * minutes <= 1.5


def test_time_reversed_hits_become_returns() -> None:
    travel = path((30, 0.3), *hits(40, 30, 100, 0.15, 0.45))
    forward, backward = sheet({"front": travel}), sheet({"front": travel[::-1].copy()})
    assert value(backward, "rebound_speed_p50") == pytest.approx(value(forward, "compression_speed_p50"), rel=1e-3)
    assert value(backward, "compression_speed_p50") == pytest.approx(value(forward, "rebound_speed_p50"), rel=1e-3)
    assert value(backward, "dynamic_sag") == pytest.approx(value(forward, "dynamic_sag"), abs=1e-6)


@pytest.mark.parametrize("measure", ["travel_p95", "hit_depth_p95"])
def test_percentiles_follow_numpys_default_rule(measure: str) -> None:
    rng = np.random.default_rng(8)
    corners = [corner for high in rng.uniform(60, 140, 37) for corner in ((high, 0.2), (30, 0.3))]
    motion = made_motion({"front": path((30, 0.3), *corners)})
    found = measure_run(motion, FACTS, None)
    counted = (
        motion.ride.front.travel_mm[motion.time.riding]
        if measure == "travel_p95"
        else motion.ends["front"].hits.stop_mm
    )
    assert value(found, measure) == pytest.approx(100 * float(np.quantile(counted, 0.95)) / FRONT_MM, rel=1e-12)


def test_a_still_log_is_standing_throughout() -> None:
    motion = made_motion({"front": np.full(5000, 45.0)})
    assert motion.time.riding_s == 0
    assert motion.time.standing == ((0, 5000),)
