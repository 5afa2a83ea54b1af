"""On a simulated natural trail, beside what the simulation knows: mounting, forward, attitude, in any case."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.conditioning.inertial import CleanedInertial, InertialRecipe, LoggedRide, clean_inertial
from telemetry.simulation.body import felt
from telemetry.simulation.inertial_made import inertial_readings, low_passed
from telemetry.simulation.loggers_made import made_inertial
from telemetry.simulation.natural_ride import natural_ride, natural_scenario
from telemetry.simulation.runs_made import MadeRun
from tests.conditioning.inertial.felt import sensor

PLACES = {
    "chassis_imu": ("front", "chassis"),
    "wheel_imu": ("front", "wheel"),
    "rear_chassis_imu": ("rear", "chassis"),
    "rear_wheel_imu": ("rear", "wheel"),
}
EVERY = 20
"""Samples at 4 kHz a row of the log."""


@cache
def ride() -> MadeRun:
    return natural_ride(2, change={"trail": {"natural": {"length_m": 320}}})


CASES = dict(zip(PLACES, Rotation.random(4, random_state=21), strict=True))


@cache
def logged(*, turned: bool) -> tuple[dict[str, np.ndarray], tuple[InertialRecipe, ...]]:
    """Return all four sensors' columns, each in a case of its own where they are turned; and how to clean them."""
    signals, tables = ride().signals, natural_scenario(2).tables
    assert signals.body is not None
    rng = np.random.default_rng(4)
    read, recipes = {}, []
    for name, (end, on) in PLACES.items():
        own, case = made_inertial(tables, name), CASES[name] if turned else Rotation.identity()
        passed = low_passed(own, felt(signals.body, own.place), signals.rate_hz)
        rows = type(passed)(
            force_m_s2=case.inv().apply(passed.force_m_s2[::EVERY]),
            rotation_rad_s=case.inv().apply(passed.rotation_rad_s[::EVERY]),
        )
        read |= inertial_readings(own, rows, signals.rate_hz / EVERY, rng)
        stated = {"acceleration_unit": own.acceleration_unit, "rotation_unit": own.rotation_unit}
        recipes.append(InertialRecipe(sensor=sensor(name=name, end=end, on=on, columns=dict(own.columns), **stated)))
    return read, tuple(recipes)


def clean(read: dict[str, np.ndarray], recipes: tuple[InertialRecipe, ...]) -> dict[str, CleanedInertial]:
    count, rate_hz = next(iter(read.values())).shape[0], ride().signals.rate_hz / EVERY
    log = LoggedRide(name="run_1", rate_hz=rate_hz, segments=((0, count),), column=lambda name: read[str(name)])
    return {found.sensor.name: found for found in clean_inertial(log, recipes, None)}


@cache
def made(*, turned: bool) -> dict[str, CleanedInertial]:
    return clean(*logged(turned=turned))


def reversed_axis(axis: str) -> CleanedInertial:
    """Return the sensor above the front axle, one of its columns turned round."""
    read, (recipe, *_) = logged(turned=False)
    column = str(recipe.sensor.columns[axis])
    return clean(read | {column: -read[column]}, (recipe,))["chassis_imu"]


@pytest.mark.parametrize("axis", ["gx", "gy", "gz"])
def test_a_rotation_reversed_loses_gravity(axis: str) -> None:
    found = reversed_axis(axis)
    (told,) = [item for item in found.findings if item.code == "odd_rotation"]
    assert (
        "the gyroscope of the front chassis's inertial sensor 'chassis_imu' loses gravity's direction" in told.message
    )
    assert found.signal is not None
    assert found.signal.rotation_rad_s is None


@pytest.mark.parametrize("axis", ["ax", "az"])
def test_an_acceleration_reversed_puts_forward_elsewhere(axis: str) -> None:
    found = reversed_axis(axis)
    (told,) = [item for item in found.findings if item.code == "axes_disagree"]
    assert "degrees elsewhere as it pitches than as it brakes and drives (the same is expected)" in told.message
    assert found.signal is not None
    assert not found.signal.mounting.heading_known


def test_a_lateral_acceleration_reversed_swings_the_wrong_way() -> None:
    found = reversed_axis("ay")
    (told,) = [item for item in found.findings if item.code == "axes_disagree"]
    assert "the front swings to the other side than it begins to turn to (to the same is expected)" in told.message
    assert found.signal is not None
    assert not found.signal.mounting.heading_known


@pytest.mark.parametrize("name", PLACES)
def test_every_case_is_turned_to_the_bikes_axes(name: str) -> None:
    signal = made(turned=True)[name].signal
    assert signal is not None
    assert signal.mounting.heading_known
    assert {item.code for item in made(turned=True)[name].findings} <= {"sits_askew", "over_range"}
    off = np.degrees((Rotation.from_matrix(signal.mounting.to_bike) * CASES[name].inv()).magnitude())
    assert off < 3.0


@pytest.mark.parametrize("name", ["chassis_imu", "rear_chassis_imu", "wheel_imu"])
def test_pitch_and_roll_lie_within_the_stated_bound(name: str) -> None:
    """A rear axle turns with its swingarm, too: the simulation's attitude is the frame's."""
    body = ride().signals.body
    signal = made(turned=True)[name].signal
    assert body is not None
    assert signal is not None
    pitch, roll = (angle[::EVERY] for angle in body.attitude_rad())
    error = np.degrees(np.hypot(signal.attitude.pitch_rad - pitch, signal.attitude.roll_rad - roll))
    assert np.mean(error <= signal.attitude.within_deg) > 0.9
    assert signal.attitude.within_deg < 4.0


@pytest.mark.parametrize("name", PLACES)
def test_a_case_put_on_anyhow_tells_the_same(name: str) -> None:
    """Within 2 %."""
    turned, straight = (made(turned=turned)[name].signal for turned in (True, False))
    assert turned is not None
    assert straight is not None
    for array in ("upward_m_s2", "forward_m_s2"):
        rms = [float(np.std(getattr(signal.attitude, array))) for signal in (turned, straight)]
        assert rms[0] == pytest.approx(rms[1], rel=0.02)
