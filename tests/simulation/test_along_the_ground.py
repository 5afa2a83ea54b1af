"""Braking, driving and leaning, against statics by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.dynamics.car import GRAVITY_M_S2, Bike, RiderBody
from telemetry.dynamics.given import Given, Heights, faster_m_s
from telemetry.dynamics.half_car import Motion, ride, whole_height_m
from telemetry.simulation.path import Path, straight
from telemetry.simulation.true_phases import with_load_transfer
from telemetry.simulation.truth import TrueRun
from tests.simulation.made_bike import linear_end, plain_bike

RATE_HZ, G = 4000.0, GRAVITY_M_S2
SINE, FRONT_N_M, REAR_N_M = 0.9, 5200.0, 8400.0
COSINE = np.sqrt(1 - SINE**2)
RIDER = RiderBody(  # without arms' springs it leaves no moment of its own
    mass_kg=60.0,
    legs_share=0.75,
    legs_n_m=6000.0,
    legs_n_s_m=750.0,
    arms_n_m=0.0,
    arms_n_s_m=250.0,
    pedals_ahead_m=-0.06,
    hands_ahead_m=0.42,
)
HEIGHTS = Heights(centre_m=0.6, rider_m=1.1, front_axle_m=0.37, rear_axle_m=0.36, front_brake=0.7)
STEPS = round(10 * RATE_HZ)
FLAT = np.zeros((STEPS, 2))


def bike(**heights: float) -> Bike:
    front = linear_end(FRONT_N_M, damping_n_s_m=900.0, load_n=400.0, at_m=0.03, vertical=SINE)
    rear = linear_end(REAR_N_M, damping_n_s_m=1200.0, load_n=500.0, at_m=0.05)
    made = plain_bike(front, rear, tyre_n_s_m=150.0, rider=RIDER)
    return replace(made, heights=replace(HEIGHTS, **heights))


def steady(own: Bike, forward_m_s2: float) -> Motion:
    """Return ten seconds at one forward acceleration: more than it takes to settle."""
    path = straight(np.full(STEPS, 10.0), np.full(STEPS, forward_m_s2))
    return ride(own, FLAT, RATE_HZ, given=path.given(own))


def changed(motion: Motion, name: str) -> float:
    signal = getattr(motion, name)
    assert abs(signal[-1] - signal[-4000]) < 1e-4 * (1 + abs(signal[-1]))
    return float(signal[-1] - signal[0])


@pytest.mark.parametrize("forward_m_s2", [-3.0, 2.0])
def test_load_moves_by_height_over_wheelbase(forward_m_s2: float) -> None:
    own = bike()
    motion = steady(own, forward_m_s2)
    height = (90 * 0.6 + 60 * 1.1 + 3.5 * 0.37 + 4.5 * 0.36) / 158
    assert whole_height_m(own) == pytest.approx(height)
    moved = 158 * forward_m_s2 * height / 1.25
    assert changed(motion, "front_tyre_n") == pytest.approx(-moved, rel=2e-3)
    assert changed(motion, "rear_tyre_n") == pytest.approx(moved, rel=2e-3)
    assert motion.front_along_n[-1] + motion.rear_along_n[-1] == pytest.approx(158 * forward_m_s2)
    assert motion.front_along_n[-1] == pytest.approx(min(0.7 * 158 * forward_m_s2, 0.0))


def test_braking_dives_by_load_and_by_the_forks_slant() -> None:
    """Along the fork's axis: the tyre's push less the wheel's weight, and the brake less the wheel's own inertia."""
    own = bike()
    motion = steady(own, -3.0)
    moved = 158 * 3.0 * whole_height_m(own) / 1.25
    along = SINE * moved + COSINE * (0.7 * 158 * 3.0 - 3.5 * 3.0)
    assert changed(motion, "front_m") == pytest.approx(along / FRONT_N_M, rel=3e-3)
    assert changed(motion, "rear_m") == pytest.approx(-moved / REAR_N_M, rel=3e-3)
    truth = TrueRun(ends={"front": {}, "rear": {}}, both={}, hits={}, bottom_outs_s={})
    found = with_load_transfer(truth, own, (0.17, 0.16)).ends
    assert found["front"]["dive_per_g"] == pytest.approx(100 * along / FRONT_N_M / 0.17 / (3.0 / G), rel=1e-2)
    assert found["rear"]["squat_per_g"] == pytest.approx(100 * moved / REAR_N_M / 0.16 / (3.0 / G), rel=1e-2)


@pytest.mark.parametrize(("share", "felt"), [(0.0, 1.0), (0.6, 0.4), (1.0, 0.0), (1.5, -0.5)])
def test_links_carry_their_share_of_squat_and_of_rise(share: float, felt: float) -> None:
    own = bike(anti_squat=share)
    moved = 158 * 2.0 * whole_height_m(own) / 1.25
    assert changed(steady(own, 2.0), "rear_m") == pytest.approx(felt * moved / REAR_N_M, rel=3e-3, abs=1e-5)
    own = bike(anti_rise=share, front_brake=0.0)  # all of it at the rear
    moved = 158 * 2.0 * whole_height_m(own) / 1.25
    assert changed(steady(own, -2.0), "rear_m") == pytest.approx(-felt * moved / REAR_N_M, rel=3e-3, abs=1e-5)


def test_a_tyre_passes_on_no_more_than_it_grips_and_nothing_in_the_air() -> None:
    own = bike(grip=0.3)
    motion = steady(own, -5.0)
    assert motion.front_along_n[-1] == pytest.approx(-0.3 * motion.front_tyre_n[-1])
    roads = FLAT.copy()
    roads[4000:] = -3.0  # the ground falls away
    path = straight(np.full(STEPS, 10.0), np.full(STEPS, -2.0))
    flown = ride(own, roads, RATE_HZ, given=path.given(own))
    air = (flown.front_tyre_n == 0) & (flown.rear_tyre_n == 0)
    assert np.count_nonzero(air) > 1000
    assert not flown.front_along_n[air].any()
    assert not flown.rear_along_n[air].any()


def test_energies_balance_through_braking_driving_and_turns() -> None:
    own = bike(anti_squat=0.8, anti_rise=0.4)
    time_s = np.arange(STEPS) / RATE_HZ
    path = Path(
        speed_m_s=np.full(STEPS, 9.0),
        forward_m_s2=4 * np.sin(2 * np.pi * 0.4 * time_s),
        slope_rad=np.full(STEPS, -0.1),
        yaw_rad_s=0.6 * np.sin(2 * np.pi * 0.3 * time_s),
        curving_m_s2=0.3 * np.cos(2 * np.pi * 0.2 * time_s),
        strokes=np.cos(2 * np.pi * 2 * time_s),
        pedalled=np.ones(STEPS, dtype=bool),
    )
    motion = ride(own, FLAT, RATE_HZ, given=path.given(own))
    work = motion.work_j
    taken = sum(work[name] for name in ("dampers", "friction", "tyres", "rider"))
    assert taken > 50.0
    assert work["pushes"] == pytest.approx(taken + work["stored"], rel=2e-3)


def test_a_turn_weighs_by_the_cosine_of_the_lean() -> None:
    own = bike()
    yaw = G * np.tan(np.radians(40)) / 7.0
    path = replace(straight(np.full(STEPS, 7.0), np.zeros(STEPS)), yaw_rad_s=np.full(STEPS, yaw))
    assert np.degrees(path.roll_rad[0]) == pytest.approx(-40)  # turning left it leans left
    motion = ride(own, FLAT, RATE_HZ, given=path.given(own))
    carried = motion.front_tyre_n + motion.rear_tyre_n
    assert carried[-1] / carried[0] == pytest.approx(1 / np.cos(np.radians(40)), rel=1e-4)


def test_down_a_slope_gravity_takes_brakes_and_weighs_less() -> None:
    path = replace(straight(np.full(4, 7.0), np.zeros(4)), slope_rad=np.full(4, -0.2))
    given = path.given(bike())
    assert isinstance(given, Given)
    assert given.front_n + given.rear_n == pytest.approx(-158 * G * np.sin(0.2))
    assert given.front_n == pytest.approx(0.7 * (given.front_n + given.rear_n))
    assert given.gravity_m_s2 == pytest.approx(G * np.cos(0.2))
    assert given.until(2).front_n.shape == (2,)


def test_in_the_air_the_rider_turns_the_bike_back() -> None:
    """The front is thrown up; held, the bike comes back to its pitch within the flight."""
    roads = FLAT.copy()
    roads[4000:4400, 0] = 0.25 * np.sin(np.pi * np.arange(400) / 800)
    roads[4400:] = -6.0
    path = straight(np.full(STEPS, 8.0), np.zeros(STEPS))
    turned = {}
    for hz in (0.0, 1.0):
        own = bike(holding_rad_s=2 * np.pi * hz)
        motion = ride(own, roads[:8000], RATE_HZ, given=path.given(own).until(8000))
        assert np.count_nonzero(motion.front_tyre_n[4400:] == 0) > 3000
        turned[hz] = abs(motion.pitch_rad[-1] - motion.pitch_rad[0])
    assert turned[1.0] < 0.1
    assert turned[0.0] > 0.5


def test_what_a_hop_takes_from_the_brakes_is_made_good() -> None:
    """On bumps that lift the tyres again and again the bike is still slowed by as much as its speed says."""
    own = bike()
    roads = FLAT + 0.025 * np.sin(2 * np.pi * 9.0 * np.arange(STEPS) / RATE_HZ)[:, None]
    motion = ride(own, roads, RATE_HZ, given=straight(np.full(STEPS, 9.0), np.full(STEPS, -3.0)).given(own))
    steady_part = slice(4000, STEPS)
    assert np.mean(motion.front_tyre_n[steady_part] == 0) > 0.1
    along = motion.front_along_n + motion.rear_along_n
    assert along[steady_part].mean() == pytest.approx(-158 * 3.0, rel=0.02)


def test_speed_that_is_read_changes_by_what_is_felt() -> None:
    """Brakes asked for 2 s and passed on a fifth of a second late: the speed falls late as well, and ends the same."""
    asked = np.where((np.arange(STEPS) >= 4000) & (np.arange(STEPS) < 12000), -3.0, 0.0)
    along = np.roll(asked, 800)
    speed = 10 + np.cumsum(asked) / RATE_HZ + faster_m_s(along, asked, RATE_HZ)
    assert np.diff(speed) * RATE_HZ == pytest.approx(along[1:], abs=0.065)  # 0.6 m/s fade within 10 s
    assert speed[4800] == pytest.approx(10.0, abs=0.01)
    assert speed[-1] == pytest.approx(4.0, abs=0.06)
