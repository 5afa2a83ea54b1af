"""Speed by five points against polynomials and sines."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.polynomial import Polynomial
from scipy.signal import savgol_coeffs

from telemetry.conditioning import derivative

RATE_HZ = 8.0  # a power of two: no rounding of times


def sampled(polynomial: Polynomial, count: int = 40) -> tuple[np.ndarray, np.ndarray]:
    """Return values and true derivatives of a polynomial of time."""
    time_s = np.arange(count) / RATE_HZ - 2
    return polynomial(time_s), polynomial.deriv()(time_s)


@pytest.mark.parametrize(
    "coefficients", [(7.0,), (1.0, 3.0), (0.0, -2.0, 5.0), (4.0, 1.0, -3.0, 2.0), (1.0, -1.0, 2.0, 0.5, -3.0)]
)
def test_inside_it_is_exact_up_to_the_fourth_power(coefficients: tuple[float, ...]) -> None:
    values, truth = sampled(Polynomial(coefficients))
    assert derivative(values, RATE_HZ)[2:-2] == pytest.approx(truth[2:-2], rel=1e-10, abs=1e-10)


def test_the_fifth_power_shows_its_first_error_term() -> None:
    """The stencil's error is -4 h^4 x''''' / 120 for x = t^5: -4 h^4."""
    values, truth = sampled(Polynomial([0, 0, 0, 0, 0, 1.0]))
    error = derivative(values, RATE_HZ)[2:-2] - truth[2:-2]
    assert error == pytest.approx(np.full(36, -4 / RATE_HZ**4), rel=1e-6)


@pytest.mark.parametrize("coefficients", [(7.0,), (1.0, 3.0), (4.0, -2.0, 5.0)])
def test_at_the_ends_it_is_exact_up_to_the_second_power(coefficients: tuple[float, ...]) -> None:
    values, truth = sampled(Polynomial(coefficients))
    assert derivative(values, RATE_HZ) == pytest.approx(truth, rel=1e-10, abs=1e-10)


@pytest.mark.parametrize("sample", [0, 1, -1, -2])
def test_at_the_ends_the_error_falls_with_the_square_of_the_step(sample: int) -> None:
    def error(rate_hz: float) -> float:
        time_s = np.arange(20) / rate_hz
        time_s = time_s - time_s[0 if sample >= 0 else -1]  # the end in question lies at 0
        return abs(derivative(np.exp(3 * time_s), rate_hz)[sample] - 3 * math.exp(3 * time_s[sample]))

    assert error(200.0) / error(400.0) == pytest.approx(4.0, rel=0.05)


def test_inside_the_error_falls_with_the_fourth_power_of_the_step() -> None:
    def error(rate_hz: float) -> float:
        time_s = np.arange(round(rate_hz) + 1) / rate_hz
        middle = time_s.size // 2
        return abs(derivative(np.exp(2 * time_s), rate_hz)[middle] - 2 * math.exp(2 * time_s[middle]))

    assert error(20.0) / error(40.0) == pytest.approx(16.0, rel=0.05)


@pytest.mark.parametrize("hertz", [0.5, 2.0, 5.0])
@pytest.mark.parametrize("rate_hz", [500.0, 1000.0])
def test_the_fastest_of_a_sine_is_two_pi_f_a(hertz: float, rate_hz: float) -> None:
    time_s = np.arange(round(4 * rate_hz)) / rate_hz
    speed = derivative(60 + 30 * np.sin(2 * np.pi * hertz * time_s), rate_hz)
    truth = 2 * np.pi * hertz * 30 * np.cos(2 * np.pi * hertz * time_s)
    assert speed[2:-2].max() == pytest.approx(2 * math.pi * hertz * 30, rel=1e-5)
    assert speed[2:-2] == pytest.approx(truth[2:-2], abs=1e-4 * 2 * math.pi * hertz * 30)


@pytest.mark.parametrize("share_of_rate", [0.02, 0.1, 0.2])
def test_a_sines_gain_is_the_stencils_own(share_of_rate: float) -> None:
    """(8 sin w - sin 2w) / 6 over w, w = 2 pi f / rate."""
    turn = 2 * math.pi * share_of_rate
    speed = derivative(np.sin(turn * np.arange(-50, 51)), 1.0)
    assert speed[50] == pytest.approx((8 * math.sin(turn) - math.sin(2 * turn)) / 6, rel=1e-12)


def test_inside_it_is_the_published_five_point_cubic() -> None:
    """Savitzky and Golay's table of first derivatives, cubic, five points: [1, -8, 0, 8, -1] / 12."""
    signal = np.random.default_rng(7).standard_normal(50)
    weights = savgol_coeffs(5, 3, deriv=1, delta=1 / RATE_HZ, use="dot")
    assert weights * 12 / RATE_HZ == pytest.approx([1, -8, 0, 8, -1], abs=1e-12)
    assert derivative(signal, RATE_HZ)[2:-2] == pytest.approx(np.correlate(signal, weights, "valid"), abs=1e-12)


def test_the_shortest_signal_has_five_samples() -> None:
    assert derivative(np.arange(5.0), 10.0) == pytest.approx(np.full(5, 10.0))
    with pytest.raises(ValueError, match="needs 5 samples, got 4"):
        derivative(np.arange(4.0), 10.0)


def test_the_signal_given_is_not_changed() -> None:
    signal = np.random.default_rng(2).standard_normal(30)
    before = signal.copy()
    derivative(signal, 100.0)
    assert np.array_equal(signal, before)
