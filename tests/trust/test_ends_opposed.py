"""`ends_opposed`: one end reads upside down, so that it comes out where the other goes in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.measures.ground_speed import find_lags
from tests.trust.one_run import ridden, told, working
from tests.trust.one_run import the_one as the_only
from tests.trust.test_ends_swapped import trail


@pytest.mark.parametrize("speed_m_s", [3.0, 6.0, 12.0])
@pytest.mark.parametrize("end", ["front", "rear"])
def test_an_end_that_reads_upside_down(tmp_path: Path, speed_m_s: float, end: str) -> None:
    front, rear = trail(speed_m_s)
    turned = (120 - front, rear) if end == "front" else (front, 120 - rear)
    run = ridden(tmp_path, *turned)
    finding = the_only(run, "ends_opposed")
    assert finding.severity == "error"
    assert "windows of 4 s (limit half" in finding.message
    assert not run.measures
    assert not told(run, "ends_swapped")


@pytest.mark.parametrize("speed_m_s", [3.0, 6.0, 12.0])
def test_the_right_way_up(tmp_path: Path, speed_m_s: float) -> None:
    assert not told(ridden(tmp_path, *trail(speed_m_s)), "ends_opposed")


def test_ends_that_move_as_one_are_not_opposed(tmp_path: Path) -> None:
    """A lag of nothing is no speed, and half a period later a sine does the opposite."""
    assert not told(ridden(tmp_path, working(40.0), working(40.0)), "ends_opposed")


def test_landings_do_not_tell_which_end_is_which() -> None:
    rate_hz, count = 200.0, 8000
    rough = np.convolve(np.random.default_rng(4).standard_normal(count), np.hanning(9), "same")
    front, rear = np.roll(rough, 40), rough  # the rear first, throughout
    ends, ridden_parts = (front, rear), ((0, count),)
    everywhere = find_lags(ends, ridden_parts, rate_hz, (0.06, 0.8))
    assert everywhere.reversed_windows == everywhere.judged_windows == everywhere.windows > 15
    flights = ((1000, 1200), (4000, 4200))
    clear = find_lags(ends, ridden_parts, rate_hz, (0.06, 0.8), flights)
    # windows of 800 samples each 400: those that reach from 40 samples before a flight to 200 after are left out
    left_out = sum(any(at + 800 > a - 40 and at < b + 200 for a, b in flights) for at in range(0, count - 799, 400))
    assert clear.windows == everywhere.windows
    assert clear.judged_windows == clear.reversed_windows == everywhere.windows - left_out
