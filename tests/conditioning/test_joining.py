"""Two clocks joined: the line between them, shapes that lag, readings on one clock."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.conditioning import clock_line, joined_log, rows_there, shape_lag_s
from telemetry.model.log import Log


def log(time_s: np.ndarray, segments: tuple[tuple[int, int], ...] | None = None, first_row: int = 2) -> Log:
    return Log(
        path=Path("run.csv"),
        time_s=time_s,
        columns={"A0": 100 + 50 * np.sin(2 * np.pi * 1.5 * time_s)},
        rate_hz=(time_s.shape[0] - 1) / (time_s[-1] - time_s[0]),
        even=True,
        segments=segments or ((0, time_s.shape[0]),),
        gap_s=0.0,
        stamp_resolution_s=0.001,
        first_row=first_row,
        source_rows=None,
        first_stamp=None,
        findings=(),
        history=(),
    )


@given(offset=st.floats(-100, 100), ppm=st.floats(-900, 900), moments=st.integers(2, 9), seed=st.integers(0, 1000))
def test_the_line_is_found_again(offset: float, ppm: float, moments: int, seed: int) -> None:
    """Over ten minutes, to a thousandth of a millisecond."""
    there = np.sort(np.random.default_rng(seed).uniform(0, 600, moments)) + np.arange(moments)
    line = clock_line((offset + (1 + ppm / 1e6) * there).tolist(), there.tolist())
    assert line.drift_ppm == pytest.approx(ppm, abs=0.01)
    assert np.abs(line.here(there) - (offset + (1 + ppm / 1e6) * there)).max() < 1e-6
    assert line.worst_s < 1e-6


def test_moments_off_the_line_are_told() -> None:
    assert clock_line([0.0, 10.0, 20.3, 30.0], [0.0, 10.0, 20.0, 30.0]).worst_s == pytest.approx(0.21, abs=0.03)


def test_one_moment_gives_the_offset_only() -> None:
    line = clock_line([12.0], [5.0])
    assert (line.offset_s, line.rate) == (7.0, 1.0)


@pytest.mark.parametrize("lag_s", [-0.31, -0.0123, 0.0, 0.0377, 0.25])
def test_a_lag_is_found_between_samples(lag_s: float) -> None:
    time_s = np.arange(0, 3, 0.001)

    def shape(at_s: np.ndarray) -> np.ndarray:
        return sum(np.exp(-(((at_s - middle) / 0.08) ** 2)) for middle in (0.8, 1.5, 2.3))  # type: ignore[return-value]

    found, alike = shape_lag_s(shape(time_s - lag_s), shape(time_s), 1000.0, 0.5)
    assert found == pytest.approx(lag_s, abs=6e-4)
    assert alike > 0.97


def test_nothing_to_go_by_is_not_alike() -> None:
    assert shape_lag_s(np.ones(50), np.arange(50.0), 100.0, 0.2)[1] == 0.0


def test_readings_stand_on_one_clock() -> None:
    """The rear's clock starts 2 s later, runs 300 ppm slow and ticks at half the rate."""
    rate = 1 + 300e-6
    front = log(np.arange(0, 60, 0.002))
    rear = log(np.arange(0, 55, 0.004), first_row=5)
    line = clock_line([2.0, 2.0 + 50 * rate], [0.0, 50.0])
    whole = joined_log(front, rear, line, {"A0": "rear A0"})
    (start, stop) = whole.segments[0]
    assert whole.time_s[start] == pytest.approx(2.0, abs=0.003)
    assert whole.time_s[stop - 1] == pytest.approx(2 + rate * 54.996, abs=0.003)
    truth = 100 + 50 * np.sin(2 * np.pi * 1.5 * (whole.time_s[start:stop] - 2.0) / rate)
    np.testing.assert_allclose(whole.columns["rear A0"][start:stop], truth, atol=0.02)
    np.testing.assert_array_equal(whole.columns["A0"], front.columns["A0"])
    assert whole.gap_s == pytest.approx(60 - 0.002 - (whole.time_s[stop - 1] - whole.time_s[start]), abs=1e-9)
    rows = rows_there(front, rear, line)
    assert rows[np.searchsorted(front.time_s, 2.0 + rate * 4.0)] == pytest.approx(5 + 1000, abs=1)


def test_a_gap_in_either_log_is_a_gap() -> None:
    front = log(np.arange(0, 30, 0.01), segments=((0, 1000), (1500, 3000)))
    rear = log(np.arange(0, 30, 0.01), segments=((200, 2000), (2100, 3000)))
    whole = joined_log(front, rear, clock_line([0.0, 1.0], [0.0, 1.0]), {"A0": "rear A0"})
    assert [(a // 10, b // 10) for a, b in whole.segments] == [(20, 100), (150, 199), (210, 299)]
