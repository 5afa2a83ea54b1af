"""Leverage curves against the interpolation written out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from telemetry.mechanics.leverage import LeverageCurve
from telemetry.model.day import LeverageTable

STROKE = (0.0, 10.0, 22.0, 31.0, 44.0, 57.0, 62.5)
TRAVEL = (0.0, 29.7, 64.4, 89.6, 123.9, 155.0, 167.6)

# R. E. Carlson, F. N. Fritsch, SIAM J. Numer. Anal. 17 (1980) 238: the data that cubic splines overshoot; from memory.
STEEP_STROKE = (7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0)
STEEP_TRAVEL = (0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994)


def curve(stroke: tuple[float, ...] = STROKE, travel: tuple[float, ...] = TRAVEL) -> LeverageCurve:
    return LeverageCurve(LeverageTable(stroke_mm=stroke, travel_mm=travel, source="table"))


def hand_slopes(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the slope at every point of increasing data: weighted harmonic mean inside, three points at the ends."""
    h, delta = np.diff(x), np.diff(y) / np.diff(x)
    first, second = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    inner = (first + second) / (first / delta[:-1] + second / delta[1:])

    def end(h0: float, h1: float, d0: float, d1: float) -> float:
        slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
        return max(slope, 0.0)

    return np.array(
        [end(h[0], h[1], delta[0], delta[1]), *inner, end(h[-1], h[-2], delta[-1], delta[-2])],
    )


def hand_travel(x: np.ndarray, y: np.ndarray, at: float) -> float:
    """Return the cubic through two points with their slopes, in its textbook form."""
    slopes = hand_slopes(x, y)
    k = min(int(np.searchsorted(x, at, side="right")) - 1, x.shape[0] - 2)
    h = x[k + 1] - x[k]
    t = (at - x[k]) / h
    return float(
        (1 + 2 * t) * (1 - t) ** 2 * y[k]
        + t * (1 - t) ** 2 * h * slopes[k]
        + t**2 * (3 - 2 * t) * y[k + 1]
        + t**2 * (t - 1) * h * slopes[k + 1]
    )


steps = st.lists(st.tuples(st.floats(1.0, 15.0), st.floats(1.5, 4.5)), min_size=2, max_size=9)
gentle = st.lists(st.tuples(st.floats(1.0, 15.0), st.floats(2.0, 3.9)), min_size=2, max_size=9)
"""Ratios that less than double from step to step: only then is an end's slope above zero and the curve invertible."""


def table(pieces: list[tuple[float, float]]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return stroke and travel that grow by these strokes at these mean ratios."""
    stroke = np.concatenate([[0.0], np.cumsum([step for step, _ in pieces])])
    travel = np.concatenate([[0.0], np.cumsum([step * ratio for step, ratio in pieces])])
    return tuple(stroke.tolist()), tuple(travel.tolist())


def test_it_passes_through_every_point() -> None:
    assert curve().travel_mm(np.array(STROKE)) == pytest.approx(TRAVEL, abs=1e-12)
    assert curve().stroke_mm(np.array(TRAVEL)) == pytest.approx(STROKE, abs=1e-12)


@given(steps)
@settings(max_examples=40)
def test_between_points_it_is_the_cubic_of_the_hand_computed_slopes(pieces: list[tuple[float, float]]) -> None:
    stroke, travel = (np.array(column) for column in table(pieces))
    at = np.linspace(stroke[0], stroke[-1], 41)
    by_hand = [hand_travel(stroke, travel, place) for place in at]
    found = curve(tuple(stroke), tuple(travel)).travel_mm(at)
    assert found == pytest.approx(by_hand, abs=2e-4)


def test_on_a_bikes_table_it_is_within_a_hundred_thousandth_of_a_millimetre() -> None:
    at = np.linspace(0, STROKE[-1], 1234)
    by_hand = np.array([hand_travel(np.array(STROKE), np.array(TRAVEL), place) for place in at])
    assert np.abs(curve().travel_mm(at) - by_hand).max() < 1e-5


def test_the_ratio_at_each_point_is_the_hand_computed_slope() -> None:
    assert curve().ratio(np.array(STROKE)) == pytest.approx(hand_slopes(np.array(STROKE), np.array(TRAVEL)), rel=1e-9)


@given(steps)
@example([(1.15, 3.5), (5.0, 1.5)])  # flat at its end, where rounding let it fall
@settings(max_examples=60)
def test_it_rises_throughout_and_stays_between_neighbouring_points(pieces: list[tuple[float, float]]) -> None:
    stroke, travel = table(pieces)
    found = curve(stroke, travel)
    at = np.linspace(-5.0, stroke[-1] + 5.0, 2001)
    assert np.all(np.diff(found.travel_mm(at)) >= 0)
    for left, right, low, high in zip(stroke[:-1], stroke[1:], travel[:-1], travel[1:], strict=True):
        inside = found.travel_mm(np.linspace(left, right, 50))
        assert low - 1e-9 <= inside.min()
        assert inside.max() <= high + 1e-9


def test_steep_data_are_not_overshot() -> None:
    stroke = tuple(value - STEEP_STROKE[0] for value in STEEP_STROKE)
    found = curve(stroke, STEEP_TRAVEL).travel_mm(np.linspace(stroke[0], stroke[-1], 5001))
    assert np.all(np.diff(found) >= 0)
    assert found.max() <= STEEP_TRAVEL[-1] + 1e-12


@pytest.mark.parametrize("beyond_mm", [0.5, 3.0, 40.0, 500.0])
def test_beyond_the_table_the_end_slopes_continue(beyond_mm: float) -> None:
    found, slopes = curve(), hand_slopes(np.array(STROKE), np.array(TRAVEL))
    below, above = found.travel_mm(np.array([-beyond_mm, STROKE[-1] + beyond_mm]))
    assert below == pytest.approx(-beyond_mm * slopes[0], rel=1e-9)
    assert above == pytest.approx(TRAVEL[-1] + beyond_mm * slopes[-1], rel=1e-9)
    assert found.ratio(np.array([-beyond_mm, STROKE[-1] + beyond_mm])) == pytest.approx(slopes[[0, -1]], rel=1e-9)


@given(gentle, st.lists(st.floats(-100, 200), min_size=1, max_size=30))
@settings(max_examples=60)
def test_stroke_from_travel_undoes_travel_from_stroke(pieces: list[tuple[float, float]], strokes: list[float]) -> None:
    found = curve(*table(pieces))
    at = np.array(strokes)
    assert found.stroke_mm(found.travel_mm(at)) == pytest.approx(at, abs=1e-8)


def test_a_constant_ratio_is_a_straight_line_everywhere() -> None:
    found = curve((0.0, 60.0), (0.0, 156.0))
    at = np.array([-300.0, -1.0, 0.0, 17.3, 60.0, 61.0, 400.0])
    assert found.travel_mm(at) == pytest.approx(2.6 * at, rel=1e-12, abs=1e-12)
    assert found.ratio(at) == pytest.approx(2.6, rel=1e-12)


def test_arrays_given_are_left_alone_and_shapes_kept() -> None:
    at = np.arange(6.0).reshape(2, 3)
    before = at.copy()
    assert curve().travel_mm(at).shape == (2, 3)
    assert np.array_equal(at, before)


@pytest.mark.parametrize(
    ("stroke", "travel", "words"),
    [
        ((0.0,), (0.0,), "two points or more"),
        ((0.0, 10.0, 10.0), (0.0, 20.0, 30.0), "both increase"),
        ((0.0, 10.0, 20.0), (0.0, 30.0, 30.0), "both increase"),
        ((0.0, 20.0, 10.0), (0.0, 30.0, 40.0), "both increase"),
    ],
)
def test_tables_that_are_no_curve(stroke: tuple[float, ...], travel: tuple[float, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        curve(stroke, travel)
