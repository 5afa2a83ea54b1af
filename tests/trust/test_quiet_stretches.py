"""Quiet stretches against a plain search through every window."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.trust.blocks import quiet_stretches


def by_hand(signal: np.ndarray, length: int, within: float) -> list[tuple[int, int]]:
    """Return the same, window by window."""
    found: list[tuple[int, int]] = []
    before = False
    for start in range(signal.shape[0] - length + 1):
        window = signal[start : start + length]
        quiet = bool(window.max() - window.min() <= within)
        if quiet and before:
            found[-1] = (found[-1][0], start + length)
        elif quiet:
            found.append((start, start + length))
        before = quiet
    return found


@settings(max_examples=300)
@given(
    values=st.lists(st.integers(0, 3), max_size=120),
    length=st.integers(2, 30),
    within=st.integers(0, 2),
)
def test_it_finds_what_a_search_through_every_window_finds(values: list[int], length: int, within: int) -> None:
    signal = np.array(values, dtype=float)
    assert quiet_stretches(signal, length, within) == by_hand(signal, length, within)


@pytest.mark.parametrize("start", range(0, 400, 37))
@pytest.mark.parametrize("length", [99, 100, 101])
def test_a_stretch_counts_wherever_it_starts(start: int, length: int) -> None:
    signal = np.arange(800) * 10.0
    signal[start : start + length] = signal[start]
    expected = [(start, start + length)] if length >= 100 else []
    assert quiet_stretches(signal, 100, 0.5) == expected
