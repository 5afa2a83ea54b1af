"""Top-outs: the line, and how fast the last 8 mm before it are, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.topping import find_top_outs, top_outs_per_min
from tests.measures.bare_rides import FULL_MM, bare_view, strokes
from tests.thresholds import threshold

LINE_MM = threshold("measures.topping.LINE_SHARE") * FULL_MM
APPROACH_MM = threshold("measures.topping.APPROACH_MM")
FASTER_MM_S = threshold("measures.topping.FASTER_THAN_MM_S")
RATE_HZ = 1000.0


def arriving(speed_mm_s: float, to_mm: float = 0.0, from_mm: float = 60.0) -> np.ndarray:
    """Return travel that falls evenly, after a sample at its start."""
    return np.append(np.arange(from_mm, to_mm, -speed_mm_s / RATE_HZ), to_mm)


def found(travel: np.ndarray):
    returns = strokes((0, travel.shape[0] - 1), mm=travel)
    return find_top_outs(travel, returns, FULL_MM, RATE_HZ)


@pytest.mark.parametrize(("share", "counts"), [(0.999, False), (1.001, True)])
def test_the_last_8_mm_are_faster_than_400_mm_s(share: float, *, counts: bool) -> None:
    events = found(arriving(share * FASTER_MM_S))
    assert events.start.tolist() == [0][: int(counts)]
    assert events.value == pytest.approx([share * FASTER_MM_S][: int(counts)])
    assert events.weight.tolist() == [1.0][: int(counts)]


def test_exactly_400_mm_s_is_not_faster() -> None:
    """Steps of 8 mm in a fiftieth of a second: all of it whole numbers and binary fractions."""
    travel = LINE_MM + APPROACH_MM * np.array([3.0, 2.0, 1.0, 0.0])
    returns = strokes((0, 3), mm=travel)
    assert find_top_outs(travel, returns, FULL_MM, FASTER_MM_S / APPROACH_MM).start.size == 0
    assert find_top_outs(travel, returns, FULL_MM, 1.0001 * FASTER_MM_S / APPROACH_MM).start.size == 1


@pytest.mark.parametrize(("to_mm", "counts"), [(LINE_MM, True), (LINE_MM + 0.01, False)])
def test_a_return_comes_to_the_line(to_mm: float, *, counts: bool) -> None:
    assert found(arriving(900.0, to_mm)).start.size == int(counts)


@pytest.mark.parametrize(("from_mm", "counts"), [(LINE_MM, False), (LINE_MM + 9, True)])
def test_a_return_begins_above_it(from_mm: float, *, counts: bool) -> None:
    assert found(arriving(900.0, from_mm=from_mm)).start.size == int(counts)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_the_speed_is_that_of_the_last_8_mm(share: float) -> None:
    """Slow until a sample that lies within the last 8 mm, or just short of them, then one step past the line."""
    slow = np.arange(60.0, LINE_MM + share * APPROACH_MM, -0.2)
    travel = np.concatenate([slow, [LINE_MM + share * APPROACH_MM, LINE_MM]])
    (speed,) = found(travel).value
    if share > 1:
        assert speed == pytest.approx(share * APPROACH_MM * RATE_HZ)
    else:
        assert speed < 0.9 * APPROACH_MM * RATE_HZ


def test_a_return_that_does_not_hold_8_mm_before_the_line_is_none() -> None:
    assert found(arriving(900.0, from_mm=LINE_MM + 0.9 * APPROACH_MM)).start.size == 0


def test_each_return_is_judged_by_itself() -> None:
    one = np.concatenate([arriving(900.0), np.linspace(0, 60, 100)[1:-1]])
    travel = np.concatenate([one, np.append(arriving(300.0), np.linspace(0, 60, 100)[1:-1]), arriving(800.0)])
    peaks = [0, one.shape[0], travel.shape[0] - arriving(800.0).shape[0]]
    bottoms = [int(np.argmin(travel[first:])) + first for first in peaks]
    events = find_top_outs(travel, strokes(*zip(peaks, bottoms, strict=True), mm=travel), FULL_MM, RATE_HZ)
    assert events.start.tolist() == [peaks[0], peaks[2]]
    assert events.value == pytest.approx([900.0, 800.0], rel=1e-6)
    assert top_outs_per_min(replace(bare_view(minutes=0.5), top_outs=events)) == 4.0
