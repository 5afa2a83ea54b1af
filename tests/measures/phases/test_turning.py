"""Turns on arrays: swing about the vertical, and lean into it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.measures.missing import Missing
from telemetry.measures.phases.slow import SlowClock
from telemetry.measures.phases.turning import Turning, turned, yaw_rate
from tests.measures.phases.made_signals import G_M_S2, chassis
from tests.thresholds import threshold

RATE_HZ, COUNT = 100.0, 2000
YAW_RAD_S = threshold("measures.phases.turning.YAW_RAD_S")
LEAN_RAD = threshold("measures.phases.turning.LEAN_RAD")
TURN_S = threshold("measures.phases.turning.TURN_S")
SURE_DEG = threshold("measures.phases.turning.SURE_WITHIN_DEG")


def steady(value: float, start_s: float = 5.0, stop_s: float = 10.0) -> np.ndarray:
    at_s = np.arange(COUNT) / RATE_HZ
    return np.where((at_s >= start_s) & (at_s < stop_s), value, 0.0)


def turns(yaw: np.ndarray, roll: np.ndarray, **keys: object) -> Turning | Missing:
    signal = chassis(np.zeros(COUNT), yaw_rad_s=yaw, roll_rad=roll, **keys)  # type: ignore[arg-type]
    return turned(SlowClock(RATE_HZ, ((0, COUNT),)), (signal,), np.ones(COUNT, dtype=bool))


def stretches_s(found: Turning | Missing) -> list[tuple[float, float]]:
    assert isinstance(found, Turning)
    return [(start / RATE_HZ, stop / RATE_HZ) for start, stop in found.stretches]


@pytest.mark.parametrize("to_the_left", [True, False])
def test_a_bike_that_leans_into_its_swing_turns(*, to_the_left: bool) -> None:
    """A steady turn at 6 m/s leans by atan(v w / g): left is yaw up and lean down."""
    sign = 1 if to_the_left else -1
    yaw = 0.5
    found = turns(steady(sign * yaw), steady(-sign * np.arctan(6 * yaw / G_M_S2)))
    assert np.allclose(stretches_s(found), [(5.0, 10.0)], atol=0.3)
    assert isinstance(found, Turning)
    assert found.confidence == "high"
    assert stretches_s(turns(steady(sign * yaw), steady(sign * 0.3))) == []


@pytest.mark.parametrize(
    ("yaw_share", "lean_share", "lasts_s", "found"),
    [(1.02, 1.02, 5.0, True), (0.98, 1.02, 5.0, False), (1.02, 0.98, 5.0, False), (3.0, 3.0, 0.2, False)],
)
def test_limits_of_a_turn(yaw_share: float, lean_share: float, lasts_s: float, *, found: bool) -> None:
    yaw, lean = (steady(value, stop_s=5.0 + lasts_s) for value in (yaw_share * YAW_RAD_S, -lean_share * LEAN_RAD))
    assert bool(stretches_s(turns(yaw, lean))) is found


def test_where_roll_is_not_known_the_swing_alone_tells_and_that_is_said() -> None:
    found = turns(steady(0.5), np.zeros(COUNT), within_deg=1.01 * SURE_DEG)
    assert isinstance(found, Turning)
    assert found.confidence == "low"
    assert "yaw rate alone" in found.told_by
    assert len(found.stretches) == 1
    assert isinstance(turns(steady(0.5), np.zeros(COUNT), gyroscope=False), Missing)
    assert isinstance(turns(steady(0.5), np.zeros(COUNT), heading_known=False), Missing)


def test_rotation_about_the_vertical_is_told_at_any_lean_and_pitch() -> None:
    """Against scipy's rotations: the ground's up, seen from a bike pitched and leant."""
    rng = np.random.default_rng(2)
    pitch, roll = rng.uniform(-0.5, 0.5, (2, 50))
    swing = rng.uniform(-1, 1, 50)
    turned_by = Rotation.from_euler("ZYX", np.column_stack([rng.uniform(-3, 3, 50), pitch, roll]))
    rotation = turned_by.inv().apply(np.column_stack([np.zeros(50), np.zeros(50), swing]))
    assert np.allclose(yaw_rate(rotation, pitch, roll), swing)
