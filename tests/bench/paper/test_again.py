"""A simulated ride, whose parts and ground are known, ridden again on paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from telemetry.bench.paper import again
from telemetry.bench.paper.again import FoundGround, Travelled, as_travelled, found_ground, laid, ridden_again
from telemetry.bench.paper.body import EMPTY_END, NO_WHEEL, RIGID_KG_M2
from telemetry.conditioning import lowpass
from telemetry.dynamics.car import Bike
from telemetry.dynamics.given import ON_THE_GROUND
from telemetry.simulation.natural_ride import natural_ride
from telemetry.simulation.runs_made import MadeRun

RATE_HZ, EVERY, CUTOFF_HZ = 500.0, 8, 60.0
SHORT = {"trail": {"natural": {"length_m": 90}}}
MEASURED = slice(1000, -300)
BOTH = (True, True)


def on_one_spring(bike: Bike) -> Bike:
    """Return the bike as it is on paper: its rider on one spring, nothing along the ground."""
    rider = bike.rider
    stands = rider.legs_share * rider.pedals_ahead_m + (1 - rider.legs_share) * rider.hands_ahead_m
    held = replace(
        rider,
        legs_share=0.0,
        legs_n_m=0.0,
        legs_n_s_m=0.0,
        arms_n_m=rider.legs_n_m + rider.arms_n_m,
        arms_n_s_m=rider.legs_n_s_m + rider.arms_n_s_m,
        hands_ahead_m=stands,
    )
    return replace(bike, rider=held, heights=ON_THE_GROUND)


def travel_mm(run: MadeRun) -> np.ndarray:
    motion = run.whole.motion
    return np.array([1e3 * signal[::EVERY] for signal in (motion.front_m, motion.rear_m)])


def measured(run: MadeRun) -> Travelled:
    """Return what a logger of 500 rows a second with 0.02 mm of noise gives, smoothed as logs are."""
    noise = np.random.default_rng(2).normal(0, 0.02, (2, run.whole.motion.front_m[::EVERY].shape[0]))
    smooth = np.array([lowpass(signal, RATE_HZ, CUTOFF_HZ) for signal in travel_mm(run) + noise])
    return as_travelled(smooth / 1e3, RATE_HZ)


def test_speed_and_acceleration_near_the_corner_of_a_slow_logs_low_pass() -> None:
    rate, swings = 100.0, np.array([10.0, 30.0])[:, None] * 2 * np.pi
    at = np.arange(300) / rate
    moved = as_travelled(np.sin(swings * at), rate)
    within = slice(30, -30)
    for found, true in (
        (moved.speed_m_s, swings * np.cos(swings * at)),
        (moved.acceleration_m_s2, -(swings**2) * np.sin(swings * at)),
    ):
        off = np.abs(found - true)[:, within].max(axis=1) / np.abs(true).max(axis=1)
        assert off[0] < 0.001
        assert off[1] < 0.05  # the five-point derivative's speed is 0.3 off there


def ridden(change: Mapping[str, object] | None = None) -> MadeRun:
    bike = {"bike": dict(change)} if change else {}
    return natural_ride(5, change={**SHORT, **bike})


@pytest.fixture(scope="module")
def base() -> MadeRun:
    return ridden()


@pytest.fixture(scope="module")
def ground(base: MadeRun) -> FoundGround:
    return found_ground(on_one_spring(base.whole.bike), BOTH, measured(base))


def deep(travel: np.ndarray) -> np.ndarray:
    """Return mean, 95th percentile and deepest travel, mm."""
    own = travel[MEASURED]
    return np.array([own.mean(), np.quantile(own, 0.95), own.max()])


def test_tyres_are_found_to_carry_what_they_carried(base: MadeRun, ground: FoundGround) -> None:
    truth = base.whole.motion.front_tyre_n[::EVERY], base.whole.motion.rear_tyre_n[::EVERY]
    for path, true in zip(ground.wheels, truth, strict=True):
        assert path is not None
        assert np.corrcoef(path.tyre_n[MEASURED], true[MEASURED])[0, 1] > 0.97


def test_the_baseline_rides_back_over_its_own_ground(base: MadeRun, ground: FoundGround) -> None:
    again = ridden_again(on_one_spring(base.whole.bike), ground, laid(ground))
    for paper, own in zip(again, ground.travelled.travel_m, strict=True):
        assert np.corrcoef(paper[MEASURED], own[MEASURED])[0, 1] > 0.999
        assert deep(1e3 * paper) == pytest.approx(deep(1e3 * own), rel=0.01)


@pytest.mark.parametrize(
    ("change", "at", "within_mm"),
    [
        ({"front": {"air_pressure_bar": 5.9}}, 0, (0.1, 0.5, 1.0)),
        ({"rear": {"spring_rate_n_mm": 90}}, 1, (0.1, 0.5, 1.0)),
        ({"rear": {"rebound_below_n_s_m": 9500, "rebound_above_n_s_m": 3800}}, 1, (0.3, 0.5, 1.0)),
        ({"frame_kg": 31}, 0, (0.3, 0.5, 2.5)),  # as if it weighed 10 kg less: 7, 8 and 10 mm off
        ({"frame_kg": 31}, 1, (0.3, 0.5, 2.5)),
    ],
)
def test_another_part_does_on_paper_what_it_does_on_the_same_trail(
    base: MadeRun, ground: FoundGround, change: Mapping[str, object], at: int, within_mm: tuple[float, ...]
) -> None:
    other, heights = ridden(change), laid(ground)
    true = deep(travel_mm(other)[at]) - deep(travel_mm(base)[at])
    back, after = (ridden_again(on_one_spring(run.whole.bike), ground, heights)[at] for run in (base, other))
    assert np.abs(true[0]) > 1.0  # there is something to predict
    assert np.all(np.abs(deep(1e3 * after) - deep(1e3 * back) - true) <= within_mm)


def test_an_end_by_itself_rides_back_too(base: MadeRun) -> None:
    """Not as well as both: the frame doesn't pitch then."""
    whole = on_one_spring(base.whole.bike)
    alone = replace(
        whole,
        frame=replace(whole.frame, mass_kg=whole.frame.mass_kg / 2, pitch_inertia_kg_m2=RIGID_KG_M2),
        rider=replace(whole.rider, mass_kg=whole.rider.mass_kg / 2, hands_ahead_m=0.0),
        rear=EMPTY_END,
        rear_wheel=NO_WHEEL,
    )
    own = measured(base)
    one = replace(own, travel_m=own.travel_m * [[1], [0]], speed_m_s=own.speed_m_s * [[1], [0]])
    found = found_ground(alone, (True, False), one)
    again = ridden_again(alone, found, laid(found))
    assert found.wheels[1] is None
    assert np.corrcoef(again[0][MEASURED], own.travel_m[0][MEASURED])[0, 1] > 0.999


def test_a_long_ride_in_pieces_is_the_same_ride(
    base: MadeRun, ground: FoundGround, monkeypatch: pytest.MonkeyPatch
) -> None:
    heights = laid(ground)
    whole = ridden_again(on_one_spring(base.whole.bike), ground, heights)
    monkeypatch.setattr(again, "AT_ONCE_S", 3.1)
    assert np.abs(ridden_again(on_one_spring(base.whole.bike), ground, heights) - whole).max() < 1e-9
