"""From wheel to chassis: transmissibility and modes of simulated quarter cars against their closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from telemetry.measures.inertial.band import upper_edge_hz
from telemetry.measures.inertial.body_mode import body_mode
from telemetry.measures.inertial.hop import hop_frequency
from telemetry.measures.inertial.spectra import Spectra, mean_spectra
from telemetry.measures.inertial.third_octaves import bands_between, centre_hz, name_of, within
from telemetry.measures.inertial.transfer import transmissibility
from telemetry.measures.missing import Missing
from tests.measures.inertial.quarter_cars import QuarterCar
from tests.published import golden_car

GOLDEN = QuarterCar(tyre=golden_car.K1, spring=golden_car.K2, damper=golden_car.C, mass_ratio=golden_car.MU)
CARS = {
    "golden car": GOLDEN,
    "bicycle": QuarterCar.of(body_hz=2.2, damping=0.3, hop_hz=24.0, mass_ratio=0.09),
    "motorcycle": QuarterCar.of(body_hz=1.6, damping=0.35, hop_hz=14.0, mass_ratio=0.13),
    "hardly damped": QuarterCar.of(body_hz=2.5, damping=0.15, hop_hz=20.0, mass_ratio=0.1),
}
RATE_HZ = 500.0


def spectra_of(wheel: np.ndarray, chassis: np.ndarray, rate_hz: float = RATE_HZ):
    return mean_spectra(wheel, chassis, ((0, wheel.size),), rate_hz)


@pytest.fixture(scope="module", params=CARS)
def ridden(request):
    car = CARS[request.param]
    wheel, chassis = car.ride(240.0, RATE_HZ, seed=3)
    noise = np.random.default_rng(4).normal(size=(2, wheel.size)) * 0.1
    return car, spectra_of(wheel + noise[0], chassis + noise[1])


def test_golden_car_has_the_modes_that_are_computed_of_it():
    assert (GOLDEN.body_hz, GOLDEN.hop_hz) == pytest.approx((1.2662574, 10.9982092), abs=1e-6)


def test_transmissibility_is_that_of_the_closed_form_where_chassis_follows_wheel(ridden):
    car, spectra = ridden
    told = transmissibility(spectra, RATE_HZ)
    checked = 0
    for number in bands_between(1.0, 80.0):
        inside = within(spectra.frequency_hz, number)
        if spectra.coherence[inside].mean() > 0.9:
            closed = np.abs(car.wheel_to_chassis(spectra.frequency_hz[inside])).mean()
            assert told[name_of(number)] == pytest.approx(closed, rel=0.05)
            checked += 1
    assert checked >= 8


def test_body_mode_is_the_cars_own(ridden):
    car, spectra = ridden
    found = body_mode(spectra)
    assert found.frequency_hz == pytest.approx(car.body_hz, rel=0.03)
    assert found.damping == pytest.approx(car.damping, rel=0.10)


def test_hop_is_the_cars_own(ridden):
    car, spectra = ridden
    assert hop_frequency(spectra.frequency_hz, spectra.first, upper_edge_hz(RATE_HZ)) == pytest.approx(
        car.hop_hz, rel=0.06
    )


def test_a_band_in_which_the_chassis_follows_something_else_is_absent():
    wheel, chassis = CARS["bicycle"].ride(120.0, RATE_HZ, seed=5)
    other = np.random.default_rng(6).normal(size=wheel.size) * chassis.std() * 3
    told = transmissibility(spectra_of(wheel, chassis + other), RATE_HZ)
    assert told["40"] is None


@pytest.mark.parametrize(("cross", "told"), [(2.0, None), (2.01, 2.01)])
def test_a_band_is_told_over_four_fifths_of_coherence(cross, told):
    """First 1, second 5: coherence is a fifth of the cross spectrum squared, H1 the cross spectrum itself."""
    one, five = np.ones(1), np.full(1, 5.0)
    spectra = Spectra(frequency_hz=one, first=one, second=five, cross=np.full(1, cross, dtype=complex), windows=9)
    assert transmissibility(spectra, RATE_HZ)["1"] == told


def test_coherence_and_response_against_the_closed_form_of_noise_added():
    """Second = 2 x first + noise of power P: H1 = 2, coherence = 4 / (4 + P)."""
    rng = np.random.default_rng(7)
    first, noise = rng.normal(size=(2, 400_000))
    spectra = spectra_of(first, 2 * first + 2 * noise)
    inside = (spectra.frequency_hz > 1) & (spectra.frequency_hz < 80)
    assert np.abs(spectra.response[inside]).mean() == pytest.approx(2.0, rel=0.02)
    assert spectra.coherence[inside].mean() == pytest.approx(0.5, abs=0.01)
    assert spectra.first[inside].mean() == pytest.approx(2 / RATE_HZ, rel=0.02)  # variance 1 over 0 to 250 Hz


def test_windows_lie_within_what_was_ridden():
    signal = np.ones(10_000)
    spectra = mean_spectra(signal, signal, ((0, 3_999), (4_000, 8_000), (8_000, 10_000)), RATE_HZ)
    assert spectra.windows == 1


def test_two_signals_of_their_own_give_no_mode():
    one, other = np.random.default_rng(8).normal(size=(2, 60_000))
    assert "coherence" in body_mode(spectra_of(one, other)).reason


def test_a_chassis_that_answers_otherwise_is_no_mass_on_a_spring():
    wheel, _ = CARS["bicycle"].ride(120.0, RATE_HZ, seed=9)
    assert isinstance(body_mode(spectra_of(wheel, -wheel)), Missing)


def test_a_flat_spectrum_has_no_hop():
    frequency = np.arange(801) / 8
    assert "no clear peak" in hop_frequency(frequency, np.ones(801), 80.0).reason


def test_a_log_too_slow_to_hold_a_hop_has_none():
    frequency = np.arange(200) / 8
    assert isinstance(hop_frequency(frequency, np.ones(200), 5.0), Missing)


def test_names_of_bands_are_the_preferred_numbers():
    """IEC 61260-1, nominal mid-band frequencies; from memory."""
    names = "1 1.25 1.6 2 2.5 3.15 4 5 6.3 8 10 12.5 16 20 25 31.5 40 50 63 80"
    assert [name_of(number) for number in bands_between(1.0, 80.0)] == names.split()


def test_a_band_reaches_half_a_step_either_way_and_holds_its_lower_edge_alone():
    """Number 5 at 10 ** 0.5 = 3.1623 Hz: from 10 ** 0.45 = 2.8184 to 10 ** 0.55 = 3.5481 Hz."""
    assert within(np.array([2.8183, 2.8185, 3.548, 3.5482]), 5).tolist() == [False, True, True, False]
    edges = np.array([centre_hz(5) * 10**-0.05, centre_hz(5) * 10**0.05])
    assert within(edges, 5).tolist() == [True, False]


@pytest.mark.parametrize(
    ("lowest_hz", "highest_hz", "first", "last"),
    [(1.2754, 62.29, "1.25", "63"), (1.2757, 62.28, "1.6", "50")],
)
def test_a_bound_takes_in_a_band_whose_centre_lies_a_little_beyond(lowest_hz, highest_hz, first, last):
    """By 1.3 %: true centres are 10 ** 0.1 = 1.2589 and 10 ** 1.8 = 63.096 Hz."""
    found = bands_between(lowest_hz, highest_hz)
    assert (name_of(found[0]), name_of(found[-1])) == (first, last)
    assert centre_hz(15) == pytest.approx(10**1.5)
    assert math.isclose(centre_hz(-3), 0.501187, rel_tol=1e-5)
