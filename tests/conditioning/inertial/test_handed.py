"""Whether axes are right-handed, by how a bike's front swings: on a rigid body in closed form."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry.conditioning.inertial.attitude import UpAlong
from telemetry.conditioning.inertial.courses import Course
from telemetry.conditioning.inertial.handed import mirrored
from telemetry.conditioning.inertial.headings import Direction
from tests.thresholds import threshold

LIKENESS = threshold("conditioning.inertial.handed.MIRRORED_LIKENESS")
PART_S = threshold("conditioning.inertial.bands.PART_S")
RATE_HZ = 50.0
AHEAD_M = 0.7


def swinging(share: float, *, angle_rad: float = 0.0, seconds: float = 60.0) -> Course:
    """Return a place that feels its turns at a correlation of `share`, forward at an angle from x.

    Turning to the left is a sine of 1 Hz, so ``d dw/dt`` a cosine; what is felt besides is a sine, a quarter of a turn
    off.
    """
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    swing = 2 * np.pi * time_s
    left = AHEAD_M * 2 * np.pi * (share * np.cos(swing) + np.sqrt(1 - share**2) * np.sin(swing))
    none = np.zeros_like(left)
    force = np.stack([-np.sin(angle_rad) * left, np.cos(angle_rad) * left, none + 9.81])
    along = UpAlong(up=np.tile([[0.0], [0.0], [1.0]], left.size + 1), apart_deg=np.zeros(left.size + 1))
    turning = np.stack([none, none, np.sin(swing)])
    still = np.zeros(left.size, dtype=bool)
    return Course(size=4, rate_hz=RATE_HZ, force=force, turning=turning, resting=still, along=along)


def forward(angle_rad: float = 0.0) -> Direction:
    return Direction(angle_rad=angle_rad, residual_deg=1.0, source="x")


@pytest.mark.parametrize("angle_rad", [0.0, 1.0, -2.5])
@pytest.mark.parametrize(
    ("share", "left_handed"), [(1.0, False), (0.0, False), (-LIKENESS + 0.01, False), (-LIKENESS - 0.01, True)]
)
def test_the_front_swings_to_the_side_it_begins_to_turn_to(
    share: float, angle_rad: float, *, left_handed: bool
) -> None:
    assert mirrored((swinging(share, angle_rad=angle_rad),), forward(angle_rad)) is left_handed


def test_all_of_a_ride_counts() -> None:
    assert mirrored((swinging(0.9, seconds=20.0), swinging(-1.0, seconds=600.0)), forward())
    assert not mirrored((swinging(-1.0, seconds=20.0), swinging(0.9, seconds=600.0)), forward())


@pytest.mark.parametrize(("seconds", "told"), [(PART_S - 0.1, False), (PART_S, True)])
def test_a_stretch_too_short_tells_nothing(seconds: float, *, told: bool) -> None:
    assert mirrored((swinging(-1.0, seconds=seconds),), forward()) is told


def test_slower_and_faster_swings_dont_count() -> None:
    """Beside swings of 1 Hz the right way round, ten times as much the wrong way, and slower or faster."""
    for cycles in (0.05, 15.0):
        course = swinging(1.0)
        time_s = np.arange(course.force.shape[1]) / RATE_HZ
        course.force[1] -= 10 * AHEAD_M * 2 * np.pi * np.cos(2 * np.pi * cycles * time_s)
        course.turning[2] += np.sin(2 * np.pi * cycles * time_s) / cycles  # type: ignore[index]
        assert not mirrored((course,), forward())


def test_without_a_gyroscope_or_too_slowly_nothing_is_told() -> None:
    assert not mirrored((replace(swinging(-1.0), turning=None),), forward())
    assert not mirrored((replace(swinging(-1.0), rate_hz=10.0),), forward())
    assert not mirrored((), forward())
