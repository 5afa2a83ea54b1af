"""Turning points against a slow walk, and against the published reversals of a rainflow standard."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import rainflow
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from telemetry.measures.turning_points import _walked, local_extremes, turning_points

# ASTM E1049-85 (2011), 5.4.4, Fig. 6: the worked rainflow example; the series as printed in several public sources.
E1049_SERIES = [-2, 1, -3, 5, -1, 3, -4, 4, -2]
E1049_COUNTS = [(3, 0.5), (4, 1.5), (6, 0.5), (8, 1.0), (9, 0.5)]

walks = arrays(np.float64, st.integers(2, 80), elements=st.integers(-6, 6).map(float)).map(np.cumsum)


def walked(signal: np.ndarray, gate: float) -> list[int]:
    """Walk sample by sample, exactly as the definition reads."""
    found: list[int] = []
    high = low = signal[0]
    high_at = low_at = direction = 0
    for at, value in enumerate(signal):
        if direction >= 0:
            if value >= high:
                high, high_at = value, at
            elif high - value >= gate:
                found.append(high_at)
                direction, low, low_at = -1, value, at
                continue
        if direction <= 0:
            if value <= low:
                low, low_at = value, at
            elif value - low >= gate:
                found.append(low_at)
                direction, high, high_at = 1, value, at
    return found


@given(walks, st.sampled_from([0.5, 1.0, 3.0, 4.0, 7.5]))
@settings(max_examples=300)
def test_the_fast_way_finds_what_the_walk_finds(signal: np.ndarray, gate: float) -> None:
    assert turning_points(signal, gate).samples.tolist() == walked(signal, gate)


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
