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


@cache
def made(*, turned: bool) -> tuple[dict[str, CleanedInertial], dict[str, Rotation]]:
    """Return all four sensors cleaned, each in a case of its own where they are turned, and these cases."""
    signals, tables = ride().signals, natural_scenario(2).tables
    assert signals.body is not None
    rng, rate_hz = np.random.default_rng(4), signals.rate_hz / EVERY
    anyhow = Rotation.random(4, random_state=21)
    cases = {name: anyhow[place] if turned else Rotation.identity() for place, name in enumerate(PLACES)}
    read, recipes = {}, []
    for name, (end, on) in PLACES.items():
        own = made_inertial(tables, name)
        passed = low_passed(own, felt(signals.body, own.place), signals.rate_hz)
        logged = type(passed)(
            force_m_s2=cases[name].inv().apply(passed.force_m_s2[::EVERY]),
            rotation_rad_s=cases[name].inv().apply(passed.rotation_rad_s[::EVERY]),
        )
        read |= inertial_readings(own, logged, rate_hz, rng)
        stated = {"acceleration_unit": own.acceleration_unit, "rotation_unit": own.rotation_unit}
        recipes.append(InertialRecipe(sensor=sensor(name=name, end=end, on=on, columns=dict(own.columns), **stated)))
    count = signals.time_s[::EVERY].shape[0]
    log = LoggedRide(name="run_1", rate_hz=rate_hz, segments=((0, count),), column=lambda name: read[str(name)])
    return {found.sensor.name: found for found in clean_inertial(log, tuple(recipes), None)}, cases


@pytest.mark.parametrize("name", PLACES)
def test_every_case_is_turned_to_the_bikes_axes(name: str) -> None:
    found, cases = made(turned=True)
    signal = found[name].signal
    assert signal is not None
    assert signal.mounting.heading_known
    off = np.degrees((Rotation.from_matrix(signal.mounting.to_bike) * cases[name].inv()).magnitude())
    assert off < 3.0


@pytest.mark.parametrize("name", ["chassis_imu", "rear_chassis_imu", "wheel_imu"])
def test_pitch_and_roll_lie_within_the_stated_bound(name: str) -> None:
    """A rear axle turns with its swingarm, too: the simulation's attitude is the frame's."""
    body = ride().signals.body
    signal = made(turned=True)[0][name].signal
    assert body is not None
    assert signal is not None
    pitch, roll = (angle[::EVERY] for angle in body.attitude_rad())
    error = np.degrees(np.hypot(signal.attitude.pitch_rad - pitch, signal.attitude.roll_rad - roll))
    assert np.mean(error <= signal.attitude.within_deg) > 0.9
    assert signal.attitude.within_deg < 4.0


@pytest.mark.parametrize("name", PLACES)
def test_a_case_put_on_anyhow_tells_the_same(name: str) -> None:
    """Within 2 %."""
    turned, straight = (made(turned=turned)[0][name].signal for turned in (True, False))
    assert turned is not None
    assert straight is not None
    for array in ("upward_m_s2", "forward_m_s2"):
        rms = [float(np.std(getattr(signal.attitude, array))) for signal in (turned, straight)]
        assert rms[0] == pytest.approx(rms[1], rel=0.02)
