"""Obstacles against their shapes in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.simulation.obstacles import FACE_M, BrakingBumps, Bump, Drop, Jump, Kerb, Obstacle, Tabletop

FINE_M = 1e-4
JUMP = Jump(at_m=3.0, lip_m=0.8, ramp_m=4.0, gap_m=3.0, landing_m=5.0)


def grid(obstacle: Obstacle, around_m: float = 1.0) -> np.ndarray:
    return np.arange(obstacle.at_m - around_m, obstacle.at_m + obstacle.length_m + around_m, FINE_M)


def heights_at(obstacle: Obstacle, *behind_m: float) -> np.ndarray:
    """Return heights at distances behind the obstacle's beginning."""
    return obstacle.heights(obstacle.at_m + np.array(behind_m))


def steepest(obstacle: Obstacle) -> tuple[float, float]:
    """Return the lowest and the highest slope."""
    slope = np.diff(obstacle.heights(grid(obstacle))) / FINE_M
    return float(slope.min()), float(slope.max())


place, height, length = st.floats(-5.0, 50.0), st.floats(0.01, 1.0), st.floats(0.05, 6.0)
obstacles = st.one_of(
    st.builds(Bump, at_m=place, height_m=height, length_m=length),
    st.builds(Kerb, at_m=place, height_m=st.floats(-0.5, 0.5), bevel_m=length),
    st.builds(Drop, at_m=place, height_m=height, face_m=length),
    st.builds(BrakingBumps, at_m=place, height_m=height, wavelength_m=length, count=st.integers(2, 12)),
    st.builds(
        Jump, at_m=place, lip_m=height, ramp_m=length, gap_m=st.floats(2.1 * FACE_M, 8.0), landing_m=st.floats(0.5, 8.0)
    ),
)


@given(obstacles)
@settings(max_examples=60)
def test_it_is_nothing_before_and_constant_behind(obstacle: Obstacle) -> None:
    before = obstacle.heights(obstacle.at_m - np.array([50.0, 1.0, 1e-6, 0.0]))
    assert before == pytest.approx(0.0, abs=1e-12)
    end = obstacle.at_m + obstacle.length_m
    behind = obstacle.heights(end + np.array([0.0, 1e-6, 1.0, 50.0]))
    assert behind == pytest.approx(behind[0], abs=1e-9)
    lasting = getattr(obstacle, "height_m", 0.0) * {Kerb: 1, Drop: -1}.get(type(obstacle), 0)
    assert behind[-1] == pytest.approx(lasting, abs=1e-9)


@given(obstacles, st.floats(-20.0, 20.0))
@settings(max_examples=40)
def test_its_shape_does_not_depend_on_its_place(obstacle: Obstacle, shift_m: float) -> None:
    kept = {name: getattr(obstacle, name) for name in type(obstacle).__slots__ if name != "at_m"}
    moved = type(obstacle)(at_m=obstacle.at_m + shift_m, **kept)
    x_m = np.linspace(obstacle.at_m - 1, obstacle.at_m + obstacle.length_m + 1, 301)
    assert moved.heights(x_m + shift_m) == pytest.approx(obstacle.heights(x_m), abs=1e-9)


def test_a_bump_is_half_a_sine() -> None:
    root = Bump(at_m=2.0, height_m=0.08, length_m=0.25)
    assert heights_at(root, 0.25 / 6, 0.125, 0.25 * 5 / 6) == pytest.approx([0.04, 0.08, 0.04])
    assert np.sum(root.heights(grid(root))) * FINE_M == pytest.approx(2 / math.pi * 0.08 * 0.25, rel=1e-6)
    assert steepest(root) == pytest.approx((-math.pi * 0.08 / 0.25, math.pi * 0.08 / 0.25), rel=1e-5)


@pytest.mark.parametrize("up_m", [0.12, -0.12])
def test_a_kerb_is_a_bevel_up_or_down_for_good(up_m: float) -> None:
    kerb = Kerb(at_m=1.0, height_m=up_m, bevel_m=0.04)
    assert heights_at(kerb, 0.01, 0.02, 0.04, 9.0) == pytest.approx([up_m / 4, up_m / 2, up_m, up_m])
    assert max(steepest(kerb), key=abs) == pytest.approx(up_m / 0.04)
    assert min(steepest(kerb), key=abs) == 0.0


def test_a_drop_goes_down_its_face_for_good() -> None:
    drop = Drop(at_m=1.0, height_m=0.6, face_m=0.1)
    assert heights_at(drop, 0.05, 0.1, 9.0) == pytest.approx([-0.3, -0.6, -0.6])
    assert steepest(drop) == pytest.approx((-6.0, 0.0))


def test_braking_bumps_swing_about_the_ground_and_swell_and_die_smoothly() -> None:
    train = BrakingBumps(at_m=4.0, height_m=0.1, wavelength_m=0.8, count=6)
    x_m = grid(train)
    z_m = train.heights(x_m)
    assert train.length_m == pytest.approx(4.8)
    assert np.ptp(z_m) == pytest.approx(0.1, rel=1e-6)
    assert np.sum(z_m) * FINE_M == pytest.approx(0.0, abs=1e-9)
    middle = heights_at(train, *(0.8 * np.arange(1, 5) + 0.2))
    assert middle == pytest.approx(0.05)
    assert heights_at(train, 0.4 + 0.2, 0.2) == pytest.approx(
        [-0.05 * (1 - math.cos(0.75 * math.pi)) / 2, 0.05 * (1 - math.cos(0.25 * math.pi)) / 2]
    )
    assert steepest(train)[1] == pytest.approx(math.pi * 0.1 / 0.8, rel=1e-5)
    assert heights_at(train, 0.001, 4.799) == pytest.approx(0.0, abs=1e-8)  # third order at both ends


def test_a_jump_rises_to_its_lip_clears_its_gap_and_lands_as_it_left() -> None:
    assert JUMP.length_m == 12.0
    assert heights_at(JUMP, 2.0, 4.0) == pytest.approx([0.2, 0.8])
    assert heights_at(JUMP, 4.0 + FACE_M, 5.5, 7.0 - FACE_M) == pytest.approx(0.0, abs=1e-12)
    assert heights_at(JUMP, 7.0, 9.5, 12.0) == pytest.approx([0.8, 0.2, 0.0], abs=1e-12)
    lip_slope = np.diff(heights_at(JUMP, 4.0 - 1e-6, 4.0))[0] / 1e-6
    assert lip_slope == pytest.approx(2 * 0.8 / 4.0, rel=1e-5)
    top_slope = np.diff(heights_at(JUMP, 7.0, 7.0 + 1e-6))[0] / 1e-6
    assert top_slope == pytest.approx(-2 * 0.8 / 5.0, rel=1e-5)
    assert steepest(JUMP) == pytest.approx((-0.8 / FACE_M, 0.8 / FACE_M), rel=1e-9)


@pytest.mark.parametrize(("speed_m_s", "clears"), [(6.0, False), (6.2, True)])
def test_a_point_clears_the_gap_from_the_speed_stated(speed_m_s: float, *, clears: bool) -> None:
    flown_m = 4 * JUMP.lip_m * speed_m_s**2 / (9.80665 * JUMP.ramp_m)
    assert (flown_m > JUMP.gap_m) is clears
    ahead_m = np.linspace(0.01, JUMP.gap_m, 2000)
    seconds = ahead_m / speed_m_s
    flight_m = JUMP.lip_m + 2 * JUMP.lip_m / JUMP.ramp_m * ahead_m - 9.80665 * seconds**2 / 2
    ground_m = heights_at(JUMP, *(JUMP.ramp_m + ahead_m))
    assert bool(np.all(flight_m >= ground_m)) is clears


def test_impossible_shapes_are_refused() -> None:
    with pytest.raises(ValueError, match=r"Bump: length_m is 0, but has to be a number above 0"):
        Bump(at_m=1.0, height_m=0.1, length_m=0.0)
    with pytest.raises(ValueError, match=r"Kerb: height_m is nan, but has to be a number"):
        Kerb(at_m=1.0, height_m=math.nan)
    with pytest.raises(ValueError, match=r"Drop: height_m is -0\.3"):
        Drop(at_m=1.0, height_m=-0.3)
    with pytest.raises(ValueError, match=r"BrakingBumps: count is 1, but has to be 2 or more"):
        BrakingBumps(at_m=1.0, height_m=0.1, wavelength_m=1.0, count=1)
    with pytest.raises(ValueError, match=r"Jump: gap_m is 0\.2, but has to be longer than both faces, 0\.2"):
        Jump(at_m=1.0, lip_m=0.5, ramp_m=2.0, gap_m=0.2, landing_m=2.0)


def test_a_tabletop_is_a_jump_with_its_gap_filled() -> None:
    top = Tabletop(at_m=3.0, lip_m=0.8, ramp_m=4.0, gap_m=3.0, landing_m=5.0)
    x_m = np.linspace(0.0, 20.0, 4001)
    filled, open_gap = top.heights(x_m), JUMP.heights(x_m)
    flat = (x_m >= 7.0) & (x_m <= 10.0)
    assert np.allclose(filled[flat], 0.8)
    assert np.allclose(filled[~flat], open_gap[~flat])
