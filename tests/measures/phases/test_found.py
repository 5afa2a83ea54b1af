"""All phases of one ride together: which are found, which are absent and why, and that they don't overlap."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.motion import find_motion
from telemetry.measures.phases.found import find_phases, tells_phases
from telemetry.measures.view import RunMotion
from telemetry.model.phase import PHASES, Phases
from telemetry.model.ride import GroundSpeed
from tests.measures.bare_rides import bare_end, bare_ride
from tests.measures.phases.made_signals import G_M_S2, chassis

RATE_HZ = 200.0
AT_S = np.arange(round(80 * RATE_HZ)) / RATE_HZ


def inside(start_s: float, stop_s: float) -> np.ndarray:
    first, last = np.searchsorted(AT_S, (start_s, stop_s))
    return (np.arange(AT_S.shape[0]) >= first) & (np.arange(AT_S.shape[0]) < last)


def felt() -> tuple[np.ndarray, np.ndarray]:
    """Return upward and forward acceleration: a jump at 10 s, braked at 20 s, pedalled at 30 s, off again at 60 s."""
    up, forward = np.random.default_rng(8).normal(0.0, 0.2, (2, AT_S.shape[0]))
    up[inside(10.0, 10.5)] = -G_M_S2
    up[inside(10.5, 10.9)] += 0.5 / 0.4 * G_M_S2
    forward[inside(20, 23)] -= 3.0
    forward += np.where(inside(30, 50), 0.7 * np.sin(2 * np.pi * 2.4 * AT_S), 0.0)
    forward[inside(60, 62)] += 2.0
    return up, forward


def rode(*, acceleration: bool = True, ground: bool = False, **keys: object) -> RunMotion:
    travel = 50 + 5 * np.sin(2 * np.pi * 1.1 * AT_S)
    made = bare_ride(bare_end("front", travel), bare_end("rear", travel), rate_hz=RATE_HZ, **keys)  # type: ignore[arg-type]
    if acceleration:
        up, forward = felt()
        signal = chassis(up, forward_m_s2=forward)
        made = replace(made, inertial={signal.site: signal})
    if ground:
        speed = 7 - 3.0 * np.clip(AT_S - 20, 0, 1)
        made = replace(made, ground_speed=GroundSpeed(speed_m_s=speed, source="ground_speed"))
    return find_motion(made)


def seconds(found: Phases) -> dict[str, float]:
    return {name: phase.seconds(RATE_HZ) for name, phase in found.found.items()}


def test_every_phase_of_a_ride_is_found_and_no_two_but_turns_overlap() -> None:
    run = rode()
    found = find_phases(run).phases
    assert set(found.found) == set(PHASES)
    assert found.absent == {}
    lasted = seconds(found)
    assert lasted["airborne"] == pytest.approx(0.5, abs=0.011)
    assert lasted["landing"] == pytest.approx(0.4, abs=0.1)
    assert lasted["braking"] == pytest.approx(3.0, abs=0.4)
    assert lasted["accelerating"] == pytest.approx(2.0, abs=0.4)
    assert lasted["pedalling"] == pytest.approx(20.0, abs=2.0)
    assert lasted["turning"] == 0
    assert sum(lasted.values()) == pytest.approx(80.0, abs=0.01)
    (landing,) = found.landings
    assert landing.start == pytest.approx(10.5 * RATE_HZ, abs=1)
    assert landing.impulse_m_s == pytest.approx(0.5 * G_M_S2, rel=0.05)


def test_a_landing_is_what_both_chassis_sensors_feel_on_average() -> None:
    """The front touches first: what throws one end up and the other down is no part of the landing's force."""
    run = rode()
    up, forward = felt()
    thrown = np.where(inside(10.5, 10.6), 20.0, 0.0)
    sensors = [
        chassis(up + sign * thrown, forward_m_s2=forward, end=end) for end, sign in (("front", 1.0), ("rear", -1.0))
    ]
    both = replace(run.ride, inertial={signal.site: signal for signal in sensors})
    (one,), (landing,) = find_phases(run).phases.landings, find_phases(find_motion(both)).phases.landings
    assert landing.peak_m_s2 == pytest.approx(one.peak_m_s2, rel=0.02)
    assert landing.impulse_m_s == pytest.approx(one.impulse_m_s, rel=0.02)


def test_ground_speed_alone_tells_braking_and_a_coasting_that_may_be_pedalled() -> None:
    run = rode(acceleration=False, ground=True)
    found = find_phases(run).phases
    assert set(found.found) == {"airborne", "braking", "accelerating", "coasting"}
    assert found.found["airborne"].confidence == "low"
    assert found.found["coasting"].confidence == "low"
    assert "pedalling can't be told" in found.found["coasting"].told_by
    assert set(found.absent) == {"landing", "turning", "pedalling"}
    assert all(found.absent.values())
    assert tells_phases(run.ride)


def test_without_either_sensor_nothing_is_told_but_what_legs_show() -> None:
    run = rode(acceleration=False)
    found = find_phases(run).phases
    assert set(found.found) == {"airborne"}
    assert found.absent["coasting"] == found.absent["braking"]
    assert not tells_phases(run.ride)


def test_phases_are_riding_time_and_end_at_gaps() -> None:
    cut = round(21.5 * RATE_HZ)
    run = rode(segments=((0, cut), (cut, AT_S.shape[0])), bounds_s=(5.0, 40.0))
    found = find_phases(run).phases
    for phase in found.found.values():
        for start, stop in phase.stretches:
            assert run.time.riding[start:stop].all()
            assert not start < cut < stop
    assert len(found.found["braking"].stretches) == 2
