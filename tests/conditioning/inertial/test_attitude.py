"""Pitch, roll, acceleration along the ground: against motion in closed form, and another library's filter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from ahrs.filters import Madgwick
from scipy.spatial.transform import Rotation

from tests.conditioning.inertial.felt import G, Motion, cleaned, columns, sensor

RATE_HZ = 200.0


def ridden(seconds: float = 80.0) -> Motion:
    """Return a ride between two stands of 5 s: slopes of 8 degrees, leans of 20, bumps, brakes of 0.4 g."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    riding = np.clip(np.minimum(time_s - 5.0, seconds - 5.0 - time_s), 0.0, 1.0)
    riding = riding**2 * (3 - 2 * riding)
    braking = sum(np.exp(-(((time_s - at) / 0.8) ** 2)) for at in (22.0, 41.0, 60.0))
    rolling = sum(np.exp(-(((time_s - at) / 3.2) ** 2)) for at in (14.0, 32.0, 51.0))
    return Motion(
        rate_hz=RATE_HZ,
        upward=riding * 3.0 * np.sin(2 * np.pi * 4.1 * time_s),
        forward=4.0 * (rolling / 4.0 - braking),
        pitch=riding * np.radians(8.0) * np.sin(2 * np.pi * 0.13 * time_s),
        roll=riding * np.radians(20.0) * np.sin(2 * np.pi * 0.21 * time_s),
    )


RIDE = ridden()


def test_slopes_and_leans_are_told_through_brakes_and_bumps() -> None:
    signal = cleaned(columns(RIDE, bias_rad_s=(0.01, -0.02, 0.015))).signal
    assert signal is not None
    found = signal.attitude
    error = np.degrees(np.maximum(abs(found.pitch_rad - RIDE.pitch), abs(found.roll_rad - RIDE.roll)))
    assert np.percentile(error, 95) < 1.5
    assert np.mean(error <= found.within_deg) > 0.9
    assert found.within_deg < 4.0
    assert np.std(found.upward_m_s2 - RIDE.upward) < 0.1


def test_at_rest_nothing_accelerates() -> None:
    signal = cleaned(columns(RIDE)).signal
    assert signal is not None
    assert abs(signal.attitude.upward_m_s2[:600].mean()) < 5e-3
    assert abs(signal.attitude.forward_m_s2[:600].mean()) < 5e-3


def test_the_same_as_another_librarys_filter() -> None:
    """ahrs's Madgwick filter: a gradient step in place of a cross product, at every sample; without brakes, for that
    one takes directions for what they are, however long or short."""
    read = columns(replace(RIDE, forward=0.0 * RIDE.forward))
    force = np.column_stack([read[axis] for axis in ("ax", "ay", "az")])
    turning = np.column_stack([read[axis] for axis in ("gx", "gy", "gz")])
    there = Madgwick(gyr=turning, acc=force, frequency=RATE_HZ, gain_imu=0.01, q0=np.array([1.0, 0.0, 0.0, 0.0])).Q
    up = Rotation.from_quat(there, scalar_first=True).inv().apply([0.0, 0.0, 1.0])
    signal = cleaned(read).signal
    assert signal is not None
    apart = np.degrees(np.abs(signal.attitude.pitch_rad + np.arcsin(up[:, 0])))
    assert np.percentile(apart, 95) < 1.0


def test_a_pitch_of_known_size_in_closed_form() -> None:
    """Turned about y by a sine and nothing else: gravity and gyroscope agree, so no correction can spoil it."""
    time_s = np.arange(6000) / RATE_HZ
    none = np.zeros(6000)
    pitch = np.radians(12.0) * np.sin(2 * np.pi * 0.7 * time_s)
    motion = Motion(rate_hz=RATE_HZ, upward=none, forward=none, pitch=pitch, roll=none)
    signal = cleaned(columns(motion, noise_m_s2=0.0)).signal
    assert signal is not None
    assert np.degrees(np.abs(signal.attitude.pitch_rad - pitch).max()) < 0.6
    assert np.abs(signal.attitude.upward_m_s2).max() < 0.06


def test_an_axle_that_falls_faster_than_freely_is_no_axle_upside_down() -> None:
    """Hits of 6 g either way while it pitches with them: directions of what is felt say nothing, its mean does."""
    count = 12_000
    time_s = np.arange(count) / RATE_HZ
    riding = (time_s > 4.0) & (time_s < 56.0)
    hits = np.where(riding, 60.0 * np.sin(2 * np.pi * 9.0 * time_s), 0.0)
    pitch = np.where(riding, np.radians(3.0) * np.sin(2 * np.pi * 9.0 * time_s - 0.8), 0.0)
    none = np.zeros(count)
    motion = Motion(rate_hz=RATE_HZ, upward=hits, forward=none, pitch=pitch, roll=none)
    signal = cleaned(columns(motion)).signal
    assert signal is not None
    slow = np.convolve(signal.attitude.pitch_rad - pitch, np.ones(200) / 200, "same")[400:-400]
    assert np.degrees(np.abs(slow).max()) < 1.0


def test_without_a_gyroscope_slow_slopes_are_told_within_a_wider_bound() -> None:
    signal = cleaned(columns(RIDE), sensor(gyroscope=False)).signal
    assert signal is not None
    assert signal.rotation_rad_s is None
    error = np.degrees(np.abs(signal.attitude.pitch_rad - RIDE.pitch))
    assert np.mean(error <= signal.attitude.within_deg) > 0.9
    assert signal.attitude.within_deg >= 30.0


@pytest.mark.parametrize("turn", [[30, 0, 0], [0, 30, 0], [0, 0, 30], [-30, 20, 10], [180, 0, 0], [90, 0, 40]])
def test_a_tilted_case_tells_the_same(turn: list[float]) -> None:
    straight = cleaned(columns(RIDE)).signal
    tilted = cleaned(columns(RIDE, Rotation.from_euler("xyz", turn, degrees=True))).signal
    assert straight is not None
    assert tilted is not None
    assert np.std(tilted.attitude.upward_m_s2) == pytest.approx(np.std(straight.attitude.upward_m_s2), rel=0.02)
    assert np.std(tilted.attitude.upward_m_s2 - straight.attitude.upward_m_s2) < 0.06
    force = np.linalg.norm(tilted.specific_force_m_s2, axis=1)
    assert np.std(force) == pytest.approx(np.std(np.linalg.norm(straight.specific_force_m_s2, axis=1)), rel=0.02)
    assert tilted.specific_force_m_s2[:600].mean(axis=0) == pytest.approx([0, 0, G], abs=0.01)
