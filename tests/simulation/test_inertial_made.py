"""Accelerometer and gyroscope: gravity, bias, misalignment, noise density, full scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.simulation.body import Felt, Place
from telemetry.simulation.inertial_made import MadeInertial, inertial_readings, low_passed
from telemetry.units import STANDARD_GRAVITY_M_S2 as G

AXES = {axis: axis for axis in ("ax", "ay", "az", "gx", "gy", "gz")}
IDEAL = MadeInertial(place=Place(), columns=AXES, acceleration_unit="m/s2", bits=24)
STILL = np.zeros(4)


def read(sensor: MadeInertial, upward: np.ndarray, pitch: np.ndarray, rate_hz: float = 500.0) -> dict[str, np.ndarray]:
    """Return what is read while level, accelerated upward, and pitching, nose down."""
    nothing = np.zeros_like(upward)
    own = Felt(
        force_m_s2=np.column_stack([nothing, nothing, upward + G]),
        rotation_rad_s=np.column_stack([nothing, pitch, nothing]),
    )
    return inertial_readings(sensor, own, rate_hz, np.random.default_rng(3))


def test_at_rest_it_reads_gravity_upwards_and_in_free_fall_nothing() -> None:
    found = read(IDEAL, np.array([0.0, -G, 5.0]), np.array([0.0, 0.0, 0.4]))
    assert np.allclose(found["az"], [G, 0.0, G + 5], atol=1e-4)
    assert np.allclose([found["ax"], found["ay"], found["gx"], found["gz"]], 0.0, atol=1e-3)
    assert np.allclose(found["gy"], [0.0, 0.0, np.degrees(0.4)], atol=1e-3)


def test_in_g_it_reads_one_at_rest() -> None:
    assert np.allclose(read(replace(IDEAL, acceleration_unit="g"), STILL, STILL)["az"], 1.0, atol=1e-5)


def test_other_units_say_the_same() -> None:
    swing = np.linspace(-20.0, 30.0, 7)
    in_g = read(replace(IDEAL, acceleration_unit="g"), swing, STILL[0] + swing)
    small = read(replace(IDEAL, acceleration_unit="milli-g", rotation_unit="rad/s"), swing, STILL[0] + swing)
    assert np.allclose(small["az"], 1000 * in_g["az"])
    assert np.allclose(small["gy"], np.radians(in_g["gy"]))
    counted = replace(IDEAL, acceleration_unit="counts", rotation_unit="counts", bits=16)
    assert counted.counts_per_g == 2048
    assert counted.counts_per_deg_s == pytest.approx(16.384)
    found = read(counted, swing, STILL[0] + swing)
    assert np.array_equal(found["az"], np.rint(found["az"]))
    assert np.allclose(found["az"], 2048 * in_g["az"], atol=0.51)
    assert np.allclose(found["gy"], np.clip(16.384 * in_g["gy"], -32768, 32767), atol=0.51)


def test_its_own_low_pass_takes_half_the_power_at_its_corner() -> None:
    time_s = np.arange(8000) / 4000
    swing = np.sin(2 * np.pi * 100 * time_s)
    own = Felt(force_m_s2=np.outer(swing, [1.0, 1.0, 1.0]), rotation_rad_s=np.outer(swing, [1.0, 1.0, 1.0]))
    passed = low_passed(replace(IDEAL, low_pass_hz=100.0), own, 4000.0)
    for signal in (passed.force_m_s2, passed.rotation_rad_s):
        assert np.var(signal[4000:]) == pytest.approx(0.25, rel=0.01)
    assert low_passed(IDEAL, own, 4000.0) is own


def test_a_turned_case_sees_gravity_along_its_own_axes() -> None:
    a_quarter = read(replace(IDEAL, misalignment_deg=(90.0, 0.0, 0.0)), STILL, STILL + 1)
    assert np.allclose(a_quarter["ay"], G, atol=1e-4)  # turned about x, the case's y points up
    assert np.allclose(a_quarter["gz"], -np.degrees(1.0), atol=1e-3)  # and its z to the right
    nose_down = read(replace(IDEAL, misalignment_deg=(0.0, 10.0, 0.0)), STILL, STILL)
    assert np.allclose(nose_down["ax"], -G * np.sin(np.radians(10)), atol=1e-4)  # its x points below level
    any_way = read(replace(IDEAL, misalignment_deg=(12.0, -33.0, 71.0)), STILL, STILL)
    assert np.allclose(any_way["ax"] ** 2 + any_way["ay"] ** 2 + any_way["az"] ** 2, G**2, rtol=1e-4)


def test_bias_adds_in_the_cases_axes() -> None:
    sensor = replace(IDEAL, acceleration_bias_m_s2=(0.1, -0.2, 0.3), rotation_bias_deg_s=(1.0, 2.0, -3.0))
    found = read(sensor, STILL, STILL)
    assert np.allclose([found[axis][0] for axis in AXES], [0.1, -0.2, G + 0.3, 1.0, 2.0, -3.0], atol=1e-3)


@pytest.mark.parametrize("rate_hz", [200.0, 1000.0])
def test_noise_is_its_density_over_the_band_up_to_half_the_rate(rate_hz: float) -> None:
    sensor = replace(IDEAL, acceleration_noise_m_s2_rthz=0.004, rotation_noise_deg_s_rthz=0.02)
    found = read(sensor, np.zeros(100_000), np.zeros(100_000), rate_hz)
    assert np.std(found["ax"]) == pytest.approx(0.004 * np.sqrt(rate_hz / 2), rel=0.01)
    assert np.std(found["gz"]) == pytest.approx(0.02 * np.sqrt(rate_hz / 2), rel=0.01)


def test_it_reads_whole_steps_and_saturates_at_full_scale() -> None:
    sensor = replace(IDEAL, full_scale_g=16.0, bits=16, acceleration_unit="g")
    found = read(sensor, np.linspace(-400.0, 400.0, 2001), np.zeros(2001))
    step = 32 / 2**16
    assert (found["az"].min(), found["az"].max()) == pytest.approx((-16.0, 16.0 - step))
    assert np.allclose(found["az"] / step, np.rint(found["az"] / step), atol=1e-6)


def test_axes_and_ranges_are_checked() -> None:
    with pytest.raises(ValueError, match="expected ax ay az"):
        replace(IDEAL, columns={"ax": "x", "az": "z"})
    with pytest.raises(ValueError, match=r"misalignment_deg: found .* expected three numbers within 180"):
        replace(IDEAL, misalignment_deg=(0.0, 200.0, 0.0))
    with pytest.raises(ValueError, match=r"full_scale_g: found 0\.5"):
        replace(IDEAL, full_scale_g=0.5)
