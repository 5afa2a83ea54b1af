"""A damper as measured: lines between its points, and a knee fitted to them."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.mechanics.damper import DamperSide
from telemetry.mechanics.damper_points import MeasuredDamper


def test_it_goes_through_its_points_and_through_rest() -> None:
    damper = MeasuredDamper(((-0.4, -300.0), (0.2, 100.0), (0.8, 190.0)))
    np.testing.assert_allclose(damper.force_n(np.array([-0.4, 0.0, 0.2, 0.8])), [-300, 0, 100, 190])
    np.testing.assert_allclose(damper.force_n(np.array([-0.8, 0.5, 1.4])), [-600, 145, 280])


def test_force_measured_at_rest_is_kept() -> None:
    damper = MeasuredDamper(((-0.4, -300.0), (0.0, 20.0), (0.4, 220.0)))
    assert damper.force_n(np.array([0.0]))[0] == 20.0


def test_slopes_are_those_beyond_the_force_at_rest() -> None:
    """Gas pushes the shaft out with 50 N: 200 and 400 N s/m are what the oil adds."""
    damper = MeasuredDamper(((-0.4, -110.0), (0.0, 50.0), (0.4, 130.0)))
    sides = [damper.side(sign) for sign in (1, -1)]
    assert [side.slope_below_n_s_m for side in sides if side is not None] == pytest.approx([200.0, 400.0])


@pytest.mark.parametrize("knee", [None, 0.25])
def test_slopes_and_knee_that_made_the_points_are_found(knee: float | None) -> None:
    side = DamperSide(slope_below_n_s_m=800.0, knee_m_s=0.25, slope_above_n_s_m=240.0)
    speed = np.array([0.05, 0.1, 0.18, 0.25, 0.4, 0.7, 1.0, 1.5])
    forces = side.force_n(speed)
    rebound = [(-float(v), -2 * float(f)) for v, f in zip(speed[::-1], forces[::-1], strict=True)]
    points = (*rebound, *((float(v), float(f)) for v, f in zip(speed, forces, strict=True)))
    fitted = MeasuredDamper(points).fitted((knee, knee))
    assert fitted is not None
    at = np.array([-1.2, -0.3, 0.08, 0.3, 1.2])
    expected = np.where(at > 0, side.force_n(at), -2 * side.force_n(at))
    np.testing.assert_allclose(fitted.force_n(at), expected, rtol=0.02)


def test_too_few_points_give_one_slope() -> None:
    side = MeasuredDamper(((-0.5, -400.0), (0.5, 200.0))).side(1)
    assert side is not None
    assert side.slope_below_n_s_m == side.slope_above_n_s_m == 400.0
    assert MeasuredDamper(((0.2, 100.0), (0.5, 200.0))).side(-1) is None


def test_two_points_of_a_direction_are_met_by_both_slopes() -> None:
    """Lines from rest to 460 N at 0.2 m/s and on to 960 N at 0.8: 2300 and 833 N s/m."""
    damper = MeasuredDamper(((-0.5, -400.0), (0.0, -60.0), (0.2, 400.0), (0.8, 900.0)))
    side = damper.side(1)
    assert side is not None
    assert side.knee_m_s == pytest.approx(0.2)
    assert side.force_n(np.array([0.1, 0.5, 0.8])) == pytest.approx([230.0, 710.0, 960.0], rel=0.08)
    assert side.force_n(np.array([0.2, 0.8])) == pytest.approx([460.0, 960.0])
