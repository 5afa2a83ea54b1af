"""Linkages of every kind against scipy's least squares on all distances within bodies, from the place before."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from scipy.optimize import least_squares

from telemetry.mechanics.leverage import LeverageCurve
from telemetry.mechanics.linkage import linkage_path, paths_of_draws, solve_linkage
from telemetry.mechanics.mechanism import places_of
from telemetry.model.linkage import Linkage
from tests.mechanics.linkages_made import FLOATING, ROCKER, STROKES, mirrored

STEP_MM = 1e-3
PER_STROKE_MM, PER_RATIO = 0.05, 0.005
"""As near as a linkage of any kind has to come; these come far nearer."""


def distances(linkage: Linkage, moving: np.ndarray) -> np.ndarray:
    """Return all distances within bodies, then the shock's length."""
    places = {**linkage.fixed, **dict(zip(linkage.moving, moving.reshape(-1, 2), strict=True))}
    pairs = [pair for body in linkage.bodies.values() for pair in combinations(body, 2)]
    return np.array([np.hypot(*np.subtract(places[a], places[b])) for a, b in [*pairs, linkage.shock]])


def axle_at(linkage: Linkage, strokes: np.ndarray) -> np.ndarray:
    """Return where the axle is at each stroke, shape (n, 2), by least squares."""
    start = np.array([*linkage.moving.values()], dtype=float).ravel()
    wanted = distances(linkage, start)
    place, found = list(linkage.moving).index(linkage.axle), []
    state, last = start, 0.0
    for stroke in strokes:
        for part in np.linspace(last, stroke, 2 + int((stroke - last) / 4))[1:]:
            target = wanted - np.append(np.zeros(wanted.size - 1), part)
            state = least_squares(
                lambda at, target=target: distances(linkage, at) - target, state, xtol=1e-15, ftol=1e-15, gtol=1e-15
            ).x
        last = stroke
        found.append(state[2 * place : 2 * place + 2])
    return np.array(found)


@pytest.mark.parametrize(("linkage", "stroke_mm"), STROKES.values(), ids=STROKES)
def test_travel_ratio_and_axle_path_are_those_of_another_solver(linkage: Linkage, stroke_mm: float) -> None:
    path = linkage_path(linkage, stroke_mm)
    at = np.array([0.0, 0.3, 0.7, 1.0]) * stroke_mm
    axle = axle_at(linkage, np.sort(np.concatenate([at, at + STEP_MM]))).reshape(4, 2, 2)
    start = np.array(linkage.moving[linkage.axle])
    row = np.rint(at / stroke_mm * (len(path.stroke_mm) - 1)).astype(int)
    assert path.travel_mm[row] == pytest.approx(axle[:, 0, 1] - start[1], abs=1e-6)
    assert path.axle_x_mm[row] == pytest.approx(axle[:, 0, 0] - start[0], abs=1e-6)
    assert path.ratio[row] == pytest.approx((axle[:, 1, 1] - axle[:, 0, 1]) / STEP_MM, abs=1e-3)


@pytest.mark.parametrize(("linkage", "stroke_mm"), STROKES.values(), ids=STROKES)
def test_the_curve_that_rides_are_measured_by_is_as_near(linkage: Linkage, stroke_mm: float) -> None:
    """It has the same positions and interpolates between them."""
    curve = LeverageCurve(solve_linkage(linkage, stroke_mm))
    fine = linkage_path(linkage, stroke_mm, steps=330)
    assert curve.travel_mm(fine.stroke_mm) == pytest.approx(fine.travel_mm, abs=PER_STROKE_MM / 10)
    assert curve.ratio(fine.stroke_mm) == pytest.approx(fine.ratio, abs=2 * PER_RATIO)


def test_drawn_facing_left_only_the_way_forward_turns_round() -> None:
    right, left = (linkage_path(linkage, 62.5) for linkage in (ROCKER, mirrored(ROCKER)))
    assert left.travel_mm == pytest.approx(right.travel_mm, abs=1e-9)
    assert left.axle_x_mm == pytest.approx(-right.axle_x_mm, abs=1e-9)


class TestAnotherShock:
    """Topped out with another shock is where the drawn one is while it is as short, or would be were it as long."""

    def test_a_shorter_one_begins_further_on(self) -> None:
        drawn = linkage_path(ROCKER, 50.0, steps=100)
        length = np.hypot(*np.subtract(ROCKER.moving["shock_rear"], ROCKER.fixed["shock_front"]))
        shorter = linkage_path(replace(ROCKER, shock_length_mm=length - 5.0), 45.0, steps=90)
        assert shorter.travel_mm == pytest.approx(drawn.travel_mm[10:] - drawn.travel_mm[10], abs=1e-9)
        assert shorter.ratio == pytest.approx(drawn.ratio[10:], abs=1e-9)

    def test_offset_bushes_are_a_shorter_shock(self) -> None:
        length = np.hypot(*np.subtract(ROCKER.moving["shock_rear"], ROCKER.fixed["shock_front"]))
        by_length = linkage_path(replace(ROCKER, shock_length_mm=length - 3.0), 40.0)
        by_offset = linkage_path(replace(ROCKER, shock_offset_mm=3.0), 40.0)
        assert by_offset.travel_mm == pytest.approx(by_length.travel_mm, abs=1e-9)

    def test_a_longer_one_lowers_the_axle(self) -> None:
        length = np.hypot(*np.subtract(ROCKER.moving["shock_rear"], ROCKER.fixed["shock_front"]))
        longer = linkage_path(replace(ROCKER, shock_length_mm=length + 5.0), 62.5)
        back = linkage_path(
            replace(ROCKER, moving={n: tuple(p[0]) for n, p in longer.points_mm.items() if n in ROCKER.moving}), 5.0
        )
        assert back.points_mm["axle"][-1] == pytest.approx(ROCKER.moving["axle"], abs=1e-8)


class TestDraws:
    def test_draws_that_are_all_as_measured_give_the_path_itself(self) -> None:
        strokes = np.linspace(0.0, 45.0, 10)
        rise, ratio, forward = paths_of_draws(FLOATING, np.repeat(places_of(FLOATING)[None], 3, axis=0), strokes)
        path = linkage_path(FLOATING, 45.0, steps=9)
        assert rise == pytest.approx(np.tile(path.travel_mm, (3, 1)), abs=1e-9)
        assert ratio == pytest.approx(np.tile(path.ratio, (3, 1)), abs=1e-9)
        assert forward == pytest.approx(np.tile(path.axle_x_mm, (3, 1)), abs=1e-9)

    def test_each_draw_is_a_linkage_of_its_own(self) -> None:
        rng = np.random.default_rng(3)
        draws = places_of(ROCKER) + rng.normal(0.0, 2.0, (4, 7, 2))
        rise, ratio, _ = paths_of_draws(ROCKER, draws, np.linspace(0.0, 60.0, 13))
        for draw, own_rise, own_ratio in zip(draws, rise, ratio, strict=True):
            points = dict(zip((*ROCKER.fixed, *ROCKER.moving), map(tuple, draw), strict=True))
            one = replace(
                ROCKER,
                fixed={name: points[name] for name in ROCKER.fixed},
                moving={name: points[name] for name in ROCKER.moving},
            )
            path = linkage_path(one, 60.0, steps=12)
            assert own_rise == pytest.approx(path.travel_mm, abs=1e-9)
            assert own_ratio == pytest.approx(path.ratio, abs=1e-9)

    def test_draws_that_lock_are_left_out(self) -> None:
        draws = np.repeat(places_of(ROCKER)[None], 2, axis=0)
        draws[1, 2] = (-60.0, 330.0)  # the shock's front eye so near that it can't shorten so far
        rise, _, _ = paths_of_draws(ROCKER, draws, np.linspace(0.0, 62.5, 26))
        assert len(rise) == 1
