"""Braking and accelerating, by ground speed and by a chassis sensor."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.missing import Missing
from telemetry.measures.phases.along import Along, accelerated, braked, forward_acceleration
from telemetry.measures.phases.slow import SlowClock
from telemetry.model.inertial import InertialSignal
from telemetry.model.ride import GroundSpeed, Ride
from tests.measures.bare_rides import bare_end, bare_ride
from tests.measures.phases.made_signals import chassis
from tests.thresholds import threshold

RATE_HZ = 200.0
ALONG_M_S2 = threshold("measures.phases.along.ALONG_M_S2")
ALONG_S = threshold("measures.phases.along.ALONG_S")
WIDEST_DEG = threshold("measures.phases.along.WIDEST_WITHIN_DEG")


def on_blocks(forward_m_s2: np.ndarray) -> Along:
    clock = SlowClock(100.0, ((0, forward_m_s2.shape[0]),))
    return Along(clock=clock, forward_m_s2=forward_m_s2, cutoff_hz=1.5, confidence="high", told_by="made")


@pytest.mark.parametrize(
    ("m_s2", "blocks", "found"),
    [
        (1.001 * ALONG_M_S2, round(100 * ALONG_S), True),
        (0.999 * ALONG_M_S2, 500, False),
        (5.0, round(100 * ALONG_S) - 1, False),
    ],
)
def test_braking_loses_1_m_s2_for_half_a_second(m_s2: float, blocks: int, *, found: bool) -> None:
    forward = np.zeros(1000)
    forward[200 : 200 + blocks] = -m_s2
    every = np.ones(1000, dtype=bool)
    there = ((200, 200 + blocks),) if found else ()
    assert braked(on_blocks(forward), every) == there
    assert accelerated(on_blocks(-forward), every) == there
    assert braked(on_blocks(-forward), every) == accelerated(on_blocks(forward), every) == ()
    assert braked(on_blocks(forward), ~every) == ()


def speed_of(at_s: np.ndarray) -> np.ndarray:
    """Return 8 m/s, from 10 s on 3 m/s2 less for a second, from 20 s on 2 m/s2 more for 1.5 s."""
    return 8.0 - 3.0 * np.clip(at_s - 10, 0, 1) + 2.0 * np.clip(at_s - 20, 0, 1.5)


def ridden(
    ground: GroundSpeed | None = None, signal: InertialSignal | None = None, seconds: float = 30.0, **keys: object
) -> Ride:
    made = bare_ride(bare_end("front", np.full(round(seconds * RATE_HZ), 50.0)), rate_hz=RATE_HZ, **keys)  # type: ignore[arg-type]
    return replace(made, ground_speed=ground, inertial={} if signal is None else {signal.site: signal})


def stretches_s(along: Along | Missing) -> list[tuple[float, float]]:
    assert isinstance(along, Along)
    every = np.ones(along.clock.count, dtype=bool)
    found = [*braked(along, every), *accelerated(along, every)]
    return [(start / RATE_HZ, stop / RATE_HZ) for start, stop in along.clock.in_samples(tuple(found))]


AT_S = np.arange(round(30 * RATE_HZ)) / RATE_HZ


@pytest.mark.parametrize("source", ["ground_speed", "wheel_pulses", "position_fix"])
def test_ground_speed_tells_both(source: str) -> None:
    speed = speed_of(AT_S) + np.random.default_rng(0).normal(0.0, 0.02, AT_S.shape)
    if source == "wheel_pulses":  # a magnet on every second spoke: 14 cm a pulse
        passed = np.floor(np.cumsum(speed_of(AT_S)) / RATE_HZ / 0.14)
        speed = np.diff(passed, prepend=0.0) * 0.14 * RATE_HZ
    along = forward_acceleration(ridden(GroundSpeed(speed_m_s=speed, source=source)))  # type: ignore[arg-type]
    assert isinstance(along, Along)
    assert along.confidence == ("high" if source == "ground_speed" else "low")
    slack = 0.25 if source == "ground_speed" else 0.9
    assert np.allclose(stretches_s(along), [(10.0, 11.0), (20.0, 21.5)], atol=slack)


def test_a_chassis_sensor_tells_both_through_the_shaking_of_the_trail() -> None:
    at_s = AT_S
    forward = np.where((at_s >= 10) & (at_s < 11), -3.0, np.where((at_s >= 20) & (at_s < 21.5), 2.0, 0.0))
    shaken = forward + np.random.default_rng(1).normal(0.0, 3.0, at_s.shape)
    along = forward_acceleration(ridden(signal=chassis(np.zeros(at_s.shape), forward_m_s2=shaken)))
    assert np.allclose(stretches_s(along), [(10.0, 11.0), (20.0, 21.5)], atol=0.25)
    assert isinstance(along, Along)
    assert (along.confidence, along.told_by) == (
        "high",
        "forward acceleration of the front chassis, pitch within 1.0 deg",
    )


@pytest.mark.parametrize(
    ("keys", "reason"),
    [
        ({"heading_known": False}, "which way"),
        ({"gyroscope": False}, "without rotation"),
        ({"within_deg": 1.02 * WIDEST_DEG}, "within 5.1 deg only"),
    ],
)
def test_why_a_chassis_sensor_cannot_tell_braking(keys: dict, reason: str) -> None:
    found = forward_acceleration(ridden(signal=chassis(np.zeros(AT_S.shape), **keys)))
    assert isinstance(found, Missing)
    assert reason in found.reason
    assert isinstance(forward_acceleration(ridden()), Missing)
    doubtful = forward_acceleration(ridden(signal=chassis(np.zeros(AT_S.shape), within_deg=0.99 * WIDEST_DEG)))
    assert isinstance(doubtful, Along)
    assert doubtful.confidence == "low"


def test_the_better_of_two_chassis_sensors_is_gone_by() -> None:
    good, bad = (chassis(np.zeros(AT_S.shape), end=end, within_deg=deg) for end, deg in (("rear", 1.0), ("front", 4.0)))
    made = replace(ridden(), inertial={bad.site: bad, good.site: good})
    found = forward_acceleration(made)
    assert isinstance(found, Along)
    assert "rear chassis" in found.told_by


def test_a_gap_brakes_nothing() -> None:
    """Speed before the gap is 9, behind it 3: nobody knows how it was lost."""
    speed = np.where(AT_S < 15, 9.0, 3.0)
    cut = round(15 * RATE_HZ)
    made = ridden(GroundSpeed(speed_m_s=speed, source="ground_speed"), segments=((0, cut), (cut, AT_S.shape[0])))
    assert stretches_s(forward_acceleration(made)) == []
