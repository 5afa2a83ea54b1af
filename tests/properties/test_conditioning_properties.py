"""What must hold for every signal on its way from readings to travel and speed."""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.signal import butter, sosfilt, sosfilt_zi

from telemetry.conditioning import calibrate, derivative, lowpass
from telemetry.conditioning.despiking import find_spikes
from telemetry.conditioning.noise import sensor_step
from telemetry.conditioning.resampling import even_times
from telemetry.conditioning.smoothing import design_cutoff_hz
from telemetry.trust.clipping import find_clipped
from tests.conditioning.made_ends import fork, front_ride
from tests.plain.plain_signal import without_spikes
from tests.thresholds import threshold

SEEDS = st.integers(0, 10**6)
COUNTS = st.integers(60, 400)
FACTORS = st.floats(-50, 50).filter(lambda factor: abs(factor) > 1e-3)
SHIFTS = st.floats(-1e4, 1e4)
RATES = st.sampled_from([(100.0, 40.0), (200.0, 60.0), (500.0, 60.0), (1000.0, 20.0)])
ORDER = int(threshold("conditioning.smoothing.ORDER"))
SPEED_LIMIT_MM_S = threshold("conditioning.despiking.SPEED_LIMIT_MM_S")
CALM = settings(max_examples=60)


def wander(seed: int, count: int) -> np.ndarray:
    """Return a signal that wanders, jumps and stands: nothing a filter could rely on."""
    rng = np.random.default_rng(seed)
    signal = rng.standard_normal(count).cumsum() + 40 * np.repeat(rng.standard_normal(count // 20 + 1), 20)[:count]
    still = int(rng.integers(0, count))
    signal[still : still + 15] = signal[still]
    return signal


def close(one: np.ndarray, other: np.ndarray, size: float = 1.0) -> bool:
    return bool(np.allclose(one, other, rtol=1e-8, atol=1e-9 * max(size, 1.0)))


class TestLowpass:
    @CALM
    @given(SEEDS, COUNTS, RATES, FACTORS, FACTORS)
    def test_it_is_linear(self, seed: int, count: int, rates: tuple[float, float], one: float, other: float) -> None:
        first, second = wander(seed, count), wander(seed + 1, count)
        both = lowpass(one * first + other * second, *rates)
        apart = one * lowpass(first, *rates) + other * lowpass(second, *rates)
        assert close(both, apart, 1e3 * (abs(one) + abs(other)))

    @CALM
    @given(SEEDS, COUNTS, RATES, FACTORS, SHIFTS)
    def test_scale_and_level_pass_through(
        self, seed: int, count: int, rates: tuple[float, float], factor: float, shift: float
    ) -> None:
        signal = wander(seed, count)
        assert close(lowpass(factor * signal + shift, *rates), factor * lowpass(signal, *rates) + shift, 1e4)

    @CALM
    @given(SEEDS, st.integers(450, 700), RATES)
    def test_time_reversed_it_gives_the_reverse_but_for_the_ends(
        self, seed: int, count: int, rates: tuple[float, float]
    ) -> None:
        """Forward and backward is backward and forward, once the padding's settling has died away."""
        signal = wander(seed, count)
        forward, backward = lowpass(signal, *rates), lowpass(signal[::-1], *rates)[::-1]
        rate_hz, cutoff_hz = rates
        settled = 20 + round(3 * rate_hz / cutoff_hz)
        size = np.ptp(signal)
        assert np.abs(forward - backward)[settled:-settled].max() < 1e-3 * size
        assert np.abs(forward - backward).max() < 0.5 * size

    @CALM
    @given(SEEDS, st.integers(300, 500), RATES)
    def test_it_is_two_single_passes(self, seed: int, count: int, rates: tuple[float, float]) -> None:
        """Written out with the odd padding, against the library's own forward-and-backward call."""
        signal = wander(seed, count)
        sections = butter(ORDER, design_cutoff_hz(rates[1], rates[0]), fs=rates[0], output="sos")
        pad = 15
        padded = np.concatenate([2 * signal[0] - signal[pad:0:-1], signal, 2 * signal[-1] - signal[-2 : -pad - 2 : -1]])
        for _ in range(2):
            padded, _ = sosfilt(sections, padded, zi=sosfilt_zi(sections) * padded[0])
            padded = padded[::-1]
        assert close(lowpass(signal, *rates), padded[pad:-pad], float(np.abs(signal).max()))

    @CALM
    @given(SEEDS, st.integers(2000, 3000), st.integers(200, 400))
    def test_later_in_the_log_is_the_same(self, seed: int, count: int, later: int) -> None:
        """Away from the ends the filter doesn't know when it is."""
        signal = wander(seed, count)
        whole, cut = lowpass(signal, 500.0, 60.0), lowpass(signal[later:], 500.0, 60.0)
        assert np.abs(whole[later + 100 :] - cut[100:]).max() < 1e-6 * np.ptp(signal)


class TestDerivative:
    @CALM
    @given(SEEDS, COUNTS, FACTORS, FACTORS, SHIFTS)
    def test_it_is_linear_and_level_has_no_speed(
        self, seed: int, count: int, one: float, other: float, shift: float
    ) -> None:
        first, second = wander(seed, count), wander(seed + 1, count)
        both = derivative(one * first + other * second + shift, 500.0)
        assert close(both, one * derivative(first, 500.0) + other * derivative(second, 500.0), 1e7)

    @CALM
    @given(SEEDS, st.integers(5, 50))
    def test_time_reversed_compression_is_rebound(self, seed: int, count: int) -> None:
        signal = np.random.default_rng(seed).standard_normal(count)
        assert close(derivative(signal[::-1].copy(), 500.0), -derivative(signal, 500.0)[::-1], 1e3)

    @CALM
    @given(SEEDS, COUNTS, st.floats(0.1, 1e4))
    def test_speed_goes_with_the_rate(self, seed: int, count: int, rate_hz: float) -> None:
        signal = wander(seed, count)
        assert close(derivative(signal, rate_hz), rate_hz * derivative(signal, 1.0), 1e3)

    @CALM
    @given(SEEDS, st.integers(270, 500))
    def test_filtering_and_differentiating_may_change_places(self, seed: int, count: int) -> None:
        """Both are linear and the same at every sample, so away from the ends their order doesn't matter."""
        signal = wander(seed, count)
        one = derivative(lowpass(signal, 500.0, 60.0), 500.0)
        other = lowpass(derivative(signal, 500.0), 500.0, 60.0)
        assert np.abs(one - other)[120:-120].max() < 1e-4 * np.abs(one).max()


def spiked(seed: int, count: int) -> np.ndarray:
    """Return motion with spikes of one to four samples and jumps that stay."""
    rng = np.random.default_rng(seed)
    signal = 60 + np.convolve(rng.standard_normal(count), np.hanning(25), "same") * rng.uniform(0.5, 8)
    for _ in range(int(rng.integers(0, 8))):
        at, length = int(rng.integers(0, count)), int(rng.integers(1, 5))
        signal[at : at + length] += rng.choice([-1, 1]) * rng.uniform(15, 90)
    if rng.random() < 0.3:
        signal[int(rng.integers(0, count)) :] += rng.uniform(-60, 60)
    return signal


class TestSpikes:
    @CALM
    @given(SEEDS, st.integers(20, 300))
    def test_they_are_those_of_the_definition_written_out_slowly(self, seed: int, count: int) -> None:
        signal = spiked(seed, count)
        signal[:4], signal[-4:] = signal[4], signal[-5]  # at its ends the slow writing cuts its windows
        found = find_spikes(signal, signal, 500.0)
        mended = signal.copy()
        mended[found.samples] = found.values
        slowly, number = without_spikes(signal, 500.0)
        assert found.samples.size == number
        assert np.array_equal(mended, slowly)

    @CALM
    @given(SEEDS, st.integers(7, 300))
    def test_each_follows_a_step_no_wheel_makes(self, seed: int, count: int) -> None:
        signal = spiked(seed, count)
        fast = np.abs(np.diff(signal)) * 500.0 > SPEED_LIMIT_MM_S
        for sample in find_spikes(signal, signal, 500.0).samples.tolist():
            assert fast[max(0, sample - 3) : sample].any()
            assert fast[sample : sample + 3].any()

    @CALM
    @given(SEEDS, st.integers(7, 300), st.floats(0.01, 40), st.booleans(), SHIFTS)
    def test_the_sensors_scale_and_direction_do_not_matter(
        self, seed: int, count: int, scale: float, falls: bool, shift: float
    ) -> None:
        wheel = spiked(seed, count)
        factor = -scale if falls else scale
        one = find_spikes(wheel, wheel, 500.0)
        other = find_spikes(np.round(factor * wheel, 9) + round(shift), wheel, 500.0)
        assert one.samples.tolist() == other.samples.tolist()
        assert np.allclose(factor * one.values + round(shift), other.values, atol=1e-6)

    @CALM
    @given(SEEDS, st.integers(7, 300))
    def test_time_reversed_single_spikes_are_the_same(self, seed: int, count: int) -> None:
        rng = np.random.default_rng(seed)
        signal = 60 + rng.normal(0, 0.2, count)
        for at in range(10, count - 10, 25):
            signal[at] += rng.choice([-1, 1]) * rng.uniform(30, 90)
        forward = find_spikes(signal, signal, 500.0).samples
        backward = find_spikes(signal[::-1].copy(), signal[::-1].copy(), 500.0).samples
        assert forward.tolist() == sorted((count - 1 - backward).tolist())
        assert forward.size == len(range(10, count - 10, 25))


POINTS = st.lists(
    st.tuples(st.integers(0, 4095), st.floats(1.0, 60.0)), min_size=3, max_size=9, unique_by=lambda point: point[0]
)


@CALM
@given(POINTS, st.booleans())
def test_a_curve_through_any_rising_points_rises_everywhere(points: list[tuple[int, float]], falls: bool) -> None:
    readings = sorted((reading for reading, _ in points), reverse=falls)
    millimetres = np.cumsum([step for _, step in points]).tolist()
    found = calibrate(fork(tuple(zip(map(float, readings), millimetres, strict=True)), calibration="curve"))
    mm = found.mm(np.linspace(-500, 4600, 2000))
    assert np.all(np.diff(mm) * (-1 if falls else 1) >= -1e-9)
    assert np.allclose(found.mm(np.array(readings, dtype=float)), millimetres, atol=1e-6)


@CALM
@given(POINTS, st.floats(0.01, 100), SHIFTS)
def test_a_line_does_not_depend_on_how_readings_are_counted(
    points: list[tuple[int, float]], scale: float, shift: float
) -> None:
    plain = [(float(reading), mm) for reading, mm in points]
    counted = [(scale * reading + shift, mm) for reading, mm in plain]
    readings = np.linspace(0, 4095, 50)
    one, other = calibrate(fork(plain)), calibrate(fork(counted))
    assert np.allclose(one.mm(readings), other.mm(scale * readings + shift), rtol=1e-5, atol=1e-4)
    assert np.isclose(one.residual_mm, other.residual_mm, rtol=1e-4, atol=1e-4)


@CALM
@given(st.floats(0, 1e4), st.floats(0, 500), st.floats(1, 2000))
def test_even_times_fill_the_stretch_and_stay_in_it(first_s: float, long_s: float, rate_hz: float) -> None:
    assume(long_s * rate_hz < 50_000)
    times = even_times(first_s, first_s + long_s, rate_hz)
    assert times[0] == first_s
    assert times[-1] <= first_s + long_s + 1e-6 / rate_hz
    assert first_s + long_s - times[-1] < (1 + 1e-6) / rate_hz


@CALM
@given(SEEDS, st.integers(1, 64), st.integers(-3000, 3000))
def test_the_sensors_step_is_that_of_its_levels(seed: int, step: int, shift: int) -> None:
    readings = np.random.default_rng(seed).integers(0, 30, 500) * float(step) + shift
    assert sensor_step(readings) == step
    assert sensor_step(readings[::-1].copy()) == step


@CALM
@given(SEEDS, st.floats(0.5, 20))
def test_what_is_out_of_range_is_so_in_either_direction_of_time(seed: int, least: float) -> None:
    readings = np.clip(np.round(wander(seed, 300)), -20, 25)
    ends = (-20.0, 25.0)
    forward = find_clipped(readings, least, 1.0, ends)
    backward = find_clipped(readings[::-1].copy(), least, 1.0, ends)
    assert [(300 - flat.stop, 300 - flat.start) for flat in reversed(backward)] == [
        (flat.start, flat.stop) for flat in forward
    ]


@settings(max_examples=15)
@given(SEEDS)
def test_a_ride_run_backwards_has_the_same_travel_and_the_opposite_speed(seed: int) -> None:
    rng = np.random.default_rng(seed)
    counts = np.round(1500 + 400 * np.convolve(rng.standard_normal(1500), np.hanning(101) / 6, "same"))
    forward, backward = front_ride(counts), front_ride(counts[::-1])
    inner = slice(100, -100)
    assert np.allclose(forward.front.travel_mm[inner], backward.front.travel_mm[::-1][inner], atol=1e-5)
    assert np.allclose(forward.front.speed_mm_s[inner], -backward.front.speed_mm_s[::-1][inner], atol=1e-2)
    assert forward.front.noise == backward.front.noise
