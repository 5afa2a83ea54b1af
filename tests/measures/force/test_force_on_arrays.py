"""Knots, coverage, fitting and the body that follows, each on arrays."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import bilinear, lfilter

from telemetry.measures.force.chassis import Follower
from telemetry.measures.force.coverage import covered
from telemetry.measures.force.fitting import blocks_of, solved, with_half_width
from telemetry.measures.force.knots import force_columns, friction_shape, hats
from telemetry.measures.force.sampling import _spread
from tests.thresholds import threshold

FULL_MM, RATE_HZ = 170.0, 150.0


def spread_ride(seconds: float = 240.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return travel, speed and blocks of a ride that is at every depth up to 60 % at every speed up to 0.5 m/s."""
    rng = np.random.default_rng(4)
    count = round(seconds * RATE_HZ)
    blocks = (np.arange(count) / RATE_HZ / 6).astype(np.int64)
    return rng.uniform(0.05 * FULL_MM, 0.6 * FULL_MM, count), rng.uniform(-0.5, 0.5, count), blocks


def test_hats_rebuild_a_broken_line_exactly() -> None:
    knots, values = np.array([-1.0, 0.0, 0.5, 3.0]), np.array([4.0, -2.0, 1.0, 7.0])
    at = np.concatenate([knots, np.linspace(-1, 3, 41)])
    assert hats(at, knots) @ values == pytest.approx(np.interp(at, knots, values))


def test_force_columns_rebuild_spring_damper_and_friction_at_the_wheel() -> None:
    rng = np.random.default_rng(1)
    travel, speed, lever = rng.uniform(0, 100, 500), rng.uniform(-1, 1, 500), rng.uniform(2, 3, 500)
    at, speeds = np.array([0.0, 40.0, 100.0]), np.array([-1.0, -0.2, 0.0, 0.3, 1.0])
    spring, damper, friction = np.array([1.0, 5.0, 20.0]), np.array([-9.0, -4.0, 0.0, 2.0, 3.0]), 0.7
    force = (
        np.interp(travel, at, spring) + (np.interp(speed, speeds, damper) + friction * friction_shape(speed)) / lever
    )
    columns = force_columns(travel, speed, lever, friction_shape(speed) / lever, (at, speeds))
    found = np.linalg.lstsq(columns, force, rcond=None)[0]
    assert found == pytest.approx([*spring, -9.0, -4.0, 2.0, 3.0, friction])


def test_a_ride_at_all_depths_and_speeds_is_covered_up_to_where_it_was() -> None:
    cells, knots = covered(*spread_ride(), RATE_HZ, FULL_MM)
    assert knots is not None
    travel, speed = knots
    assert 100 * travel[[0, -1]] / FULL_MM == pytest.approx([5, 60])
    assert speed[[0, -1]].tolist() == [-0.7, 0.7]
    assert cells.seconds.sum() == pytest.approx(240)
    assert cells.counted.sum() == 11 * 14


def test_a_pure_sine_is_refused_for_its_travel_tells_its_speed() -> None:
    time = np.arange(round(240 * RATE_HZ)) / RATE_HZ
    for hz, amplitude in ((2.0, 30.0), (1.0, 60.0), (3.0, 15.0)):
        travel = 60 + amplitude * np.sin(2 * np.pi * hz * time)
        speed = 1e-3 * 2 * np.pi * hz * amplitude * np.cos(2 * np.pi * hz * time)
        _, knots = covered(travel, speed, (time / 6).astype(np.int64), RATE_HZ, FULL_MM)
        assert knots is None


def test_a_depth_that_was_ridden_only_once_does_not_count() -> None:
    travel, speed, blocks = spread_ride()
    rng = np.random.default_rng(2)
    fewest = int(threshold("measures.force.coverage.FEWEST_BLOCKS"))
    for times, deepest in ((fewest - 1, 60), (fewest, 65)):
        now = travel.copy()
        for block in range(times):
            inside = np.flatnonzero(blocks == block)[:400]
            now[inside] = rng.uniform(0.6 * FULL_MM, 0.65 * FULL_MM - 1e-6, 400)
        _, knots = covered(now, speed, blocks, RATE_HZ, FULL_MM)
        assert knots is not None
        assert 100 * knots[0][-1] / FULL_MM == pytest.approx(deepest)


def test_too_little_travel_or_speed_is_refused() -> None:
    _, _, blocks = spread_ride()
    rng = np.random.default_rng(6)
    span = threshold("measures.force.coverage.LEAST_SPAN_PCT")
    fastest = threshold("measures.force.coverage.LEAST_SPEED_M_S")
    for width, speed, told in ((span, 0.3, True), (span - 5, 0.3, False), (span, fastest, False), (span, 0.15, True)):
        travel = rng.uniform(0.2, 0.2 + width / 100 - 1e-9, blocks.shape[0]) * FULL_MM
        _, knots = covered(travel, rng.uniform(-speed, speed, blocks.shape[0]), blocks, RATE_HZ, FULL_MM)
        assert (knots is not None) is told, (width, speed)


def test_what_normal_equations_do_not_determine_is_nothing() -> None:
    rng = np.random.default_rng(8)
    columns = np.column_stack([rng.normal(size=50), np.zeros(50), 1e6 * rng.normal(size=50)])
    values = columns @ np.array([2.0, 5.0, 3e-6])
    assert solved(columns.T @ columns, columns.T @ values) == pytest.approx([2.0, 0.0, 3e-6])


def test_the_jackknife_of_a_mean_is_its_standard_error_over_blocks() -> None:
    """Of equal blocks it is the textbook's: sd of the block means over the root of their number."""
    rng = np.random.default_rng(3)
    values = rng.normal(5, 1, 20 * 50)
    blocks = np.repeat(np.arange(20), 50)
    figure, half = with_half_width(blocks_of(np.ones((1000, 1)), values, blocks), lambda found: found, 0.10)
    means = values.reshape(20, 50).mean(axis=1)
    assert figure[0] == pytest.approx(values.mean())
    assert half[0] == pytest.approx(1.729133 * means.std(ddof=1) / np.sqrt(20), rel=1e-6)  # t of 19, 95 %


def test_a_body_that_follows_is_scipys_filter() -> None:
    rng = np.random.default_rng(5)
    signal, w, z = 9.8 + rng.normal(0, 3, 600), 2 * np.pi * 1.7, 0.7
    pushing = Follower(hz=1.7, damping=z).pushing(signal, 9.8, RATE_HZ)
    whole = [1.0, 2 * z * w, w * w]
    assert pushing == pytest.approx(9.8 + lfilter(*bilinear([2 * z * w, w * w], whole, RATE_HZ), signal - 9.8))


def test_samples_are_left_out_on_either_side() -> None:
    where = np.zeros(12, dtype=bool)
    where[[0, 6]] = True
    assert np.flatnonzero(_spread(where, 1, 2)).tolist() == [0, 1, 2, 5, 6, 7, 8]
    assert not _spread(np.zeros(5, dtype=bool), 2, 2).any()
