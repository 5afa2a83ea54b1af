"""Shock response: recursion against closed form and a simulation of its own, and which hits are taken."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.signal import TransferFunction, lsim

from telemetry.measures.inertial.shock import BEFORE_S, HITS, frequencies, hit_windows, responses
from telemetry.measures.inertial.third_octaves import name_of


def half_sine(seconds: float, rate_hz: float, length_s: float) -> np.ndarray:
    at = np.arange(round(length_s * rate_hz)) / rate_hz
    return np.where(at <= seconds, np.sin(np.pi * at / seconds), 0.0)


def undamped(ratio: float) -> float:
    """Largest absolute acceleration after and during a half sine of 1, at natural frequency times its duration.

    Closed form for no damping (C. M. Harris, A. G. Piersol, *Harris' Shock and Vibration Handbook*, ch. 8, from
    memory): x = sin(pi t) and its own swing, peaks found on a fine grid of the closed form itself.
    """
    own = 2 * math.pi * ratio  # duration 1
    at = np.linspace(0, 1, 20_001)
    during = own / (own**2 - math.pi**2) * (own * np.sin(math.pi * at) - math.pi * np.sin(own * at))
    after = 2 * math.pi * own * math.cos(own / 2) / (own**2 - math.pi**2)
    return max(float(np.abs(during).max()), abs(after))


@pytest.mark.parametrize("ratio", [0.2, 0.4, 0.8, 1.2, 2.0])
def test_a_half_sine_without_damping_against_its_closed_form(ratio: float):
    told = responses(np.array([ratio / 0.05]), half_sine(0.05, 4000.0, 2.0)[None, :], 4000.0, quality=1e6)
    assert told[0, 0] == pytest.approx(undamped(ratio), rel=2e-3)


@pytest.mark.parametrize("hertz", [5.0, 16.0, 40.0])
def test_recursion_is_exact_for_straight_runs_between_samples(hertz: float):
    """Against scipy's simulation of the same mass, which holds runs between samples straight too."""
    own, damping = 2 * math.pi * hertz, 0.05
    foot = np.r_[0.0, np.random.default_rng(2).normal(size=800)]  # at rest before
    system = TransferFunction([2 * damping * own, own**2], [1, 2 * damping * own, own**2])
    _, answered, _ = lsim(system, foot, np.arange(foot.size) / 400.0)
    told = responses(np.array([hertz]), foot[None, :], 400.0)
    assert told[0, 0] == pytest.approx(np.abs(answered).max(), rel=1e-9)


def test_a_stiff_thing_feels_the_shock_itself():
    told = responses(np.array([2000.0]), half_sine(0.05, 50_000.0, 0.2)[None, :], 50_000.0)
    assert told[0, 0] == pytest.approx(1.0, abs=0.02)


def test_frequencies_end_at_a_tenth_of_the_rate():
    assert [name_of(number) for number in frequencies(200.0)] == ["4", "5", "6.3", "8", "10", "12.5", "16", "20"]
    assert name_of(frequencies(2000.0)[-1]) == "100"
    assert frequencies(30.0) == ()


def test_the_ten_hardest_are_taken_hardest_first_and_a_second_apart():
    rate = 200.0
    shaken = np.random.default_rng(3).normal(size=12_000) * 0.1
    for place, height in enumerate(range(5, 19)):
        shaken[500 + 600 * place] = height * (-1) ** place
        shaken[540 + 600 * place] = height * 0.9  # the same hit still
    found = hit_windows([shaken], [shaken * 2], rate)
    assert found.shape == (HITS, 200)
    middle = np.abs(found[:, round(BEFORE_S * rate)])
    assert middle == pytest.approx([2 * height for height in range(18, 8, -1)])


def test_a_hit_at_the_edge_is_none():
    shaken = np.zeros(2_000)
    shaken[[3, 1_000, 1_990]] = 9.0
    assert hit_windows([shaken], [shaken], 200.0).shape[0] == 1


def test_nothing_stands_out_of_nothing():
    assert hit_windows([], [], 200.0).shape[0] == 0
