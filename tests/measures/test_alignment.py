"""Runs down one trail laid over each other by travel, on simulated laps whose true places are known."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.measures import Carried, align, aligned_shares, carried, ridden_samples, sections_at
from telemetry.measures.alignment import correlation, envelopes, warp
from tests.measures.made_laps import Lap, lap, made_trail
from tests.thresholds import threshold

ALIGNED_S = threshold("measures.carrying.ALIGNED_S")
FURTHEST_SHARE = threshold("measures.alignment.FURTHEST_SHARE")
SECTIONS = 20
SHARES = np.linspace(0, 1, SECTIONS + 1)


@cache
def ridden(trail: int, seed: int, setup: int = 0) -> Lap:
    return lap(made_trail(trail, 300.0), seed, setup=setup)


def places_m(one: Lap, shares: np.ndarray) -> np.ndarray:
    """Return the true places at which the inner sections begin, m."""
    sections = sections_at(ridden_samples(one.motion), shares)
    return one.place_m[[start for start, _ in sections[1:]]]


@pytest.mark.parametrize("trail", [0, 1, 2])
def test_the_same_places_are_found_on_simulated_laps(trail: int) -> None:
    """Another line, another pace and another setup; the median error falls from metres to under one."""
    first, second = ridden(trail, 1), ridden(trail, 2, setup=1)
    alignment = align(first.motion, second.motion)
    true = places_m(first, SHARES)
    before = np.median(np.abs(places_m(second, SHARES) - true))
    after = np.median(np.abs(places_m(second, aligned_shares(alignment, SECTIONS)) - true))
    assert alignment.good
    assert before > 1.5
    assert after < 1.0
    assert after < before / 4
    assert alignment.after > 0.95 > alignment.before


def test_how_far_it_was_moved_is_told() -> None:
    first, second = ridden(0, 1), ridden(0, 2, setup=1)
    alignment = align(first.motion, second.motion)
    off = np.max(np.abs(alignment.run - alignment.reference)) * second.motion.time.riding_s
    assert alignment.furthest_s == pytest.approx(off)
    assert 0.5 < alignment.furthest_s < FURTHEST_SHARE * second.motion.time.riding_s + 0.5


@pytest.mark.parametrize("pair", [(0, 1), (0, 2), (1, 2)])
def test_another_trail_is_refused(pair: tuple[int, int]) -> None:
    alignment = align(ridden(pair[0], 1).motion, ridden(pair[1], 1).motion)
    assert not alignment.good
    assert alignment.after < alignment.needed


def test_a_run_laid_over_itself_stays_where_it_is() -> None:
    motion = ridden(0, 1).motion
    alignment = align(motion, motion)
    assert (alignment.before, alignment.after) == pytest.approx((1.0, 1.0))
    assert alignment.furthest_s == pytest.approx(0.0, abs=1e-9)
    np.testing.assert_allclose(aligned_shares(alignment, SECTIONS), SHARES, atol=1e-12)


def test_envelopes_do_not_see_how_stiff_a_setup_is() -> None:
    rows = envelopes(ridden(0, 1).motion, 200, ("front", "rear"))
    assert rows.shape == (2, 200)
    np.testing.assert_allclose(rows.mean(axis=1), 0, atol=1e-12)
    np.testing.assert_allclose(rows.std(axis=1), 1, atol=1e-12)


def slow_warp(reference: np.ndarray, other: np.ndarray) -> float:
    """Return the least cost of any allowed path, by trying the steps back from every pair of cells one by one."""
    count = reference.shape[1]
    cost = [
        [
            float(np.mean((reference[:, i] - other[:, j]) ** 2))
            if abs(i - j) <= max(2.0, FURTHEST_SHARE * count)
            else np.inf
            for j in range(count)
        ]
        for i in range(count)
    ]
    best = [[np.inf] * count for _ in range(count)]
    best[0][0] = 2 * cost[0][0]
    for i in range(1, count):
        for j in range(1, count):
            ways = [best[i - 1][j - 1] + 2 * cost[i][j]]
            if j >= 2:
                ways.append(best[i - 1][j - 2] + 2 * cost[i][j - 1] + cost[i][j] + 0.05)
            if i >= 2:
                ways.append(best[i - 2][j - 1] + 2 * cost[i - 1][j] + cost[i][j] + 0.05)
            best[i][j] = min(ways)
    return best[-1][-1]


def cost_of(path: tuple[np.ndarray, np.ndarray], reference: np.ndarray, other: np.ndarray) -> float:
    """Return what a found path costs by the same rule."""
    cells = [(int(i - 0.5), int(j - 0.5)) for i, j in zip(path[0][1:-1], path[1][1:-1], strict=True)]

    def cost(i: int, j: int) -> float:
        return float(np.mean((reference[:, i] - other[:, j]) ** 2))

    total = 2 * cost(0, 0)
    for (i0, j0), (i, j) in pairwise(cells):
        between = {(1, 1): [], (1, 2): [(i, j - 1)], (2, 1): [(i - 1, j)]}[i - i0, j - j0]
        total += sum(2 * cost(*cell) + 0.05 for cell in between) + (1 if between else 2) * cost(i, j)
    return total


@settings(max_examples=40)
@given(seed=st.integers(0, 10_000), count=st.integers(4, 40), rows=st.integers(1, 2))
def test_no_allowed_path_is_better(seed: int, count: int, rows: int) -> None:
    rng = np.random.default_rng(seed)
    reference, other = rng.standard_normal((2, rows, count))
    path = warp(reference, other)
    assert cost_of(path, reference, other) == pytest.approx(slow_warp(reference, other))
    for places in path:
        assert (places[0], places[-1]) == (0, count)
        assert np.all(np.diff(places) > 0)


def test_correlation_is_the_usual_one() -> None:
    a, b = np.random.default_rng(1).standard_normal((2, 2, 50))
    assert correlation(a, b) == pytest.approx(np.corrcoef(a.ravel(), b.ravel())[0, 1])
    assert correlation(a, np.ones_like(a)) == 0.0


@pytest.mark.parametrize("trail", [0, 1, 2])
def test_a_stretch_of_trail_is_carried_over_by_travel(trail: int) -> None:
    """Of 95 in 100 stretches both ends lie as near to their true place as is said."""
    first, second = ridden(trail, 1), ridden(trail, 2, setup=1)
    rate_hz, seconds = first.motion.time.rate_hz, first.motion.time.riding_s
    off_s = []
    for start_s in np.linspace(10, seconds - 18, 12):
        where = (round(start_s * rate_hz), round((start_s + 8) * rate_hz))
        found = carried(first.motion, second.motion, where, [])
        assert isinstance(found, Carried)
        assert (found.by, found.known_to_s) == ("travel", ALIGNED_S)
        true = np.searchsorted(second.place_m, first.place_m[list(where)])
        off_s.extend(np.abs(true - found.stretch) / rate_hz)
    assert np.quantile(off_s, 0.95) < ALIGNED_S
