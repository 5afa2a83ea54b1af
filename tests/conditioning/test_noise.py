"""Noise of travel and speed: formulae, white noise through the real filter, and which of two figures counts."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from telemetry.conditioning import RestNoise, derivative, lowpass, with_rest_noise
from telemetry.conditioning.noise import sensor_step, speed_noise_mm_s, travel_noise_mm
from tests.conditioning.made_ends import FRONT_MM, codes, fork, front_end, front_ride, rear_end, ride_of
from tests.measures.made_rides import made_log

ORDER, TWO_PASS = 4, 0.89568  # as the handbook says
CASES = [(0.05, 500.0, 60.0), (0.05, 1000.0, 60.0), (0.2, 500.0, 20.0), (0.05, 2000.0, 60.0)]


def band_share(power: int) -> float:
    """Return the filter's noise over that of a wall at the cut-off, for noise that grows as frequency^(power / 2)."""
    inside, _ = quad(lambda x: x**power / (1 + (TWO_PASS * x) ** (2 * ORDER)) ** 2, 0, 20)
    return inside * (power + 1)


class TestFormulae:
    """Worked by hand for q = 0.05 mm, 500 rows a second, 60 Hz."""

    def test_travel(self) -> None:
        assert travel_noise_mm(0.05, 500.0, 60.0) == pytest.approx(0.0144338 * 0.4898979, rel=1e-5)

    def test_speed(self) -> None:
        variance = 2 * 0.0025 / 12 / 500 * 39.4784176 * 216_000 / 3
        assert speed_noise_mm_s(0.05, 500.0, 60.0) == pytest.approx(math.sqrt(variance), rel=1e-7)
        assert speed_noise_mm_s(0.05, 500.0, 60.0) == pytest.approx(1.53905, rel=1e-4)

    def test_both_grow_with_the_step_and_fall_with_the_root_of_the_rate(self) -> None:
        for formula in (travel_noise_mm, speed_noise_mm_s):
            once = formula(0.05, 500.0, 60.0)
            assert formula(0.15, 500.0, 60.0) == pytest.approx(3 * once)
            assert formula(0.05, 2000.0, 60.0) == pytest.approx(once / 2)
            assert formula(0.0, 500.0, 60.0) == 0.0

    def test_they_follow_the_cutoff_by_their_own_powers(self) -> None:
        assert travel_noise_mm(1.0, 500.0, 40.0) == pytest.approx(2 * travel_noise_mm(1.0, 500.0, 10.0))
        assert speed_noise_mm_s(1.0, 500.0, 40.0) == pytest.approx(8 * speed_noise_mm_s(1.0, 500.0, 10.0))


class TestSensorStep:
    def test_it_is_the_smallest_step_between_readings_that_differ(self) -> None:
        assert sensor_step(np.array([3.0, 3.0, 10.0, 6.0, 6.0, 14.0])) == 3.0

    def test_two_readings_show_one(self) -> None:
        assert sensor_step(np.array([3.0, 5.0])) == 2.0

    def test_a_lively_log_that_skips_levels_shows_it_all_the_same(self) -> None:
        """No two neighbours differ by fewer than 20 counts, yet all levels are met."""
        readings = np.tile([0.0, 40.0], 50) + np.arange(100) // 2 % 20
        assert np.abs(np.diff(readings)).min() >= 20
        assert sensor_step(readings) == 1.0

    @pytest.mark.parametrize(("highest", "step"), [(999.0, 1.0), (1000.0, 2.0)])
    def test_all_levels_are_put_in_order_where_the_step_is_over_a_500th_of_the_range(
        self, highest: float, step: float
    ) -> None:
        """Neighbours differ by 2 counts at least, levels by 1."""
        assert sensor_step(np.array([0.0, 2.0, 4.0, 1.0, highest])) == step
        assert sensor_step(-np.array([0.0, 2.0, 4.0, 1.0, highest])) == step

    def test_a_fraction_of_a_volt_is_a_step_too(self) -> None:
        volts = np.random.default_rng(2).integers(0, 4096, 5000) * 5.0 / 4096
        assert sensor_step(volts) == pytest.approx(5.0 / 4096, rel=1e-9)

    def test_rounding_of_the_last_binary_digit_is_none(self) -> None:
        assert sensor_step(np.array([0.3, 0.1 + 0.2, 0.8, 0.3])) == pytest.approx(0.5)

    @pytest.mark.parametrize("sign", [1, -1])
    @pytest.mark.parametrize("size", [1.0, 1e6])
    def test_a_billionth_of_the_largest_reading_is_rounding_and_more_is_a_step(self, size: float, sign: int) -> None:
        same, other = size * np.array([1.0, 1.0 - 0.9e-9, 0.0]), size * np.array([1.0, 1.0 - 1.1e-9, 0.0])
        assert sensor_step(sign * same) == pytest.approx(size)
        assert sensor_step(sign * other) == pytest.approx(1.1e-9 * size, rel=1e-3)
        assert sensor_step(np.array([0.0, 1e-9, 1.0])) == pytest.approx(1.0)

    @pytest.mark.parametrize("readings", [np.array([]), np.array([7.0]), np.full(20, 7.0), np.zeros(20)])
    def test_without_a_change_there_is_none(self, readings: np.ndarray) -> None:
        assert sensor_step(readings) == 0.0

    def test_readings_given_are_not_changed(self) -> None:
        readings = np.array([3.0, 3.0, 10.0])
        sensor_step(readings)
        assert readings.tolist() == [3.0, 3.0, 10.0]


@pytest.mark.parametrize(("step_mm", "rate_hz", "cutoff_hz"), CASES)
class TestWhiteNoise:
    """Evenly spread errors of one step, as rounding leaves them, through the real filter and the real derivative."""

    COUNT = 200_000

    def filtered(self, step_mm: float, rate_hz: float, cutoff_hz: float) -> np.ndarray:
        white = np.random.default_rng(21).uniform(-step_mm / 2, step_mm / 2, self.COUNT)
        return lowpass(white, rate_hz, cutoff_hz)

    def test_travel(self, step_mm: float, rate_hz: float, cutoff_hz: float) -> None:
        seen = self.filtered(step_mm, rate_hz, cutoff_hz).std()
        formula = travel_noise_mm(step_mm, rate_hz, cutoff_hz)
        assert seen == pytest.approx(formula, rel=0.02)
        assert seen == pytest.approx(formula * math.sqrt(band_share(0)), rel=0.02)

    def test_speed(self, step_mm: float, rate_hz: float, cutoff_hz: float) -> None:
        """The filter is no wall: what it lets through above the cut-off adds 5 % to speed."""
        seen = derivative(self.filtered(step_mm, rate_hz, cutoff_hz), rate_hz).std()
        formula = speed_noise_mm_s(step_mm, rate_hz, cutoff_hz)
        assert math.sqrt(band_share(2)) == pytest.approx(1.05, abs=0.01)
        assert seen == pytest.approx(formula, rel=0.07)
        assert seen == pytest.approx(formula * math.sqrt(band_share(2)), rel=0.03)


def test_rounding_a_ride_leaves_what_the_formulae_say() -> None:
    step_mm, rate_hz = 0.5, 500.0
    time_s = np.arange(200_000) / rate_hz
    travel = 60 + 30 * np.sin(2 * np.pi * 1.7 * time_s) + 10 * np.sin(2 * np.pi * 5.3 * time_s)
    error = lowpass(np.round(travel / step_mm) * step_mm - travel, rate_hz, 60.0)
    assert error.std() == pytest.approx(travel_noise_mm(step_mm, rate_hz, 60.0), rel=0.1)
    assert derivative(error, rate_hz).std() == pytest.approx(speed_noise_mm_s(step_mm, rate_hz, 60.0), rel=0.1)


class TestWhichFigureCounts:
    """The larger of what the sensor's step leaves and what recordings at rest show, for travel and speed each."""

    READINGS = np.random.default_rng(4).integers(1500, 1520, 2000)
    TRAVEL, SPEED = travel_noise_mm(0.05, 500.0, 60.0), speed_noise_mm_s(0.05, 500.0, 60.0)

    def ride(self, seen: RestNoise | None):
        return with_rest_noise(front_ride(self.READINGS), {} if seen is None else {"front": seen})

    def test_without_recordings_it_is_the_step(self) -> None:
        noise = self.ride(None).front.noise
        assert noise.sensor_step_mm == pytest.approx(0.05)
        assert (noise.travel_mm, noise.speed_mm_s) == pytest.approx((self.TRAVEL, self.SPEED))
        assert noise.source == "sensor step"

    @pytest.mark.parametrize(("travel", "speed"), [(5.0, 5.0), (5.0, 0.2), (0.2, 5.0), (0.2, 0.2)])
    def test_each_is_the_larger(self, travel: float, speed: float) -> None:
        seen = RestNoise(travel_mm=travel * self.TRAVEL, speed_mm_s=speed * self.SPEED, source="lifted.csv")
        noise = self.ride(seen).front.noise
        assert noise.travel_mm == pytest.approx(max(1.0, travel) * self.TRAVEL)
        assert noise.speed_mm_s == pytest.approx(max(1.0, speed) * self.SPEED)
        assert noise.source == ("lifted.csv" if travel > 1 else "sensor step")

    def test_of_two_alike_the_step_is_named(self) -> None:
        own = self.ride(None).front.noise
        seen = RestNoise(travel_mm=own.travel_mm, speed_mm_s=own.speed_mm_s, source="lifted.csv")
        assert self.ride(seen).front.noise.source == "sensor step"

    def test_both_figures_are_printed_with_their_source(self) -> None:
        seen = RestNoise(travel_mm=0.25, speed_mm_s=31.0, source="lifted.csv")
        (step,) = (step for step in self.ride(seen).history if step.stage == "noise")
        assert step.words == "sd 0.250 mm of travel, 31.0 mm/s of speed (lifted.csv)"
        assert step.parameters == {"travel_mm": 0.25, "speed_mm_s": 31.0, "source": "lifted.csv"}

    def test_a_shocks_step_counts_at_the_wheel(self) -> None:
        ride = ride_of(made_log({"A1": self.READINGS.astype(float)}, 500.0), rear_end())
        assert ride.rear.noise.sensor_step_mm == pytest.approx(0.02 * 158.4 / 60)

    def test_an_uneven_clock_does_not_hide_the_step(self) -> None:
        """Readings interpolated between rows differ by less than the converter's step; noise is still its."""
        log = made_log({"A0": self.READINGS.astype(float)}, 500.0)
        stamps = log.time_s + np.random.default_rng(1).uniform(-0.0006, 0.0006, 2000)
        stamps[[0, -1]] = log.time_s[[0, -1]]
        ride = ride_of(replace(log, time_s=stamps, even=False), front_end())
        assert ride.front.noise.sensor_step_mm == pytest.approx(0.05)
        assert ride.front.noise.travel_mm == pytest.approx(self.TRAVEL)


class TestCoarseSteps:
    @pytest.mark.parametrize(("share", "told"), [(0.0049, []), (0.0051, ["coarse_steps"])])
    @pytest.mark.parametrize("even", [True, False])
    def test_a_step_over_half_a_percent_of_travel_is_told(self, share: float, told: list[str], *, even: bool) -> None:
        sensor = fork(((0.0, 0.0), (1000.0, 1000 * share * FRONT_MM)))
        log = made_log({"A0": np.random.default_rng(4).integers(40, 42, 2000).astype(float)}, 500.0)
        if not even:
            shift = np.sin(np.arange(2000.0)) * 0.0005
            log = replace(log, time_s=log.time_s + shift - shift[0], even=False)
        assert codes(ride_of(log, front_end(sensor))) == told

    def test_a_single_spike_at_rest_is_no_step(self) -> None:
        readings = np.full(2000, 1500.0)
        readings[700] = 2900.0
        ride = front_ride(readings)
        assert codes(ride) == ["spikes"]
        assert ride.front.noise.sensor_step_mm == 0.0
