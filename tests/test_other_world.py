"""The benchmark's other world is a truth apart from the product's: closed forms hold it, and it shares nothing."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.linalg import eigh

from tests.benchmarks.other_world.bike import PLACES, Bike, Place, equations_of
from tests.benchmarks.other_world.changes import CHANGES, WRONG
from tests.benchmarks.other_world.drawn import SAG, drawn_bike
from tests.benchmarks.other_world.equations import (
    End,
    Floats,
    G,
    bend,
    damper_n,
    rest_travel_m,
    spring_n,
    stroke_of,
    travel_of,
    tyre_n,
    warm,
)
from tests.benchmarks.other_world.motion import FAMILIES, KEPT_EVERY, STEPS_S, Body, Course, Family, ridden
from tests.benchmarks.other_world.riding import drawn_body
from tests.benchmarks.other_world.stated import FARTHEST, KNOWN, figures, stated
from tests.benchmarks.other_world.trail import STEP_M, axle_path_m, drawn_trail, ground_m
from tests.test_layers import ROOT, imported

BENCHMARKS = ROOT / "tests" / "benchmarks"
OURS = [BENCHMARKS / "other_worlds.py", BENCHMARKS / "held_rows.py", *sorted((BENCHMARKS / "other_world").glob("*.py"))]
READS_ANALYSES_PREDICTS = {
    "telemetry.pipeline",
    "telemetry.pipeline.studied",
    "telemetry.pipeline.valuing",
    "telemetry.ride_day",
    "telemetry.model.measure",
    "telemetry.model.prediction",
}
COIL = End(ratio_start=2.5, ratio_full=2.5, stroke_m=0.06, rate_n_m=90e3, preload_m=0.002, unsprung_kg=4, tyre_n_m=1e5)
FORK = End(ratio_start=0.9, ratio_full=0.9, stroke_m=0.16, rate_n_m=9e3, preload_m=0.005, unsprung_kg=3, tyre_n_m=9e4)


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_the_other_world_takes_of_the_product_only_what_reads_analyses_and_predicts(path: Path) -> None:
    names = imported(path)
    product = {name for name in names if name.split(".")[0] in {"telemetry", "dashboards"}} - {"telemetry"}
    assert product <= READS_ANALYSES_PREDICTS
    others = {name for name in names if name.startswith("tests.")} - {"tests.benchmarks.held_rows"}
    assert all(name.startswith("tests.benchmarks.other_world.") for name in others)


STEADY = Body(45.6, 49.4, 95, 20, 0.65, 0.6, 1.0, 102)
BODIES: dict[Family, Body] = {
    "quarter": STEADY,
    "half": STEADY,
    "legs": STEADY._replace(
        front_kg=41.32,  # by the lever: a frame of 20 kg 0.55 m before the rear axle, a rider of 75 kg 0.542 m
        rear_kg=53.68,
        frame_kg=20.0,
        pitch_kg_m2=3.0,
        to_front_m=0.70,
        to_rear_m=0.55,
        rider_kg=75.0,
        feet_share=0.8,
        feet_m=-0.06,
        hands_m=0.2,
        feet_n_m=9000.0,
        hands_n_m=2000.0,
    ),
}


def _closed_form(family: Family, body: Body, ground_m: float, time: Floats) -> Floats:
    """Return both strokes' change after a rise beneath the front wheel: free vibration without loss, by its modes."""
    if family == "quarter":
        front, rear = np.array([1.0, 0, -1, 0, 0]), np.array([0, 1.0, 0, -1, 0])
        masses = [FORK.unsprung_kg, COIL.unsprung_kg, body.front_kg, body.rear_kg, 1.0]
    else:
        front, rear = np.array([1.0, 0, -1, -body.to_front_m, 0]), np.array([0, 1.0, -1, body.to_rear_m, 0])
        masses = [FORK.unsprung_kg, COIL.unsprung_kg, body.frame_kg, body.pitch_kg_m2, body.rider_kg]
    wheels = np.eye(5)[:2]
    springs = [(end.rate_n_m / end.ratio_start**2, way) for end, way in ((FORK, front), (COIL, rear))]
    springs += [(FORK.tyre_n_m, wheels[0]), (COIL.tyre_n_m, wheels[1])]
    if family == "legs":
        feet, hands = np.array([0, 0, 1.0, body.feet_m, -1]), np.array([0, 0, 1.0, body.hands_m, -1])
        springs += [(body.feet_n_m, feet), (body.hands_n_m, hands)]
    else:
        springs.append((1.0, np.eye(5)[4]))  # nobody on legs: a mass by itself
    stiffness = np.sum([rate * np.outer(way, way) for rate, way in springs], axis=0)
    squares, modes = eigh(stiffness, np.diag(masses))
    rests = np.linalg.solve(stiffness, FORK.tyre_n_m * ground_m * wheels[0])
    shares = modes.T @ np.diag(masses) @ rests
    moved = rests[:, None] - modes @ (shares[:, None] * np.cos(np.sqrt(squares)[:, None] * time))
    return np.array([front @ moved / FORK.ratio_start, rear @ moved / COIL.ratio_start])


@pytest.mark.parametrize("family", FAMILIES)
def test_each_family_vibrates_as_its_modes_tell(family: Family) -> None:
    body, rise, still = BODIES[family], 0.002, np.zeros(STEPS_S // 2)
    course = Course(np.full_like(still, rise), still, still, still, still)
    course.front_m[0] = 0
    strokes = ridden(family, (FORK, COIL), body, course, settle_s=0, compiled=False).stroke_m
    rests = [
        stroke_of(end, rest_travel_m(end, load * G))[0] for end, load in ((FORK, body.front_kg), (COIL, body.rear_kg))
    ]
    time = np.maximum(np.arange(strokes.shape[1]) * KEPT_EVERY - 1, 0) / STEPS_S
    expected = np.array(rests)[:, None] + _closed_form(family, body, rise, time)
    np.testing.assert_allclose(strokes, expected, atol=0.03 * rise)


def test_an_end_rests_where_spring_and_friction_carry_its_load() -> None:
    load = 500.0
    rubs = COIL._replace(friction_n=60.0)
    for side in (-1, 0, 1):  # friction holds down, nothing, up
        stroke, _ = stroke_of(rubs, rest_travel_m(rubs, load, side))
        assert stroke == pytest.approx((load * 2.5 - side * 60) / 90e3 - 0.002, abs=1e-6)


def test_stroke_and_wheel_travel_go_both_ways_over_a_progressive_linkage() -> None:
    end = End(ratio_start=3.0, ratio_full=2.4, stroke_m=0.06)
    assert travel_of(end, 0.06) == pytest.approx(0.06 * 2.7)
    stroke, ratio = stroke_of(end, travel_of(end, 0.045))
    assert (stroke, ratio) == pytest.approx((0.045, 3.0 - 0.6 * 0.75))


@pytest.mark.parametrize(("cooling_s", "exponent"), [(1e6, 1.4), (5e-4, 1.0)])
def test_gas_is_adiabatic_where_it_keeps_its_warmth_and_isothermal_where_it_loses_it(
    cooling_s: float, exponent: float
) -> None:
    area, room, pressure, steps = 8e-4, 2e-4, 6e5, 6000
    end = End(1, 1, 0.16, positive_m2=area, positive_m3=room, positive_pa=pressure, cooling_s=cooling_s)
    speed, warmth = 0.1, np.ones(3)
    for step in range(steps):  # a second
        warm(end, speed * step / steps, speed, warmth, 1 / steps)
    expected = area * (pressure * (room / (room - area * speed)) ** exponent - end.atmosphere_pa)
    assert spring_n(end, speed, warmth) == pytest.approx(expected, rel=2e-3)


def test_friction_turns_round_over_its_bristle_and_a_tyre_never_pulls() -> None:
    end, bristle = FORK._replace(bristle_m=2e-4), np.array([-1.0])
    for _ in range(10):
        bend(end, bristle, 0.2, 1e-4)  # 0.2 mm in all, against where it was bent
    assert bristle[0] == pytest.approx(1 - 2 * math.exp(-1))
    assert tyre_n(end, -1e-3, 5.0) == 0.0
    assert tyre_n(end._replace(tyre_n_s_m=200), 1e-3, -5.0) == 0.0


def test_a_damper_has_its_slopes_far_from_its_knee() -> None:
    end = FORK._replace(rebound_low_n_s_m=3000.0, rebound_knee_m_s=0.2, rebound_high_n_s_m=1000.0)
    assert damper_n(end, -1e-4) / -1e-4 == pytest.approx(3000, rel=1e-4)
    assert damper_n(end, -3.0) == pytest.approx(-(1000 * 3.0 + 2000 * 0.2))


def test_a_tyre_rolls_over_a_spike_along_a_circle() -> None:
    ground = np.zeros(300)
    ground[150] = 0.1
    path = axle_path_m(ground, 0.35, patch_m=STEP_M)
    off = (np.arange(300) - 150) * STEP_M
    circle = 0.1 - 0.35 + np.sqrt(np.maximum(0.35**2 - off**2, 0))
    np.testing.assert_allclose(path, np.maximum(circle, 0), atol=1e-9)


def test_a_trail_is_told_by_its_seed_and_calmed_only_in_what_is_short() -> None:
    trail, same, other = (drawn_trail(np.random.default_rng(seed), 200.0, dirt=False) for seed in (5, 5, 6))
    assert trail == same
    assert trail != other
    one, again, next_line = (ground_m(trail, np.random.default_rng(run), 1.0) for run in (1, 1, 2))
    np.testing.assert_array_equal(one, again)
    assert 0.7 < np.corrcoef(one, next_line)[0, 1] < 1
    calm = trail.calmer(0.5)
    assert (calm.rough_m, calm.drops) == (trail.rough_m / 2, trail.drops)
    assert ground_m(calm, np.random.default_rng(1), 1.0).std() < one.std()


def _sag(bike: Bike, place: Place) -> float:
    return rest_travel_m(equations_of(bike, place), bike.sprung_kg(place) * G) * 1e3 / bike.end(place).travel_mm


def test_drawn_bikes_are_told_by_their_seed_sag_as_wished_and_carry_their_rider() -> None:
    bikes = [drawn_bike(np.random.default_rng(seed)) for seed in range(12)]
    assert bikes[3] == drawn_bike(np.random.default_rng(3))
    for bike in bikes:
        for place in PLACES:
            low, high = SAG["dirt front" if bike.dirt and place == "front" else place]
            assert low - 1e-3 < _sag(bike, place) < high + 1e-3
        body = drawn_body(bike, np.random.default_rng(0), "legs")
        feet = body.feet_share * body.feet_m + (1 - body.feet_share) * body.hands_m
        front = (body.frame_kg * body.to_rear_m + body.rider_kg * (feet + body.to_rear_m)) * 1e3 / bike.wheelbase_mm
        assert front == pytest.approx(body.front_kg)
        assert body.frame_kg + body.rider_kg == pytest.approx(body.front_kg + body.rear_kg)


@pytest.mark.parametrize("change", [*CHANGES, *WRONG])
def test_a_tuner_states_one_end_changed_and_every_figure_about_as_it_is(change: str) -> None:
    made = {**CHANGES, **WRONG}[change](np.random.default_rng(11))
    says = stated(made, np.random.default_rng(12))
    assert says == stated(made, np.random.default_rng(12))
    assert says != stated(made, np.random.default_rng(13))
    still = PLACES[made.place == "front"]
    assert says.other[still] == {}
    assert made.base.end(still) == made.other.end(still)
    assert made.base != made.other
    assert ("damper_points" in says.other[made.place]) == (change in {"valving", "clicks"})
    for place in PLACES:
        true = figures(made.base, place)
        for key in true.keys() & says.base[place].keys():
            share, amount = KNOWN[key]
            wrong = made.wrong.get(key, (1.0, 1.0))[0] if place == made.place else 1.0
            off = says.base[place][key] / wrong - true[key]
            assert abs(off) <= FARTHEST * (share * abs(true[key]) + amount) + 1e-4
