"""Forces along the ground told from the bike's lean, and one rider of a day's rides, on arrays."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.measures.force import Rider, common_rider
from telemetry.measures.force.along import along_the_ground, leaning, levelled
from telemetry.measures.force.chassis import Follower
from telemetry.measures.force.search import Found
from telemetry.measures.view import RunMotion
from telemetry.model.motion import Pushes
from tests.measures.bare_rides import bare_end, bare_ride, riding_time

RATE_HZ = 100.0
TIME_S = np.arange(6000) / RATE_HZ
DIVING = 0.03 * np.sin(2 * np.pi * 0.02 * TIME_S)
"""rad, nose down: as slow as brakes held on a descent."""
SLOPE = -0.2 * np.sin(2 * np.pi * 0.015 * TIME_S)
BOBBING = 0.02 * np.sin(2 * np.pi * 2.0 * TIME_S)


def diving_run() -> RunMotion:
    """Return a run whose fork goes down and comes up as its chassis leans, over a trail of other slopes."""
    deeper_mm = 1e3 * 1.25 / 0.9 * (DIVING + BOBBING)
    ends = (bare_end("front", 60 + deeper_mm, full_mm=170), bare_end("rear", np.full(TIME_S.shape, 50.0), full_mm=165))
    riding = np.ones(TIME_S.shape, dtype=bool)
    ride = bare_ride(*ends, rate_hz=RATE_HZ)
    return RunMotion(ride=ride, time=riding_time(riding, RATE_HZ), pushes=Pushes(), ends={})


def test_lean_against_the_ground_is_not_the_slope() -> None:
    found = leaning(diving_run(), DIVING + BOBBING - SLOPE)
    inner = slice(1000, -1000)
    assert found[inner] == pytest.approx((DIVING + BOBBING)[inner], abs=0.005)


def test_braking_and_driving_are_told_apart_and_together_are_the_force_along_the_ground() -> None:
    true = 3.0 * np.sin(2 * np.pi * 0.05 * TIME_S)
    lean = DIVING + BOBBING
    upward = 9.81 * np.ones(TIME_S.shape)
    driven, braked = along_the_ground(diving_run(), true - upward * lean, upward, lean)
    assert driven + braked == pytest.approx(true)
    assert np.all(np.abs(braked[true > 2.0]) < 0.05)
    assert np.all(np.abs(driven[true < -2.0]) < 0.05)


def test_what_pitching_adds_to_a_sensor_high_up_is_taken_out() -> None:
    pitch_rate = np.random.default_rng(2).normal(0, 1.0, TIME_S.shape)
    braking = np.sin(2 * np.pi * 0.3 * TIME_S)
    high = braking + 0.3 * np.gradient(pitch_rate) * RATE_HZ
    assert levelled(diving_run(), high, pitch_rate) == pytest.approx(braking, abs=0.5)  # of 20 m/s2 rms
    assert levelled(diving_run(), braking, np.zeros(TIME_S.shape)) == pytest.approx(braking)


def seen(hz: float | None, damping: float = 0.6) -> Found:
    follower = None if hz is None else Follower(hz=hz, damping=damping)
    return Found(lag_s=0.001, follower=follower, explained=0.97)


def test_one_rider_is_the_middle_of_what_rides_and_ends_show() -> None:
    assert common_rider([seen(1.6, 0.5), seen(None), seen(1.8, 0.9), seen(3.9, 0.7)]) == Rider(
        body=Follower(hz=1.8, damping=0.7)
    )
    assert common_rider([seen(None), seen(1.8), seen(None)]) == Rider(body=None)
    assert common_rider([]) is None
