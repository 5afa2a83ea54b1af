"""Pedalling on arrays: surge twice a turn of the cranks, told from bumps."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.measures.missing import Missing
from telemetry.measures.phases.pedalling import Pedalled, pedalled, turn_lengths_s
from telemetry.measures.phases.slow import SlowClock
from tests.measures.phases.made_signals import chassis
from tests.thresholds import threshold

RATE_HZ, COUNT = 100.0, 6000
AT_S = np.arange(COUNT) / RATE_HZ
SURGE = threshold("measures.phases.pedalling.LEAST_SURGE_M_S2")
TIMES = threshold("measures.phases.pedalling.SHAKEN_TIMES")
LOSES = threshold("measures.phases.pedalling.LOSES_M_S2")


def pushes(cadence_hz: float, rms_m_s2: float = 0.5) -> np.ndarray:
    """Return what two legs do along: a sine twice a turn, the left a little stronger."""
    turn = 2 * np.pi * cadence_hz * AT_S
    return rms_m_s2 * np.sqrt(2) * (np.sin(2 * turn) + 0.15 * np.sin(turn))


def found_in(
    forward: np.ndarray,
    upward: np.ndarray | None = None,
    rear_mm: np.ndarray | None = None,
    noise: float = 0.2,
    **keys: object,
) -> Pedalled | Missing:
    rng = np.random.default_rng(5)
    up = rng.normal(0.0, 0.3, COUNT) if upward is None else upward
    signal = chassis(up, forward_m_s2=forward + rng.normal(0.0, noise, COUNT), **keys)  # type: ignore[arg-type]
    return pedalled(SlowClock(RATE_HZ, ((0, COUNT),)), (signal,), rear_mm, np.ones(COUNT, dtype=bool))


def seconds(found: Pedalled | Missing) -> float:
    assert isinstance(found, Pedalled)
    return sum(stop - start for start, stop in found.stretches) / RATE_HZ


@pytest.mark.parametrize("cadence_hz", [0.75, 1.0, 1.3, 1.6, 1.9])
def test_cranks_are_told_with_their_turns(cadence_hz: float) -> None:
    inside = (AT_S >= 20) & (AT_S < 40)
    found = found_in(np.where(inside, pushes(cadence_hz), 0.0))
    assert isinstance(found, Pedalled)
    assert seconds(found) == pytest.approx(20.0, abs=4.0)
    assert all(start >= 1900 and stop <= 4100 for start, stop in found.stretches)
    assert np.median(found.turn_s) == pytest.approx(1 / cadence_hz, rel=0.03)


def test_rear_travel_that_moves_along_gives_high_confidence() -> None:
    bob = 30 + 4 * np.sin(2 * np.pi * 2.4 * AT_S)
    high, low = found_in(pushes(1.2), rear_mm=bob), found_in(pushes(1.2), rear_mm=np.full(COUNT, 30.0))
    assert isinstance(high, Pedalled)
    assert isinstance(low, Pedalled)
    assert (high.confidence, low.confidence) == ("high", "low")


def test_bumps_at_a_crank_s_frequency_are_no_pedalling() -> None:
    """Braking bumps 3 m apart at 7 m/s: 2.3 Hz along, and far more up and down."""
    surge = pushes(1.17, 0.5)
    for times, told in ((0.95 * TIMES, True), (1.1 * TIMES, False), (6.0, False)):
        shaken = times * 0.5 * np.sqrt(2) * np.sin(2 * np.pi * 2.34 * AT_S)
        assert bool(seconds(found_in(surge, upward=shaken, noise=0.0))) is told


@pytest.mark.parametrize(("share", "told"), [(1.15, True), (0.85, False)])
def test_a_surge_too_faint_is_none(share: float, *, told: bool) -> None:
    assert bool(seconds(found_in(pushes(1.2, share * SURGE), noise=0.02))) is told


@pytest.mark.parametrize(("share", "told"), [(0.9, True), (1.3, False)])
def test_who_loses_speed_does_not_pedal(share: float, *, told: bool) -> None:
    assert bool(seconds(found_in(pushes(1.2) - share * LOSES))) is told


def test_a_burst_of_two_seconds_is_found_within_a_window_of_its_ends() -> None:
    found = found_in(np.where((AT_S >= 20) & (AT_S < 22.2), pushes(1.3), 0.0))
    assert isinstance(found, Pedalled)
    ((start, stop),) = found.stretches
    assert seconds(found) >= 1.7
    assert start >= 2000 - 150
    assert stop <= 2220 + 150


def test_of_two_sensors_the_mean_is_looked_at() -> None:
    """The bike pitches: what throws the front forward throws the rear back, and hides the surge from each."""
    pitching = np.random.default_rng(2).normal(0.0, 3.0, COUNT)
    clock, counts = SlowClock(RATE_HZ, ((0, COUNT),)), np.ones(COUNT, dtype=bool)
    both = tuple(
        chassis(np.zeros(COUNT), forward_m_s2=pushes(1.2) + sign * pitching, end=end)
        for end, sign in (("front", 1.0), ("rear", -1.0))
    )
    assert seconds(pedalled(clock, both, None, counts)) > 55
    assert seconds(pedalled(clock, both[:1], None, counts)) < 10


def test_noise_and_a_few_strokes_hardly_count() -> None:
    assert seconds(found_in(np.zeros(COUNT), noise=1.0)) == 0
    brief = np.where((AT_S >= 20) & (AT_S < 21.0), pushes(1.2, 1.0), 0.0)
    assert seconds(found_in(brief, noise=0.4)) <= 2
    changing = np.sin(2 * np.pi * np.cumsum(1.5 + 1.2 * np.sin(2 * np.pi * AT_S / 7)) / RATE_HZ)
    assert seconds(found_in(changing)) <= 30  # where it hardly changes: about its fastest, 1.35 turns a second


def test_one_push_is_half_a_turn() -> None:
    wave = np.sin(2 * np.pi * np.arange(200) / 100.0 * 2.2)[None]
    turn_s, alike = turn_lengths_s(wave, 100.0)
    assert turn_s[0] == pytest.approx(1 / 1.1, abs=0.02)
    assert alike[0] > 0.95
    turn_s, alike = turn_lengths_s(np.zeros((1, 200)), 100.0)
    assert np.isnan(turn_s[0])
    assert alike[0] == 0


def test_without_a_known_direction_it_is_absent() -> None:
    assert isinstance(found_in(pushes(1.2), heading_known=False), Missing)
