"""The half-car against closed forms where it is linear, and against energy, gravity and its own half step elsewhere."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from telemetry.dynamics import march
from telemetry.dynamics.car import GRAVITY_M_S2, Bike, RiderBody
from telemetry.dynamics.half_car import (
    INPUTS,
    DivergedError,
    Motion,
    at_rest,
    axle_loads_n,
    marched,
    ride,
    travel_under_m,
)
from telemetry.mechanics import damper as damper_parts
from telemetry.mechanics.friction import friction_n
from telemetry.simulation.runs_made import _course
from telemetry.simulation.truth import TrueRun, true_run
from tests.simulation.made_bike import FRAME, linear_end, plain_bike, scenario

RATE_HZ = 4000.0
FRONT_N_M, REAR_N_M, SINE = 5200.0, 8400.0, 0.9
RIDER = RiderBody(
    mass_kg=60.0,
    legs_share=0.75,
    legs_n_m=6000.0,
    legs_n_s_m=0.0,
    arms_n_m=1500.0,
    arms_n_s_m=0.0,
    pedals_ahead_m=-0.06,
    hands_ahead_m=0.42,
)
DAMPED_RIDER = replace(RIDER, legs_n_s_m=750.0, arms_n_s_m=250.0)


def linear_bike(damping_n_s_m: float = 0.0, *, tyre_n_s_m: float = 0.0, rider: RiderBody = RIDER) -> Bike:
    front = linear_end(FRONT_N_M, damping_n_s_m=damping_n_s_m, load_n=400.0, at_m=0.03, vertical=SINE)
    rear = linear_end(REAR_N_M, damping_n_s_m=damping_n_s_m, load_n=500.0, at_m=0.05)
    return plain_bike(front, rear, tyre_n_s_m=tyre_n_s_m, rider=rider)


def places(bike: Bike, motion: Motion) -> np.ndarray:
    """Return heave, pitch, both wheels and the rider, shape (5, n)."""
    front = motion.front_m * bike.front.vertical + motion.heave_m + bike.frame.front_ahead_m * motion.pitch_rad
    rear = motion.rear_m + motion.heave_m - bike.frame.rear_behind_m * motion.pitch_rad
    return np.array([motion.heave_m, motion.pitch_rad, front, rear, motion.rider_m])


def masses_kg(bike: Bike) -> np.ndarray:
    frame = bike.frame
    wheels = bike.front_wheel.mass_kg, bike.rear_wheel.mass_kg
    return np.array([frame.mass_kg, frame.pitch_inertia_kg_m2, *wheels, bike.rider.mass_kg])


def test_free_vibration_has_the_frequencies_of_its_matrices() -> None:
    """Each mode, seen alone through its shape, is a sinusoid of its own frequency."""
    bike = linear_bike()
    stretched = [
        (FRONT_N_M, np.array([-1, -FRAME.front_ahead_m, 1, 0, 0]) / SINE),
        (REAR_N_M, np.array([-1, FRAME.rear_behind_m, 0, 1, 0])),
        (bike.front_wheel.tyre_n_m, np.array([0, 0, 1, 0, 0])),
        (bike.rear_wheel.tyre_n_m, np.array([0, 0, 0, 1, 0])),
        (RIDER.legs_n_m, np.array([-1, -RIDER.pedals_ahead_m, 0, 0, 1])),
        (RIDER.arms_n_m, np.array([-1, -RIDER.hands_ahead_m, 0, 0, 1])),
    ]
    stiffness = sum(rate * np.outer(shape, shape) for rate, shape in stretched)
    mass = np.diag(masses_kg(bike))
    squares, shapes = np.linalg.eig(np.linalg.solve(mass, stiffness))
    expected = np.sqrt(np.real(squares)) / (2 * np.pi)
    roads = np.zeros((round(8 * RATE_HZ), 2))
    bump = 1e-3 * np.sin(np.pi * np.arange(80) / 80) ** 2
    roads[100:180, 0], roads[500:580, 1] = bump, -0.6 * bump
    motion = ride(bike, roads, RATE_HZ)
    assert min(motion.front_tyre_n.min(), motion.rear_tyre_n.min()) > 100.0
    away = places(bike, motion) - places(bike, motion)[:, :1]
    modes = np.real(shapes).T @ mass @ away[:, 700:]
    found = []
    for mode, hz in zip(modes, expected, strict=True):
        lag = round(RATE_HZ / hz / 5)
        middle = mode[lag:-lag]
        turn = ((mode[2 * lag :] + mode[: -2 * lag]) @ middle) / (2 * middle @ middle)
        found.append(np.arccos(turn) * RATE_HZ / (2 * np.pi * lag))
    assert found == pytest.approx(expected, rel=1e-3)
    bounce_pitch, hops = np.sort(expected)[:3], np.sort(expected)[3:]
    assert bounce_pitch.min() > 0.8
    assert hops.min() > 20.0


def amplitude(signal: np.ndarray, hz: float) -> float:
    """Return a steady sinusoid's amplitude over the last ten periods."""
    count = round(10 * RATE_HZ / hz)
    phase = 2 * np.pi * hz * np.arange(count) / RATE_HZ
    basis = np.column_stack([np.cos(phase), np.sin(phase), np.ones(count)])
    part = np.linalg.lstsq(basis, signal[-count:], rcond=None)[0]
    return float(np.hypot(part[0], part[1]))


def quarter_car(hz: float, masses: tuple[float, float], rates: tuple[float, float], losses: tuple[float, float]):
    """Return frame and wheel over road, complex: two springs, two dampers, two masses."""
    s = 2j * np.pi * hz
    sprung, wheel = masses
    suspension, tyre = rates[0] + losses[0] * s, rates[1] + losses[1] * s
    equations = np.array([[sprung * s**2 + suspension, -suspension], [-suspension, wheel * s**2 + suspension + tyre]])
    return np.linalg.solve(equations, [0, tyre])


@pytest.mark.parametrize(("front_hz", "rear_hz"), [(0.7, 1.6), (1.6, 4.0), (4.0, 9.0), (12.0, 25.0), (25.0, 12.0)])
def test_transmissibility_of_both_uncoupled_ends(front_hz: float, rear_hz: float) -> None:
    """Inertia m a b: each end is a quarter car of its own, though both are shaken at once."""
    front = linear_end(FRONT_N_M, damping_n_s_m=500.0, load_n=400.0, at_m=0.03)
    rear = linear_end(REAR_N_M, damping_n_s_m=700.0, load_n=500.0, at_m=0.05)
    bike = plain_bike(front, rear, tyre_n_s_m=150.0)
    time = np.arange(round(20 * RATE_HZ)) / RATE_HZ
    roads = 5e-4 * np.column_stack([np.sin(2 * np.pi * front_hz * time), np.sin(2 * np.pi * rear_hz * time)])
    motion = ride(bike, roads, RATE_HZ)
    assert min(motion.front_tyre_n.min(), motion.rear_tyre_n.min()) > 0.0
    heave, pitch, wheel_f, wheel_r, _ = places(bike, motion)
    ahead, behind = FRAME.front_ahead_m, FRAME.rear_behind_m
    above = (
        (front_hz, heave + ahead * pitch, wheel_f, behind, (3.5, FRONT_N_M, 90e3, 500.0)),
        (rear_hz, heave - behind * pitch, wheel_r, ahead, (4.5, REAR_N_M, 110e3, 700.0)),
    )
    for hz, body, wheel, other, (unsprung, rate, tyre, loss) in above:
        sprung = FRAME.mass_kg * other / FRAME.wheelbase_m
        closed = np.abs(quarter_car(hz, (sprung, unsprung), (rate, tyre), (loss, 150.0)))
        found = np.array([amplitude(body, hz), amplitude(wheel, hz)]) / 5e-4
        assert found == pytest.approx(closed, rel=2e-3)


def test_static_deflection_by_hand() -> None:
    bike = linear_bike(rider=DAMPED_RIDER)
    g = GRAVITY_M_S2
    legs, arms = 0.75 * 60 * g, 0.25 * 60 * g
    front = (90 * g * 0.55 + legs * (0.55 - 0.06) + arms * (0.55 + 0.42)) / 1.25
    rear = (90 * g * 0.70 + legs * (0.70 + 0.06) + arms * (0.70 - 0.42)) / 1.25
    assert axle_loads_n(bike) == pytest.approx((front, rear), rel=1e-12)
    motion = ride(bike, np.zeros((2, 2)), RATE_HZ)
    assert motion.front_m[0] == pytest.approx(0.03 + (front * SINE - 400) / FRONT_N_M, rel=1e-9)
    assert motion.rear_m[0] == pytest.approx(0.05 + (rear - 500) / REAR_N_M, rel=1e-9)
    assert motion.front_tyre_n[0] == pytest.approx(front + 3.5 * g, rel=1e-9)
    assert motion.rear_tyre_n[0] == pytest.approx(rear + 4.5 * g, rel=1e-9)


def test_a_load_outside_the_table_is_refused() -> None:
    end = linear_end(1000.0)
    assert travel_under_m(end, 500.0) == pytest.approx(0.5)
    for load in (-2000.0, 2000.5):
        with pytest.raises(ValueError, match="no travel carries"):
            travel_under_m(end, load)


def test_a_weight_left_on_settles_where_statics_puts_it() -> None:
    bike = linear_bike(900.0, tyre_n_s_m=150.0, rider=DAMPED_RIDER)
    count = round(12 * RATE_HZ)
    motion = ride(bike, np.zeros((count, 2)), RATE_HZ, push_n=np.full(count, 200.0))
    on_front, on_rear = 200 * 0.55 / 1.25, 200 * 0.70 / 1.25
    legs, arms, reach = 6000.0, 1500.0, 0.48  # leaning, the rider's springs pull against each other
    series = legs * arms / (legs + arms) * reach**2
    turned = motion.pitch_rad[-1] - motion.pitch_rad[0]
    shifted = series * turned / 1.25
    assert abs(shifted) > 0.05
    assert motion.front_tyre_n[-1] - motion.front_tyre_n[0] == pytest.approx(on_front + shifted, abs=0.002)
    assert motion.rear_tyre_n[-1] - motion.rear_tyre_n[0] == pytest.approx(on_rear - shifted, abs=0.002)
    deeper = (motion.front_tyre_n[-1] - motion.front_tyre_n[0]) * SINE / FRONT_N_M
    assert motion.front_m[-1] - motion.front_m[0] == pytest.approx(deeper, rel=1e-4)


@pytest.fixture(scope="module")
def rough(tmp_path_factory: pytest.TempPathFactory):
    """Return the invented bike, its road and speeds."""
    read = scenario(tmp_path_factory.mktemp("rough"))
    setup = read.setups["a"]
    course = _course(read, setup, np.random.default_rng(5))
    return setup.bike, course.roads_m, course.path.speed_m_s


@pytest.fixture(scope="module")
def ridden(rough) -> Motion:
    bike, roads, _ = rough
    return ride(bike.riding(), roads, RATE_HZ)


def lost_j(work: dict[str, float]) -> float:
    return sum(work[name] for name in ("dampers", "friction", "tyres", "rider"))


def test_energy_balances_on_a_rough_trail(ridden: Motion) -> None:
    work = ridden.work_j
    assert work["road"] == pytest.approx(lost_j(work) + work["stored"], rel=0.005)
    assert min(work["dampers"], work["tyres"], work["rider"]) > 1000.0
    assert work["friction"] > 100.0
    assert np.count_nonzero(ridden.front_tyre_n == 0) > 1000


def test_energy_balances_where_a_push_brings_it_in(rough) -> None:
    bike, _, _ = rough
    push = np.zeros(round(3 * RATE_HZ))
    push[400:1400] = 900 * np.sin(np.pi * np.arange(1000) / 1000)
    work = ride(bike.riding(), np.zeros((push.shape[0], 2)), RATE_HZ, push_n=push).work_j
    assert work["road"] == 0
    assert work["pushes"] > 10.0
    assert work["pushes"] == pytest.approx(lost_j(work) + work["stored"], rel=0.005)


def test_energy_balances_where_feet_leave_the_pedals() -> None:
    bike = linear_bike(900.0, tyre_n_s_m=150.0, rider=DAMPED_RIDER)
    roads = np.zeros((round(6 * RATE_HZ), 2))
    roads[800:1500] = 0.4 * np.sin(np.pi * np.arange(700) / 700)[:, None] ** 2
    motion = ride(bike, roads, RATE_HZ)
    heave, pitch, _, _, rider = places(bike, motion)
    away = rider - heave + 0.06 * (pitch - pitch[0])
    spring_n, apart_m_s = 0.75 * 60 * GRAVITY_M_S2 - 6000 * away, np.gradient(away) * RATE_HZ
    slack = spring_n - 750 * apart_m_s < 0
    work = motion.work_j
    assert abs((spring_n * apart_m_s)[slack].sum() / RATE_HZ) > 0.01 * lost_j(work)  # its sign shows
    assert work["road"] == pytest.approx(lost_j(work) + work["stored"], rel=0.005)


def test_a_tyre_never_pulls_and_in_the_air_it_doesnt_push(rough, ridden: Motion) -> None:
    bike, roads, _ = rough
    _, _, wheel_f, wheel_r, _ = places(bike.riding(), ridden)
    for push, road, wheel in ((ridden.front_tyre_n, roads[:, 0], wheel_f), (ridden.rear_tyre_n, roads[:, 1], wheel_r)):
        assert push.min() == 0
        off = road < wheel - 1e-12
        assert np.count_nonzero(off) > 1000
        assert np.all(push[off] == 0)


def ledge(height_m: float) -> np.ndarray:
    roads = np.zeros((round(2 * RATE_HZ), 2))
    roads[400:] = -height_m
    return roads


def flight_s(motion: Motion) -> tuple[int, int]:
    """Return the first samples in the air and on the ground again."""
    up = (motion.front_tyre_n == 0) & (motion.rear_tyre_n == 0)
    start = int(np.flatnonzero(up)[0])
    return start, start + int(np.flatnonzero(~up[start:])[0])


@pytest.mark.parametrize("height_m", [0.3, 1.0, 2.0])
def test_over_a_ledge_a_stiff_bike_falls_as_a_stone(height_m: float) -> None:
    stiff = linear_end(8e5, damping_n_s_m=1500.0)
    bike = plain_bike(stiff, stiff, tyre_n_s_m=200.0)
    bike = replace(
        bike,
        front_wheel=replace(bike.front_wheel, tyre_n_m=6e5),
        rear_wheel=replace(bike.rear_wheel, tyre_n_m=6e5),
    )
    start, stop = flight_s(ride(bike, ledge(height_m), RATE_HZ))
    assert start in (399, 400)
    assert (stop - start) / RATE_HZ == pytest.approx(np.sqrt(2 * height_m / GRAVITY_M_S2), rel=0.005)


def test_in_the_air_the_whole_falls_as_a_stone_however_its_parts_move(rough) -> None:
    made, _, _ = rough
    bike = made.riding()
    motion = ride(bike, ledge(1.5), RATE_HZ)
    start, stop = flight_s(motion)
    assert (stop - start) / RATE_HZ > 0.4
    weights = masses_kg(bike) * [1, 0, 1, 1, 1]
    fall = weights @ places(bike, motion)[:, start : stop - 1] / weights.sum()
    time = np.arange(fall.shape[0]) / RATE_HZ
    curve = np.polyfit(time, fall, 2)
    assert -2 * curve[0] == pytest.approx(GRAVITY_M_S2, rel=1e-6)
    assert fall == pytest.approx(np.polyval(curve, time), abs=1e-7)
    assert np.ptp(motion.front_m[start:stop]) > 0.02


def test_at_rest_it_rests(rough) -> None:
    made, _, _ = rough
    bikes = [linear_bike(rider=DAMPED_RIDER), linear_bike(900.0, tyre_n_s_m=150.0)]
    for ready in (made.settled(), made.riding()):
        free = replace(ready, front=replace(ready.front, friction_n=0.0), rear=replace(ready.rear, friction_n=0.0))
        bikes += [free]
    for bike in bikes:
        motion = ride(bike, np.zeros((round(2 * RATE_HZ), 2)), RATE_HZ)
        assert abs(at_rest(bike)[1]) > 1e-4  # a bike that stands level would hide what pitch does
        for signal in (motion.front_m, motion.rear_m, motion.heave_m, motion.rider_m):
            assert np.ptp(signal) < 1e-6


def truth_at(rough, factor: int) -> TrueRun:
    """Return the truth with each step divided."""
    bike, roads, speed = rough
    steps = np.arange((roads.shape[0] - 1) * factor + 1) / factor
    whole = np.arange(roads.shape[0])
    finer = np.column_stack([np.interp(steps, whole, roads[:, k]) for k in (0, 1)])
    motion = ride(bike.riding(), finer, factor * RATE_HZ)
    full = bike.front.full_travel_m, bike.rear.full_travel_m
    return true_run(motion, slice(0, steps.shape[0]), np.interp(steps, whole, speed), full)


def test_halving_the_step_moves_no_measure(rough) -> None:
    """Each continuous measure by less than 0.5 %, each count by at most 1."""
    one, two = truth_at(rough, 1), truth_at(rough, 2)
    minutes = one.both["riding_time"] / 60
    pairs = [(one.ends[end], two.ends[end]) for end in ("front", "rear")] + [(one.both, two.both)]
    seen = 0
    for coarse, fine in pairs:
        assert coarse.keys() == fine.keys()
        for name, value in coarse.items():
            if name == "bottom_outs":
                assert abs(value - fine[name]) <= 1
            elif name.endswith("_per_min") and not name.endswith("_10_per_min"):
                assert abs(value - fine[name]) * minutes <= 1.01, name
            elif name == "sag_difference":
                assert value == pytest.approx(fine[name], abs=0.005 * one.ends["front"]["dynamic_sag"])
            else:
                assert value == pytest.approx(fine[name], rel=0.005), name
            seen += 1
    assert seen == 2 * 16 + 6


def test_heuns_rule_is_of_second_order() -> None:
    """On the linear bike, whose road is smooth, halving the step quarters the error."""
    bike = linear_bike(700.0, tyre_n_s_m=150.0, rider=DAMPED_RIDER)

    def end_state(rate_hz: float) -> np.ndarray:
        time = np.arange(round(0.5 * rate_hz) + 1) / rate_hz
        bump = 5e-4 * np.sin(2 * np.pi * 6 * time)
        return places(bike, ride(bike, np.column_stack([bump, 0.5 * bump]), rate_hz))[:, -1]

    ends = [end_state(rate) for rate in (2000.0, 4000.0, 8000.0, 16000.0)]
    steps = [np.linalg.norm(finer - coarser) for coarser, finer in pairwise(ends)]
    assert [before / after for before, after in pairwise(steps)] == pytest.approx([4.0, 4.0], rel=0.15)


def test_absurd_parts_are_told_of_with_their_second() -> None:
    bike = linear_bike(2e5)
    with pytest.raises(DivergedError, match=r"grew without bound after 0\.\d{3} s") as caught:
        ride(bike, np.zeros((4000, 2)), RATE_HZ)
    steps = round(caught.value.second * RATE_HZ)
    assert 0 < steps < 3999
    assert np.all(np.isfinite(ride(bike, np.zeros((steps + 1, 2)), RATE_HZ).front_m))
    with pytest.raises(DivergedError, match="grew without bound"):
        ride(bike, np.zeros((steps + 2, 2)), RATE_HZ)


KERNEL_DAMPER = damper_parts.Damper(
    compression=damper_parts.DamperSide(slope_below_n_s_m=500.0, knee_m_s=0.4, slope_above_n_s_m=150.0),
    rebound=damper_parts.DamperSide(slope_below_n_s_m=900.0, knee_m_s=0.3, slope_above_n_s_m=400.0),
)


def test_the_loops_damper_and_friction_are_those_of_the_mechanics() -> None:
    assert march.KNEE_BAND == damper_parts.KNEE_SHARE
    sides = (500.0, 0.4, 150.0, 900.0, 0.3, 400.0)
    ratio, speeds = 2.6, np.linspace(-3.0, 3.0, 1201)
    table = np.column_stack([np.full(3, 120.0), np.full(3, 1 / ratio), np.full(3, 1.7)])
    end = (0.0, 10.0, table, sides, 25.0, 0.008)
    found = np.array([march._end_force(end, 0.05, ratio * v) for v in speeds])
    assert found[:, 0] == pytest.approx(120.0)
    stiffened = KERNEL_DAMPER.force_n(speeds) * np.where(speeds > 0, 1.7, 1.0) / ratio
    assert found[:, 1] == pytest.approx(stiffened, abs=1e-9)
    assert found[:, 2] == pytest.approx(friction_n(speeds, 25.0, 0.008) / ratio, abs=1e-12)


def test_a_moment_and_a_push_on_a_wheel_do_what_is_said_of_them() -> None:
    bike, rate = plain_bike(front=linear_end(FRONT_N_M), rear=linear_end(REAR_N_M)), 4000.0
    flying = np.zeros(10)
    flying[0] = 10.0
    flying[2:4] = 10.0 - 0.05
    flying[4] = 10.0
    inputs = np.zeros((40, INPUTS))
    inputs[:, 5] = GRAVITY_M_S2
    plain, turned, lifted = (flying.copy() for _ in range(3))
    marched(bike, plain, inputs.copy(), rate, 0.0)
    inputs[:, 6] = 12.0
    marched(bike, turned, inputs.copy(), rate, 0.0)
    inputs[:, 6], inputs[:, 7], inputs[:, 8] = 0.0, 3.0, -5.0
    marched(bike, lifted, inputs.copy(), rate, 0.0)
    seconds, frame = 39 / rate, bike.frame
    assert (turned - plain)[6] == pytest.approx(12.0 * seconds / frame.pitch_inertia_kg_m2, rel=0.02)
    assert (lifted - plain)[7] == pytest.approx(3.0 * seconds / bike.front_wheel.mass_kg, rel=0.05)
    assert (lifted - plain)[8] == pytest.approx(-5.0 * seconds / bike.rear_wheel.mass_kg, rel=0.05)
    masses = np.array([frame.mass_kg, bike.front_wheel.mass_kg, bike.rear_wheel.mass_kg, bike.rider.mass_kg])
    gained = masses @ (lifted - plain)[[5, 7, 8, 9]]
    assert gained == pytest.approx((3.0 - 5.0) * seconds, rel=1e-6)


def test_two_springs_apart_are_one_between_them_that_holds_the_pitch() -> None:
    """Of k1 at x1 and k2 at x2, damped in proportion: k1 + k2 at their centre, and k1 k2 / (k1 + k2) (x1 - x2)²."""
    legs, arms = RIDER.legs_n_m, RIDER.arms_n_m
    whole, share = legs + arms, legs / (legs + arms)
    lever = (legs * arms / whole) * (RIDER.hands_ahead_m - RIDER.pedals_ahead_m) ** 2
    centre = share * RIDER.pedals_ahead_m + (1 - share) * RIDER.hands_ahead_m
    damped = 0.1
    apart = replace(RIDER, legs_share=share, legs_n_s_m=damped * legs, arms_n_s_m=damped * arms)
    one = replace(
        apart,
        legs_share=0.0,
        legs_n_m=0.0,
        legs_n_s_m=0.0,
        arms_n_m=whole,
        arms_n_s_m=damped * whole,
        hands_ahead_m=centre,
        turning_n_m=lever,
        turning_n_m_s=damped * lever,
    )
    time = np.arange(round(3 * RATE_HZ)) / RATE_HZ
    wave = 5e-3 * np.sin(2 * np.pi * 2 * time)  # feet stay on the pedals
    gentle = np.column_stack([wave, 0.5 * np.roll(wave, 300)])
    two, single = (ride(linear_bike(300.0, rider=rider), gentle, RATE_HZ) for rider in (apart, one))
    assert np.ptp(two.pitch_rad) > 3e-3
    assert places(linear_bike(), single) == pytest.approx(places(linear_bike(), two), abs=1e-9)
    work = single.work_j
    assert work["road"] == pytest.approx(lost_j(work) + work["stored"], rel=0.005)
    assert work["rider"] == pytest.approx(two.work_j["rider"], rel=1e-6)


def test_in_the_air_a_bike_is_turned_to_the_pitch_that_is_aimed_at() -> None:
    bike, rate = plain_bike(front=linear_end(FRONT_N_M), rear=linear_end(REAR_N_M)), 4000.0
    held = replace(bike, heights=replace(bike.heights, holding_rad_s=2 * np.pi))
    state = np.zeros(10)
    state[0] = state[4] = 100.0
    state[2:4] = 100.0 - 0.05
    inputs = np.zeros((round(1.5 * rate), INPUTS))
    inputs[:, 5] = GRAVITY_M_S2
    inputs[:, 9] = 0.1
    loose = state.copy()
    marched(held, state, inputs.copy(), rate, 0.0)
    assert state[1] == pytest.approx(0.1, abs=0.02)
    marched(bike, loose, inputs, rate, 0.0)
    assert abs(loose[1]) < 0.01
