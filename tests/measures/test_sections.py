"""Trail sections: shares of riding time and of distance, and between marks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures import (
    RunMotion,
    ridden_distance_m,
    ridden_samples,
    section_stretches,
    sections_at,
    sections_between,
    sections_with_gap,
)
from telemetry.model.ride import GroundSpeed
from tests.measures.made_laps import lap, made_trail
from tests.measures.made_rides import made_motion

RATE_HZ = 250.0
SHARES = np.linspace(0, 1, 21)


def moving(seconds: float) -> np.ndarray:
    return 60 + 25 * np.sin(2 * np.pi * 1.25 * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)


def run(seconds: float = 40.0, speed_m_s: np.ndarray | None = None, gap_after_s: float | None = None) -> RunMotion:
    """Return a run; with a gap its clock stands still for 2 s after that second."""
    travel = moving(seconds)
    cut = None if gap_after_s is None else round(gap_after_s * RATE_HZ)
    segments = None if cut is None else ((0, cut), (cut, travel.shape[0]))
    found = made_motion({"front": travel, "rear": travel}, RATE_HZ, segments=segments)
    ride = found.ride
    if cut is not None:
        ride = replace(ride, time_s=ride.time_s + np.where(np.arange(travel.shape[0]) >= cut, 2.0, 0.0))
    if speed_m_s is not None:
        ride = replace(ride, ground_speed=GroundSpeed(speed_m_s=speed_m_s, source="ground_speed"))
    return replace(found, ride=ride)


def test_shares_of_riding_time_are_equal_to_a_sample() -> None:
    motion = run()
    lengths = [int(motion.time.riding[start:stop].sum()) for start, stop in section_stretches(motion, 20)]
    assert max(lengths) - min(lengths) <= 1
    assert sum(lengths) == motion.time.riding.sum()


def test_shares_of_distance_are_equal_in_metres() -> None:
    speed = np.linspace(2.0, 12.0, round(40 * RATE_HZ))
    passed = ridden_distance_m(run(speed_m_s=speed))
    assert passed is not None
    assert passed[-1] == pytest.approx(40 * 7.0, rel=1e-3)
    ridden = [passed[stop - 1] - (passed[start - 1] if start else 0) for start, stop in sections_at(passed, SHARES)]
    np.testing.assert_allclose(ridden, passed[-1] / 20, atol=2 * 12.0 / RATE_HZ)


def test_distance_finds_the_same_places_on_simulated_laps() -> None:
    """Ridden at another pace: equal shares of riding time are metres off, equal shares of distance aren't."""
    trail = made_trail(3, 300.0)
    first, second = (lap(trail, seed, with_speed=True) for seed in (1, 2))

    def places(one, passed) -> np.ndarray:
        return one.place_m[[start for start, _ in sections_at(passed, SHARES)[1:]]]

    by_time = [places(one, ridden_samples(one.motion)) for one in (first, second)]
    by_distance = [places(one, ridden_distance_m(one.motion)) for one in (first, second)]
    assert np.median(np.abs(by_time[1] - by_time[0])) > 2.0
    assert np.max(np.abs(by_distance[1] - by_distance[0])) < 0.5


def test_a_gap_moves_no_place_behind_it() -> None:
    speed = np.full(round(40 * RATE_HZ), 5.0)
    whole = ridden_distance_m(run(speed_m_s=speed))
    broken = ridden_distance_m(run(speed_m_s=speed, gap_after_s=10.0))
    assert whole is not None
    assert broken is not None
    assert broken[-1] - whole[-1] == pytest.approx(2.0 * 5.0, rel=0.01)


def test_without_a_sensor_there_is_no_distance() -> None:
    assert ridden_distance_m(run()) is None


def test_between_marks_and_nothing_outside() -> None:
    motion = run()
    sections = sections_between(motion, [5.0, 11.2, 30.0])
    assert sections == ((1250, 2800), (2800, 7500))
    assert motion.ride.time_s[1250] == pytest.approx(5.0)


def test_a_gap_breaks_the_section_it_lies_in_and_no_other() -> None:
    motion = run(gap_after_s=10.0)
    assert sections_with_gap(motion, section_stretches(motion, 20)) == {5}
    assert sections_with_gap(motion, sections_between(motion, [2.0, 8.0, 20.0, 30.0])) == {1}
    assert sections_with_gap(motion, sections_between(motion, [15.0, 20.0, 30.0])) == frozenset()


def test_a_section_without_riding_counts_as_broken() -> None:
    motion = run()
    assert sections_with_gap(motion, sections_between(motion, [10.0, 10.001, 20.0])) == frozenset()
    assert sections_with_gap(motion, [(100, 100), (100, 400)]) == {0}
