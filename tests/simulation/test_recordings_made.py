"""Recordings given by levels: what is still is still, and three pushes are what the product's rule asks for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import welch

from telemetry.conditioning.smoothing import lowpass
from telemetry.conditioning.speed import still_mask
from telemetry.simulation.pushes import ThreePushes, push_share, pushed, with_pushes
from telemetry.simulation.recordings import Levels, held, tremor
from tests.simulation.made_signals import RATE_HZ, swinging

LIFTED = Levels(fork_travel_mm=0.0, shock_stroke_mm=0.0)
SAG = Levels(fork_travel_mm=42.0, shock_stroke_mm=18.0)
FULL = Levels(fork_travel_mm=170.0, shock_stroke_mm=62.5)
PUSHES = ThreePushes()


def rng() -> np.random.Generator:
    return np.random.default_rng(2)


def speed(travel_mm: np.ndarray) -> np.ndarray:
    return np.gradient(lowpass(travel_mm[::10], 500.0, 60.0)) * 500.0


def test_tremor_has_its_deviation_and_its_band() -> None:
    shaken = tremor(1_000_000, 1000.0, 0.05, rng())
    assert shaken.std() == pytest.approx(0.05, rel=0.03)
    frequency, power = welch(shaken, fs=1000.0, nperseg=8192)
    inside = (frequency > 0.5) & (frequency < 16)
    assert power[inside].sum() > 0.95 * power.sum()


def test_a_held_bike_is_still_at_its_levels() -> None:
    signals = held(SAG, 20.0, RATE_HZ, rng())
    assert signals.time_s[-1] == pytest.approx(20.0)
    assert signals.fork_travel_mm.mean() == pytest.approx(42.0, abs=0.02)
    assert signals.shock_stroke_mm.mean() == pytest.approx(18.0, abs=0.02)
    assert 0.015 < signals.fork_travel_mm.std() < 0.06
    assert abs(np.corrcoef(signals.fork_travel_mm, signals.shock_stroke_mm)[0, 1]) < 0.3
    assert still_mask(speed(signals.fork_travel_mm), 500.0, 60.0).all()
    assert signals.ground_speed_m_s is not None
    assert not signals.ground_speed_m_s.any()


def test_a_lifted_bike_is_topped_out_and_no_further() -> None:
    signals = held(LIFTED, 5.0, RATE_HZ, rng())
    for travel in (signals.fork_travel_mm, signals.shock_stroke_mm):
        assert travel.min() == 0.0
        assert travel.max() < 0.3


def test_a_wheel_that_hangs_in_its_top_out_spring_is_recorded_beyond_zero() -> None:
    signals = held(Levels(fork_travel_mm=0.4, shock_stroke_mm=-0.6), 5.0, RATE_HZ, rng())
    assert signals.fork_travel_mm.mean() == pytest.approx(0.4, abs=0.02)
    assert signals.shock_stroke_mm.min() == -0.6
    assert signals.shock_stroke_mm.mean() == pytest.approx(-0.6, abs=0.05)


def test_without_tremor_nothing_moves() -> None:
    signals = held(SAG, 2.0, RATE_HZ, rng(), tremor_mm=0.0)
    assert np.all(signals.fork_travel_mm == 42.0)


def test_three_hits_are_raised_cosines_between_standing_and_still() -> None:
    share = push_share(PUSHES, 1000.0)
    assert share.shape == (round(PUSHES.lasts_s * 1000),)
    assert not share[:1200].any()
    assert not share[-700:].any()
    assert share.max() == pytest.approx(1.0)
    hit = (1 - np.cos(2 * np.pi * np.arange(500) / 500)) / 2
    for start in (1200, 2000, 2800):
        assert np.allclose(share[start : start + 500], hit, atol=1e-9)
    assert share.sum() == pytest.approx(3 * 250, rel=1e-6)  # three hits of mean one half over 0.5 s, nothing else


def hits(travel_mm: np.ndarray, gate_mm: float) -> list[tuple[int, int]]:
    above = travel_mm > gate_mm
    edges = np.flatnonzero(np.diff(above.astype(int)))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def test_pushes_meet_the_rule_at_both_ends_of_a_run() -> None:
    run = swinging(20.0)
    made = pushed(run, SAG, FULL, PUSHES)
    signals = made.signals
    before = PUSHES.samples(RATE_HZ)
    count = run.time_s.shape[0]
    assert made.run_starts_s == pytest.approx(before / RATE_HZ)
    assert made.run_ends_s == pytest.approx(before / RATE_HZ + 20.0)
    inside = slice(before, before + count)
    assert np.array_equal(signals.fork_travel_mm[inside], run.fork_travel_mm)
    assert np.array_equal(signals.shock_stroke_mm[inside], run.shock_stroke_mm)
    length = round(PUSHES.lasts_s * RATE_HZ)
    for part in (slice(0, length), slice(-length, None)):
        fork, shock = signals.fork_travel_mm[part], signals.shock_stroke_mm[part]
        assert fork.max() == pytest.approx(42 + 0.3 * 170, abs=1e-3)
        assert shock.max() == pytest.approx(18 + 0.3 * 62.5, abs=1e-3)
        front, rear = hits(fork, 42 + 17.0), hits(shock, 18 + 6.25)  # ten per cent of full
        assert len(front) == len(rear) == 3
        assert all(max(a[0], b[0]) < min(a[1], b[1]) for a, b in zip(front, rear, strict=True))
        assert (max(front[-1][1], rear[-1][1]) - min(front[0][0], rear[0][0])) / RATE_HZ < 3.0
        assert np.all(fork[: round(1.2 * RATE_HZ)] == 42.0)
        assert np.all(shock[-round(0.7 * RATE_HZ) + 1 :] == 18.0)


def test_nothing_jumps_where_pushes_and_run_meet() -> None:
    run = swinging(5.0)
    made = pushed(run, SAG, FULL, PUSHES).signals
    fastest = np.abs(np.diff(run.fork_travel_mm)).max()
    assert np.abs(np.diff(made.fork_travel_mm)).max() <= fastest * 1.001
    assert made.time_s[0] == run.time_s[0]
    assert np.ptp(np.diff(made.time_s)) < 1e-9


def test_speed_is_nothing_outside_the_run() -> None:
    run = swinging(5.0)
    made = pushed(run, SAG, FULL, PUSHES).signals
    before = PUSHES.samples(RATE_HZ)
    assert made.ground_speed_m_s is not None
    assert run.ground_speed_m_s is not None
    assert not made.ground_speed_m_s[:before].any()
    assert not made.ground_speed_m_s[-before:].any()
    assert np.array_equal(made.ground_speed_m_s[before:-before], run.ground_speed_m_s)


def test_pushes_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="three pushes: found 130 mm standing and 51 mm deeper; expected 0 to 170 mm"):
        with_pushes(np.zeros(10), 130.0, 170.0, PUSHES, 1000.0)
    with pytest.raises(ValueError, match="expected hits that end before the next begins, three within 3 s"):
        replace(PUSHES, every_s=1.3, hit_s=0.6)
    with pytest.raises(ValueError, match="expected hits that end before the next begins"):
        replace(PUSHES, every_s=0.3)
    with pytest.raises(ValueError, match=r"ThreePushes\.standing_s: found 0\.5; expected 1 to 10"):
        replace(PUSHES, standing_s=0.5)
    with pytest.raises(ValueError, match=r"Levels\.fork_travel_mm: found -21\.0"):
        Levels(fork_travel_mm=-21.0, shock_stroke_mm=0.0)
