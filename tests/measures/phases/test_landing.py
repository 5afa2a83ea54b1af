"""Landings on arrays: what a chassis feels from touch-down until it has settled."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.measures.phases.landing import found_landings
from tests.measures.phases.made_signals import G_M_S2
from tests.thresholds import threshold

RATE_HZ = 500.0
SETTLED_G = threshold("measures.phases.landing.SETTLED_G")
LONGEST_S = threshold("measures.phases.landing.LONGEST_S")


def half_sine(down_m_s: float, lasts_s: float, count: int) -> np.ndarray:
    """Return the upward acceleration that takes out a speed in half a sine: its peak is pi v / (2 T)."""
    at_s = (np.arange(count) + 0.5) / RATE_HZ
    return np.where(at_s < lasts_s, np.pi * down_m_s / (2 * lasts_s) * np.sin(np.pi * at_s / lasts_s), 0.0)


def test_a_half_sine_gives_its_peak_its_speed_and_how_long_it_lasts() -> None:
    up = np.concatenate([np.full(100, -G_M_S2), half_sine(3.0, 0.2, 1000)])
    (found,) = found_landings(up, up, ((100, 1100),), RATE_HZ)
    assert found.start == 100
    assert found.peak_m_s2 == pytest.approx(np.pi * 3.0 / 0.4, rel=0.01)
    assert found.impulse_m_s == pytest.approx(3.0, rel=0.02)
    assert (found.stop - found.start) / RATE_HZ == pytest.approx(0.2, abs=0.02)


@pytest.mark.parametrize(("share", "ends_s"), [(0.98, 0.1), (1.02, 0.6)])
def test_it_has_settled_within_0_3_g(share: float, ends_s: float) -> None:
    at_s = np.arange(800) / RATE_HZ
    up = np.where(at_s < 0.1, 20.0, np.where(at_s < 0.6, share * SETTLED_G * G_M_S2, 0.0))
    (found,) = found_landings(up, up, ((0, 800),), RATE_HZ)
    assert found.stop / RATE_HZ == pytest.approx(ends_s, abs=0.01)


def test_a_moment_of_calm_settles_nothing() -> None:
    at_s = np.arange(800) / RATE_HZ
    up = np.where((at_s > 0.2) & (at_s < 0.44), 0.0, np.where(at_s < 0.7, 10.0, 0.0))
    (found,) = found_landings(up, up, ((0, 800),), RATE_HZ)
    assert found.stop / RATE_HZ == pytest.approx(0.7, abs=0.01)


def test_a_landing_ends_with_the_next_flight_or_after_2_s() -> None:
    up = np.full(3000, 10.0)
    long, short = found_landings(up, up, ((0, 2500), (2500, 2700)), RATE_HZ)
    assert (long.start, long.stop) == (0, round(LONGEST_S * RATE_HZ))
    assert (short.start, short.stop) == (2500, 2700)
    assert found_landings(up, up, ((2900, 2950),), RATE_HZ) == ()
