"""How much fast shaking the chassis takes over from its wheel: by arithmetic, and on quarter cars in closed form."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.inertial.catalogue import MEASURES
from telemetry.measures.inertial.view import inertial_view
from telemetry.measures.missing import Missing, Outcome
from tests.measures.inertial.quarter_cars import QuarterCar
from tests.measures.inertial.test_run_measures import run_of
from tests.measures.inertial_rides import inertial
from tests.thresholds import threshold

RATE_HZ = 500.0
BICYCLE = QuarterCar.of(body_hz=2.2, damping=0.3, hop_hz=24.0, mass_ratio=0.09)
MOTORCYCLE = QuarterCar.of(body_hz=1.6, damping=0.3, hop_hz=12.0, mass_ratio=0.18)


def passed_on(wheel: np.ndarray, chassis: np.ndarray, rate_hz: float = RATE_HZ) -> Outcome:
    run = run_of(inertial(wheel, on="wheel"), inertial(chassis), rate_hz=rate_hz)
    return MEASURES["fast_shaking_passed_on"](inertial_view(run, "front"))


def test_it_is_the_share_of_what_is_fast_and_of_nothing_slow() -> None:
    turns = 2 * np.pi * np.arange(round(30 * RATE_HZ)) / RATE_HZ
    wheel = 10 * np.sin(40 * turns) + 30 * np.sin(3 * turns)
    chassis = 3 * np.sin(40 * turns + 1) - 20 * np.sin(3 * turns)
    assert passed_on(wheel, chassis) == pytest.approx(0.3, rel=0.03)
    assert passed_on(2 * wheel, 2 * chassis) == pytest.approx(passed_on(wheel, chassis))


@pytest.mark.parametrize("car", [BICYCLE, MOTORCYCLE])
def test_on_a_quarter_car_it_is_the_closed_form_and_goes_with_the_damper(car: QuarterCar) -> None:
    """|H| of (c s + k)/(s2 + c s + k), over the wheel's own power through the filters: Butterworth's gain, twice."""
    told = []
    for own in (car, replace(car, damper=0.85 * car.damper)):
        wheel, chassis = own.ride(120.0, RATE_HZ, seed=4)
        hertz, power = np.fft.rfftfreq(wheel.size, 1 / RATE_HZ)[1:], np.abs(np.fft.rfft(wheel))[1:] ** 2
        filtered = [1 / (1 + (np.sqrt(2) - 1) * ratio**4) for ratio in (16 / hertz, 1 / hertz, hertz / 80)]
        passed, found = np.abs(own.wheel_to_chassis(hertz)) ** 2, passed_on(wheel, chassis)
        assert isinstance(found, float)
        assert found == pytest.approx(np.sqrt(np.average(passed, weights=power * np.prod(filtered, 0) ** 2)), rel=0.02)
        told.append(found)
    assert told[1] / told[0] == pytest.approx(0.875, abs=0.02)


def test_a_log_that_holds_no_octave_of_it_says_so() -> None:
    least = threshold("measures.inertial.control.FAST_HELD_HZ") / threshold("measures.inertial.band.HELD_SHARE")
    shaking = np.random.default_rng(1).normal(size=4_000)
    assert passed_on(shaking, shaking, least) == pytest.approx(1)
    short = passed_on(shaking, shaking, least - 1)
    assert isinstance(short, Missing)
    assert short.reason == "79 rows a second hold shaking up to 32 Hz, 32 Hz needed"


def test_a_wheel_that_isnt_shaken_passes_nothing_on() -> None:
    none = np.zeros(4_000)
    found = passed_on(none, none)
    assert isinstance(found, Missing)
    assert found.reason == "the wheel isn't shaken"
