"""Flight by acceleration: whether, and from which sample to which, on arrays and on a bike that jumps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.dynamics.car import Bike
from telemetry.dynamics.half_car import ride
from telemetry.measures.phases.airborne import found_flights, refined, weightless
from telemetry.measures.riding import find_riding
from telemetry.model.ride import Ride
from telemetry.model.stretches import lasting
from telemetry.simulation.body import second_difference
from telemetry.simulation.obstacles import Jump
from telemetry.simulation.scenario import read_scenario
from telemetry.simulation.trail import wheel_path
from telemetry.simulation.truth import flights
from tests.measures.bare_rides import bare_end, bare_ride
from tests.measures.phases.made_signals import G_M_S2, chassis
from tests.simulation.made_bike import NOBODY, SCENARIO
from tests.thresholds import threshold

FORCE_G = threshold("measures.phases.airborne.FLIGHT_FORCE_G")
FORCE_S = threshold("measures.phases.airborne.FLIGHT_FORCE_S")
ROUGH_G = threshold("measures.phases.airborne.ROUGH_G")


def flown_force(count: int, start: int, stop: int, *, ground_g: float = 1.0, noise_g: float = 0.015) -> np.ndarray:
    """Return the force a chassis feels, m/s2, shape (n, 3): nothing in flight, its weight and more elsewhere."""
    force = np.random.default_rng(1).normal(0.0, noise_g * G_M_S2, (count, 3))
    force[:, 2] += ground_g * G_M_S2
    force[start:stop, 2] -= ground_g * G_M_S2
    return force


@pytest.mark.parametrize("rate_hz", [200.0, 500.0, 1600.0])
@pytest.mark.parametrize("ground_g", [1.0, 4.0])
def test_take_off_and_touch_down_are_found_to_the_sample(rate_hz: float, ground_g: float) -> None:
    count, start, stop = round(3 * rate_hz), round(rate_hz), round(1.4 * rate_hz)
    force = flown_force(count, start, stop, ground_g=ground_g)
    (slow,) = lasting(weightless([force], rate_hz, ((0, count),)), rate_hz, FORCE_S)
    off, down = refined([force], rate_hz, slow, (0, count))
    assert off in {start - 1, start}  # where it bends: between the last sample before and the first without force
    assert down == stop


@pytest.mark.parametrize(("share", "flown"), [(0.98, True), (1.02, False)])
def test_flight_is_below_0_4_g(share: float, *, flown: bool) -> None:
    count, held = 1000, share * FORCE_G
    up = np.where((np.arange(count) >= 400) & (np.arange(count) < 600), held - 1.0, 0.0) * G_M_S2
    found = found_flights(with_chassis(up, 200.0), np.ones(count, dtype=bool))
    assert bool(found) is flown


def with_chassis(up_m_s2: np.ndarray, rate_hz: float, **keys: object) -> Ride:
    made = bare_ride(bare_end("front", np.full(up_m_s2.shape, 50.0)), rate_hz=rate_hz, **keys)  # type: ignore[arg-type]
    signal = chassis(up_m_s2)
    return replace(made, inertial={signal.site: signal})


@pytest.mark.parametrize(("lasts_s", "flown"), [(0.8 * FORCE_S, False), (1.3 * FORCE_S, True)])
def test_a_short_hop_is_no_flight(lasts_s: float, *, flown: bool) -> None:
    """Beyond what the low-pass does to its edges: 0.12 s and 0.195 s."""
    rate_hz, count = 500.0, 1500
    up = np.zeros(count)
    up[700 : 700 + round(lasts_s * rate_hz)] = -G_M_S2
    found = found_flights(with_chassis(up, rate_hz), np.ones(count, dtype=bool))
    assert bool(found) is flown


@pytest.mark.parametrize(("touch_g", "later"), [(1.1 * ROUGH_G, 20), (0.9 * ROUGH_G, 40)])
def test_a_touch_changes_the_force_by_0_15_g_within_5_ms(touch_g: float, later: int) -> None:
    """Of a light one, that lasts: at 200 rows a second three rows that go on changing."""
    force = flown_force(400, 150, 190, noise_g=0.001)
    force[170:190:2, 2] += touch_g * G_M_S2
    assert refined([force], 200.0, (150, 186), (0, 400)) == (149, 150 + later)
    heavy = flown_force(400, 150, 190, noise_g=0.001)
    heavy[180:190, 2] += 1.001 * FORCE_G * G_M_S2
    assert refined([heavy], 200.0, (150, 186), (0, 400)) == (149, 180)


def test_what_a_rider_does_to_the_frame_in_the_air_is_no_edge() -> None:
    """Legs unload it from 0.9 g to nothing over 0.15 s: the slow look sees half of the flight."""
    rate_hz = 500.0
    force = flown_force(1500, 600, 800, ground_g=1.5)
    force[600:675, 2] += 0.9 * G_M_S2 * np.linspace(1, 0, 75)
    rough = np.random.default_rng(5).normal(0.0, 0.5 * G_M_S2, 1500)
    rough[600:800] = 0.0
    force[:, 2] += rough
    start, stop = refined([force], rate_hz, (655, 790), (0, 1500))
    assert abs(start - 600) <= 2
    assert stop == 800


@pytest.mark.parametrize("rate_hz", [200.0, 500.0])
def test_springs_that_extend_after_take_off_take_their_push_away_without_a_kink(rate_hz: float) -> None:
    """A leg that was pressed at 3 g: for some 40 ms the frame's force changes by more than 0.4 g every 5 ms."""
    rows = round(rate_hz)
    force = flown_force(3 * rows, rows, rows + round(0.45 * rate_hz), ground_g=1.5)
    at_s = np.arange(2 * rows) / rate_hz
    force[:rows, 2] += np.random.default_rng(6).normal(0.0, 1.0 * G_M_S2, rows)
    force[rows:, 2] -= 3.0 * G_M_S2 * np.exp(-at_s / 0.03) * (at_s < 0.4)
    start, _ = refined([force], rate_hz, (rows + round(0.09 * rate_hz), rows + round(0.44 * rate_hz)), (0, 3 * rows))
    assert abs(start - rows) / rate_hz <= 0.005


@pytest.mark.parametrize(("rough_rows", "slow"), [(90, False), (112, True)])
def test_a_flight_shaken_throughout_keeps_its_slow_edges(rough_rows: int, *, slow: bool) -> None:
    """Of 200 rows at least half have to be left between the last rough change and the touch."""
    force = flown_force(1500, 600, 800, ground_g=1.5, noise_g=0.001)
    force[600 : 600 + rough_rows - 20 : 2, 2] += 0.3 * G_M_S2
    force[780:800, 2] += 0.5 * G_M_S2
    found = refined([force], 500.0, (600, 800), (0, 1500))
    assert (found == (600, 800)) is slow


def test_the_sensor_that_feels_most_tells_each_edge() -> None:
    front, rear = (flown_force(1000, 300, 500), flown_force(1000, 300, 500))
    front[250:300, 2] = 0.0
    rear[490:500, 2] = G_M_S2
    assert refined([front, rear], 500.0, (320, 480), (0, 1000)) == (299, 490)
    assert refined([front], 500.0, (320, 480), (0, 1000))[0] == 249


def test_chatter_in_the_air_raises_the_limit_and_a_single_knock_ends_no_flight() -> None:
    rate_hz, count = 500.0, 1500
    force = flown_force(count, 600, 900, ground_g=3.0)
    rng = np.random.default_rng(4)
    force[600:900] += rng.normal(0.0, 0.04 * G_M_S2, (300, 3))
    force[800:803, 2] += 3 * G_M_S2
    start, stop = refined([force], rate_hz, (610, 885), (0, count))
    assert abs(start - 600) <= 2
    assert stop == 900


def test_no_edge_lies_across_a_gap_and_flights_are_riding_time_only() -> None:
    rate_hz, count = 200.0, 800
    up = np.zeros(count)
    up[300:500] = -G_M_S2
    made = with_chassis(up, rate_hz, segments=((0, 400), (400, count)))
    assert found_flights(made, np.ones(count, dtype=bool)) == ((299, 400), (400, 500))
    half = find_riding(with_chassis(up, rate_hz, bounds_s=(0.0, 1.9)))
    assert half.airborne is not None
    assert half.airborne.sum() == 0
    assert found_flights(bare_ride(bare_end("front", np.zeros(50))), np.ones(50, dtype=bool)) is None


def test_sag_leaves_out_what_was_flown_to_the_sample() -> None:
    up = np.zeros(1000)
    up[400:480] = -G_M_S2
    found = find_riding(with_chassis(up, 200.0))
    assert found.flights == ((399, 480),)
    assert found.airborne is not None
    assert np.flatnonzero(found.airborne).tolist() == list(range(399, 480))


@pytest.fixture(scope="module")
def jumped(tmp_path_factory: pytest.TempPathFactory) -> tuple[Bike, object]:
    """Return a bike whose rider sits tight, over jumps with soft and hard landings, and its motion at 4 kHz."""
    path = tmp_path_factory.mktemp("jumps") / "scenario.toml"
    path.write_text(SCENARIO.format(order='"a"', smooth_m=110, rough_m=100, bumps=10), encoding="utf-8")
    setup = read_scenario(path).setups["a"]
    bike = setup.bike.riding()
    bike = replace(bike, rider=NOBODY, frame=replace(bike.frame, mass_kg=88.0, pitch_inertia_kg_m2=20.0))
    where = np.arange(0.0, 180.0, 0.01)
    ground = sum(
        Jump(at_m=20.0 + 26 * k, lip_m=lip, ramp_m=4.0, gap_m=gap, landing_m=8.0).heights(where)
        for k, (lip, gap) in enumerate([(0.5, 1.0), (0.6, 1.5), (0.75, 2.5), (0.9, 3.0), (0.45, 1.0), (0.7, 2.0)])
    )
    at_m = 10.0 * np.arange(round(17.5 * 4000)) / 4000
    roads = np.column_stack(
        [
            np.interp(at_m - behind, where, wheel_path(ground, 0.01, radius))
            for behind, radius in zip((0.0, bike.frame.wheelbase_m), setup.bike.wheel_radius_m, strict=True)
        ]
    )
    return bike, ride(bike, roads, 4000.0)


def felt(jumped, rate_hz: float, *, seed: int) -> list[np.ndarray]:
    """Return what sensors above the front and above the rear axle read, shape (n, 3) each, with 0.15 m/s2 of noise."""
    bike, motion = jumped
    every, rng = round(4000 / rate_hz), np.random.default_rng(seed)
    forces = []
    for ahead in (bike.frame.front_ahead_m, -bike.frame.rear_behind_m):
        up = second_difference(motion.heave_m + ahead * motion.pitch_rad, 4000.0)[::every] + G_M_S2
        force = rng.normal(0.0, 0.15, (up.shape[0], 3))
        force[:, 2] += up
        forces.append(force)
    return forces


@pytest.mark.parametrize("rate_hz", [200.0, 800.0])
def test_a_jumping_bikes_flights_are_found_to_one_sample_at_200_rows_a_second(jumped, rate_hz: float) -> None:
    """Truth: both tyres off the ground, by the simulation's own count. Sensors above both ends."""
    _, motion = jumped
    up = flights(motion)
    edges = np.flatnonzero(np.diff(up.astype(int))) + 1
    true = [(a / 4000, b / 4000) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 0.2 * 4000]
    assert len(true) >= 6
    forces = felt(jumped, rate_hz, seed=3)
    slow = lasting(weightless(forces, rate_hz, ((0, len(forces[0])),)), rate_hz, FORCE_S)
    found = [refined(forces, rate_hz, item, (0, len(forces[0]))) for item in slow]
    errors = []
    for off_s, touch_s in true:
        ((start, stop),) = [one for one in found if one[0] / rate_hz < touch_s and one[1] / rate_hz > off_s]
        errors.append((start / rate_hz - off_s, stop / rate_hz - touch_s))
    assert np.max(np.abs(errors)) <= 1.8 / 200  # of one flight in six; what bends the force spans two samples
    assert np.mean(np.abs(errors) <= 1.05 / 200) > 0.8
    assert np.mean(np.abs(errors)) <= 0.8 / 200
