"""A pyramid loses no peak, whatever part is looked at and however few points there may be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.measures import pyramid


@given(
    count=st.integers(1, 5000),
    seed=st.integers(0, 10**6),
    part=st.tuples(st.floats(0, 1), st.floats(0, 1)),
    most=st.integers(8, 400),
)
def test_lowest_and_highest_of_the_part_are_always_among_the_points(
    count: int, seed: int, part: tuple[float, float], most: int
) -> None:
    rng = np.random.default_rng(seed)
    place = np.cumsum(rng.integers(0, 3, count)).astype(np.float32)
    value = rng.standard_normal(count).astype(np.float32)
    start, end = sorted(float(place[0] + share * (place[-1] - place[0])) for share in part)
    places, values = pyramid(place, value).over(start, end, most)
    inside = (place >= start) & (place <= end)
    assert places.shape == values.shape
    assert places.shape[0] <= most + 2
    assert np.all(np.diff(places) >= 0)
    assert np.isin(values.astype(np.float32), value).all()
    if inside.any():
        assert values.min() <= value[inside].min()
        assert values.max() >= value[inside].max()


def test_a_single_spike_stays_at_its_place() -> None:
    place = np.arange(1_000_000) / 2000.0
    value = np.zeros(place.shape[0])
    value[654_321] = 99.0
    places, values = pyramid(place, value).over(0.0, 500.0, 2400)
    assert values.max() == 99.0
    assert places[values.argmax()] == pytest.approx(654_321 / 2000, abs=500 / 1200)


def test_near_enough_it_is_every_value() -> None:
    place = np.arange(100_000) / 1000.0
    value = np.sin(place)
    places, values = pyramid(place, value).over(50.0, 51.0, 2400)
    expected = slice(49_999, 51_002)
    np.testing.assert_allclose(places, place[expected], rtol=1e-6)
    np.testing.assert_allclose(values, value[expected], rtol=1e-5, atol=1e-6)


def test_outside_of_the_trace_there_is_next_to_nothing() -> None:
    places, _ = pyramid(np.arange(100.0), np.zeros(100)).over(500.0, 600.0, 50)
    assert places.shape[0] <= 1


def test_pieces_hold_lowest_mean_and_highest_of_what_lies_in_them() -> None:
    place, value = np.arange(10.0), np.array([3.0, 1, 2, 9, 8, 7, 6, 5, 4, 0])
    found = pyramid(place, value).of_pieces(np.array([0.0, 3.0, 3.5, 3.6, 8.0]))
    np.testing.assert_allclose(found[:, 0], [1, 2, 3])
    np.testing.assert_allclose(found[:, 1], 9)
    assert np.isnan(found[:, 2]).all()
    np.testing.assert_allclose(found[:, 3], [5, 6.5, 8])
    assert pyramid(place, value).between(2.0, 5.0) == 3
