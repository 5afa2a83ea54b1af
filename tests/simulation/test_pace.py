"""Speed under limits, against constant acceleration by hand."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.simulation.pace import SLOWEST_M_S, STEP_M, Limits, graded, limited

LIMITS = Limits(speed_m_s=9.0, braking_m_s2=4.0, accelerating_m_s2=1.5, cornering_m_s2=5.0)
X_M = STEP_M * np.arange(20_000)


def along(speed: np.ndarray) -> np.ndarray:
    return np.gradient(speed**2 / 2, STEP_M)


def test_a_straight_is_reached_and_left_at_the_limits() -> None:
    speed = limited(LIMITS, np.zeros(20_000))
    assert speed.max() == pytest.approx(9.0)
    reached = (81 - SLOWEST_M_S**2) / (2 * 1.5)
    assert speed[round((reached + 3) / STEP_M)] == pytest.approx(9.0)
    assert speed[round((reached / 2) / STEP_M)] ** 2 == pytest.approx(SLOWEST_M_S**2 + 1.5 * reached, rel=1e-3)
    assert along(speed).max() == pytest.approx(1.5, rel=1e-3)
    assert along(speed).min() == pytest.approx(-4.0, rel=1e-3)


def test_a_turn_is_ridden_at_what_it_allows_and_braked_for_in_time() -> None:
    curvature = np.where((X_M > 100) & (X_M < 112), -1 / 6.0, 0.0)
    speed = limited(LIMITS, curvature)
    assert speed[round(106 / STEP_M)] == pytest.approx(np.sqrt(5.0 * 6.0), rel=1e-3)
    before = 100 - (81 - 30) / (2 * 4.0)
    assert speed[round((before - 2) / STEP_M)] == pytest.approx(9.0, rel=1e-3)
    assert speed[round((before + 3) / STEP_M)] < 8.5
    onset = along(speed)[round((before - 2) / STEP_M) : round((before + 2) / STEP_M)]
    assert np.abs(np.diff(onset)).max() < 0.05  # brakes come on over metres, not in a step


def test_where_a_bike_flies_speed_is_held() -> None:
    curvature = np.where((X_M > 100) & (X_M < 112), 1 / 6.0, 0.0)
    speed = limited(LIMITS, curvature, ((90.0, 98.0),))
    held = speed[round(90 / STEP_M) : round(98 / STEP_M)]
    assert np.ptp(held) < 1e-6
    assert held[0] < 8.0
    assert along(speed).min() > -4.01


def test_a_gradient_comes_and_goes() -> None:
    found = graded(-0.08, 10_000)
    assert (found[0], found[5000]) == (0.0, -0.08)
    assert np.allclose(found, found[::-1], atol=1e-4)
    assert np.all(np.diff(found[:2000]) <= 0)
