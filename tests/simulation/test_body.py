"""What is felt anywhere on a moving frame, against the motion of that point itself, differentiated by numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.simulation.body import BodyMotion, Place, felt, second_difference
from telemetry.simulation.body_made import around, moved_by_hand
from tests.simulation.made_signals import GEOMETRY, level_body

RATE_HZ, G = 4000.0, 9.80665
TIME_S = np.arange(8000) / RATE_HZ
INSIDE = slice(10, -10)


def swing(amplitude: float, hz: float, turn: float = 0.0) -> np.ndarray:
    return amplitude * np.sin(2 * np.pi * hz * TIME_S + turn)


FRONT_M, REAR_M, YAW = 0.05 + swing(0.04, 1.7), 0.06 + swing(0.03, 2.1, 1.0), swing(0.8, 0.6)
WILD = BodyMotion(
    rate_hz=RATE_HZ,
    geometry=GEOMETRY,
    along_m_s2=swing(4.0, 0.7),
    normal_m_s2=G + swing(6.0, 1.9),
    pitch_rad=swing(0.3, 1.1),
    slope_rad=-0.15 + swing(0.05, 0.3),
    roll_rad=swing(0.5, 0.6, 2.0),
    yaw_rad_s=2 * np.pi * 0.6 * 0.8 * np.cos(2 * np.pi * 0.6 * TIME_S),
    front_m=FRONT_M,
    rear_m=REAR_M,
    front_m_s2=second_difference(FRONT_M, RATE_HZ),
    rear_m_s2=second_difference(REAR_M, RATE_HZ),
    rest_rear_m=0.06,
)
FRAME = Place(ahead_m=0.4, up_m=0.45)
PLACES = {"centre": Place(), "bar": FRAME, "front axle": Place(on="front_axle"), "rear axle": Place(on="rear_axle")}


def turned(*, own_pitch: np.ndarray) -> Rotation:
    """Return the rotation from the frame's axes to the ground's: yaw, then nose down, then roll, then own pitch."""
    path = Rotation.from_euler("ZYX", np.column_stack([YAW, -WILD.slope_rad, WILD.roll_rad]))
    return path * Rotation.from_euler("y", own_pitch[:, None])


def from_centre(place: Place) -> np.ndarray:
    count = TIME_S.shape[0]
    if place.on == "frame":
        return np.tile([place.ahead_m, 0.0, place.up_m], (count, 1))
    if place.on == "front_axle":
        travel = FRONT_M - FRONT_M[0]
        slant = np.sqrt(1 - GEOMETRY.fork_sine**2)
        return np.column_stack([0.75 - slant * travel, 0 * travel, GEOMETRY.fork_sine * travel - 0.2])
    travel = REAR_M - REAR_M[0]
    return np.column_stack([-0.5 + 0 * travel, 0 * travel, travel - 0.22])


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
def test_force_and_rotation_are_those_of_the_point_itself(place: Place) -> None:
    frame = turned(own_pitch=WILD.pitch_rad)
    path = turned(own_pitch=np.zeros_like(TIME_S))
    centre = path.apply(np.column_stack([WILD.along_m_s2, 0 * TIME_S, WILD.normal_m_s2]))
    offset = frame.apply(from_centre(place))
    moved = np.column_stack([second_difference(offset[:, axis], RATE_HZ) for axis in range(3)])
    arm = (REAR_M - 0.06) / GEOMETRY.swingarm_m if place.on == "rear_axle" else 0 * TIME_S
    case = turned(own_pitch=WILD.pitch_rad + arm)
    expected = case.inv().apply(centre + moved)
    step = (case[:-1].inv() * case[1:]).as_rotvec() * RATE_HZ
    found = felt(WILD, place)
    assert np.allclose(found.force_m_s2[INSIDE], expected[INSIDE], atol=2e-3)
    middle = (found.rotation_rad_s[1:] + found.rotation_rad_s[:-1]) / 2
    assert np.allclose(middle[INSIDE], step[INSIDE], atol=1e-4)


def test_attitude_is_that_of_the_rotation() -> None:
    pitch, roll = WILD.attitude_rad()
    angles = turned(own_pitch=WILD.pitch_rad).as_euler("ZYX")
    assert np.allclose(pitch, angles[:, 1], atol=1e-9)
    assert np.allclose(roll, angles[:, 2], atol=1e-9)


def test_at_rest_gravity_is_upward_and_in_free_flight_there_is_none() -> None:
    still = felt(level_body(100, RATE_HZ), FRAME)
    assert np.allclose(still.force_m_s2, [0, 0, G])
    assert not still.rotation_rad_s.any()
    falling = replace(level_body(100, RATE_HZ), normal_m_s2=np.zeros(100), pitch_rad=np.full(100, 0.4))
    assert np.allclose(felt(falling, FRAME).force_m_s2, 0.0, atol=1e-9)


def test_second_difference_of_a_sine() -> None:
    height = 0.01 * np.sin(2 * np.pi * 20 * TIME_S)
    true = -((2 * np.pi * 20) ** 2) * height
    found = second_difference(height, RATE_HZ)
    assert np.max(np.abs(found - true)[1:-1]) < 1e-3 * np.abs(true).max()


def test_pushing_by_hand_moves_the_frame_and_not_the_wheels() -> None:
    """Both ends down by a quarter of a sine's height: the wheels stand, what sits above an axle follows its leg."""
    down = 0.03 * (1 - np.cos(2 * np.pi * 2 * TIME_S))
    body = moved_by_hand(down, 0.5 * down, (0.0, 0.0), replace(GEOMETRY, front_down_m=0.0, rear_down_m=0.0), RATE_HZ)
    level = replace(body, pitch_rad=1e-6 * body.pitch_rad)  # turned by nothing worth, its lift stays in `growing`
    above = -GEOMETRY.fork_sine * second_difference(down, RATE_HZ) + G
    assert np.allclose(felt(body, Place(ahead_m=0.75)).force_m_s2[INSIDE, 2], above[INSIDE], atol=0.05)
    wheel = felt(body, Place(on="front_axle")).force_m_s2[INSIDE, 2]
    assert np.abs(wheel - G).max() < 0.06
    assert np.abs(felt(level, Place(on="front_axle")).force_m_s2[INSIDE, 2] - G).max() > 1.0  # it takes the pitch too


def test_a_run_lies_between_what_hands_do_and_angles_do_not_jump() -> None:
    count, first, join = 800, 300, 100
    whole = level_body(count + 600, RATE_HZ)
    part = slice(0, count)
    run = replace(WILD, **{name: array[part] for name, array in WILD.arrays().items()})
    made = around(run, whole, first, join)
    for name, array in run.arrays().items():
        assert np.array_equal(getattr(made, name)[first : first + count], array), name
        assert np.array_equal(getattr(made, name)[: first - join], getattr(whole, name)[: first - join]), name
    for name in ("pitch_rad", "slope_rad", "roll_rad"):
        assert np.abs(np.diff(getattr(made, name))).max() < 0.02, name
    assert made.normal_m_s2[first + count : first + count + join] == pytest.approx(G)


def test_arrays_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match=r"body roll_rad: found shape \(3,\); expected \(100,\)"):
        replace(level_body(100, RATE_HZ), roll_rad=np.zeros(3))
    with pytest.raises(ValueError, match="body yaw_rad_s: found a value that is no finite number"):
        replace(level_body(3, RATE_HZ), yaw_rad_s=np.array([0.0, np.nan, 0.0]))
