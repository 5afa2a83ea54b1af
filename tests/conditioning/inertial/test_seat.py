"""How a case sits is said in plain words: upside down, backward, on its side, tilted."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.conditioning.inertial.mounting import seat_in_words
from telemetry.conditioning.inertial.rest import Rest, rest_of, still_blocks
from telemetry.model.inertial import Mounting
from tests.conditioning.inertial.felt import cleaned, columns, standing, trail
from tests.thresholds import threshold

TILTED_DEG = threshold("conditioning.inertial.mounting.TILTED_DEG")
AGREE_DEG = threshold("conditioning.inertial.mounting.AGREE_DEG")


def seat(case: Rotation, *, heading_known: bool = True) -> str:
    mounting = Mounting(to_bike=case.as_matrix(), residual_deg=0.0, heading_known=heading_known, found_from="made")
    return seat_in_words(mounting)


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        ([0, 0, 0], ""),
        ([180, 0, 0], "upside down (its x points forward, its y right, its z down)"),
        ([0, 180, 0], "upside down (its x points backward, its y left, its z down)"),
        ([0, 0, 180], "backward (its x points backward, its y right, its z up)"),
        ([0, 0, 90], "turned (its x points left, its y backward, its z up)"),
        ([90, 0, 0], "turned (its x points forward, its y up, its z right)"),
        ([30, 0, 0], "tilted by 30 degrees"),
        ([0, 0, -25], "tilted by 25 degrees"),
        ([180, 20, 0], "upside down (its x points forward, its y right, its z down) and tilted by 20 degrees"),
    ],
)
def test_a_case_that_is_turned(turn: list[float], words: str) -> None:
    assert seat(Rotation.from_euler("xyz", turn, degrees=True)) == words


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        ([0, 0, 130], ""),
        ([180, 0, 40], "upside down (its z points down)"),
        ([90, 0, 0], "on its side (its y points up)"),
        ([0, 90, 0], "on its side (its x points down)"),
        ([0, -25, 60], "tilted by 25 degrees"),
    ],
)
def test_where_only_up_is_known(turn: list[float], words: str) -> None:
    assert seat(Rotation.from_euler("zyx", turn[::-1], degrees=True), heading_known=False) == words


@pytest.mark.parametrize(("deg", "said"), [(TILTED_DEG - 0.1, False), (TILTED_DEG + 0.1, True)])
@pytest.mark.parametrize("heading_known", [True, False])
def test_a_little_askew_is_nothing_to_say(deg: float, said: bool, heading_known: bool) -> None:
    assert bool(seat(Rotation.from_euler("y", deg, degrees=True), heading_known=heading_known)) is said


def test_a_ride_is_told_so() -> None:
    case = Rotation.from_euler("x", 180, degrees=True)
    found = cleaned(columns(trail(), case))
    (told,) = found.findings
    assert (told.code, told.severity, told.end) == ("sits_askew", "note", "front")
    assert told.message == (
        "run_1: the front chassis's inertial sensor 'crown' sits upside down (its x points forward, its y right, its z "
        "down), which is taken into account; nothing to do"
    )


@pytest.mark.parametrize(("deg", "agree"), [(AGREE_DEG - 0.5, True), (AGREE_DEG + 0.5, False)])
def test_a_recording_at_rest_is_used_where_it_agrees_with_the_ride(deg: float, agree: bool) -> None:
    still = still_at(Rotation.from_euler("y", deg, degrees=True))
    found = cleaned(columns(standing(6.0)), still=still)
    assert found.signal is not None
    tilt = np.degrees(np.arcsin(abs(found.signal.mounting.to_bike[2, 0])))
    assert tilt == pytest.approx(deg if agree else 0.0, abs=0.1)
    assert ("turned_since" in [told.code for told in found.findings]) is not agree


def still_at(case: Rotation) -> Rest | None:

    read = columns(standing(6.0), case)
    force = np.stack([read[axis] for axis in ("ax", "ay", "az")])
    turning = np.stack([read[axis] for axis in ("gx", "gy", "gz")])
    return rest_of("still_1.csv", force, turning, 200.0, still_blocks(force, 200.0, ((0, 1200),)).rests)
