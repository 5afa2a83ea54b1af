"""Turning points against their definition, one by one, and the published reversals of a rainflow standard."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import rainflow
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from telemetry.measures.turning_points import _walked, local_extremes, turning_points

# ASTM E1049-85 (2011), 5.4.4, Fig. 6: the worked rainflow example; the series as printed in several public sources.
E1049_SERIES = [-2, 1, -3, 5, -1, 3, -4, 4, -2]
E1049_COUNTS = [(3, 0.5), (4, 1.5), (6, 0.5), (8, 1.0), (9, 0.5)]

walks = arrays(np.float64, st.integers(2, 80), elements=st.integers(-6, 6).map(float)).map(np.cumsum)


def falls_by(after: np.ndarray, top: float, gate: float, *, equals: bool) -> bool | None:
    """Tell whether a signal falls by the gate before it stands above the top (or at it, where that ends it too)."""
    for value in after:
        if value > top or (equals and value == top):
            return False
        if top - value >= gate:
            return True
    return None


def by_definition(signal: np.ndarray, gate: float) -> list[tuple[int, bool]]:
    """Return every turning point and whether it is a high, each judged by itself.

    A high lies at the top of a swing of the gate or more on either side: going on from it, the signal falls so far
    before it comes as high again; going back from it, before it was higher, if the stretch doesn't begin first. A low
    is the high of the signal upside down. Nothing is walked, and no point is told from another.
    """
    found = []
    for is_high in (True, False):
        turned = signal if is_high else -signal
        for at, top in enumerate(turned):
            confirmed = falls_by(turned[at + 1 :], top, gate, equals=True)
            before = falls_by(turned[:at][::-1], top, gate, equals=False)
            if confirmed and before is not False:
                found.append((at, is_high))
    return sorted(found)


@given(walks, st.sampled_from([0.5, 1.0, 3.0, 4.0, 7.5]))
@settings(max_examples=300)
def test_turning_points_are_those_of_the_definition(signal: np.ndarray, gate: float) -> None:
    found = turning_points(signal, gate)
    highs = (np.arange(found.samples.size) % 2 == 0) == found.starts_high
    expected = by_definition(signal, gate)
    assert found.samples.tolist() == [at for at, _ in expected]
    if expected:
        assert highs.tolist() == [is_high for _, is_high in expected]


@pytest.mark.parametrize(
    ("signal", "gate", "found", "starts_high"),
    [
        ([0, 10, 5, 8, 0], 5, [0, 1], False),
        ([0, 10, 5, 8, 0], 3, [0, 1, 2, 3], False),
        ([8, 10, 0, 6], 5, [1, 2], True),
        ([0, 3, 3, 3, 0], 3, [0, 3], False),
        ([5, 5, 0, 0, 5], 5, [1, 3], True),
        ([0, 4.99, 0], 5, [], False),
        ([0, 2, 1, 3, 2, 4, 3, 5, 0], 5, [0, 7], False),
        ([7], 1, [], False),
        ([7, 7, 7], 1, [], False),
    ],
)
def test_small_cases_by_hand(signal: list[float], gate: float, found: list[int], *, starts_high: bool) -> None:
    points = turning_points(np.array(signal, dtype=float), gate)
    assert points.samples.tolist() == found
    assert points.starts_high == starts_high or not found


@given(walks, st.floats(0.5, 5.0), st.floats(0.1, 40.0), st.floats(-100, 100))
@settings(max_examples=100)
def test_scale_and_shift_move_nothing(signal: np.ndarray, gate: float, scale: float, shift: float) -> None:
    gate = round(gate) + 0.5  # off the lattice of values, so that rounding can't tip a comparison
    plain = turning_points(signal, gate)
    assert turning_points(signal * scale + shift, gate * scale).samples.tolist() == plain.samples.tolist()


@given(walks)
@settings(max_examples=100)
def test_turned_upside_down_highs_become_lows(signal: np.ndarray) -> None:
    upright, turned = turning_points(signal, 2.5), turning_points(-signal, 2.5)
    assert upright.samples.tolist() == turned.samples.tolist()
    assert not upright.samples.size or upright.starts_high != turned.starts_high


def test_of_a_plateau_the_last_sample_turns() -> None:
    signal = np.array([0.0, 0.0, 5.0, 5.0, 5.0, 0.0, 6.0, 0.0])
    assert turning_points(signal, 3.0).samples.tolist() == [1, 4, 5, 6]


def test_a_swing_just_under_the_gate_is_chatter() -> None:
    signal = np.array([0.0, 10.0, 7.01, 12.0, 0.0])
    assert turning_points(signal, 3.0).samples.tolist() == [0, 3]
    assert turning_points(signal, 2.99).samples.tolist() == [0, 1, 2, 3]


def test_a_level_signal_turns_nowhere() -> None:
    assert turning_points(np.full(50, 3.0), 1.0).samples.size == 0


def test_extremes_are_the_reversals_the_rainflow_standard_counts() -> None:
    series = np.array(E1049_SERIES, dtype=float)
    assert local_extremes(series).tolist() == list(range(9))
    kept = series[local_extremes(series)]
    assert sorted(rainflow.count_cycles(kept)) == E1049_COUNTS
    smooth = np.concatenate([a + (b - a) * (1 - np.cos(np.linspace(0, np.pi, 64))) / 2 for a, b in pairwise(series)])
    assert series[0] == smooth[0]
    found = turning_points(smooth, 1e-6).samples
    reversals = [value for _, value in rainflow.reversals(smooth)]
    assert smooth[found].tolist() == reversals[:-1]


@given(st.lists(st.integers(-6, 6), min_size=1, max_size=120), st.integers(1, 8), st.booleans())
def test_extremes_taken_at_once_are_those_of_the_gate_walked_over_them(steps, gate, spread):
    signal = np.cumsum(np.array(steps, dtype=float) + (0.01 * np.arange(len(steps)) if spread else 0.0))
    walked = _walked(signal, local_extremes(signal), float(gate))
    found = turning_points(signal, float(gate))
    np.testing.assert_array_equal(found.samples, walked.samples)
    assert found.starts_high == walked.starts_high or found.samples.size == 0
