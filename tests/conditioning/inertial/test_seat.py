"""How a case sits is said in plain words: upside down, backward, on its side, tilted."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.conditioning.inertial.headings import Direction
from telemetry.conditioning.inertial.mounting import UpFound, mounting_of, seat_in_words, slow_rest
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


class TestTheWayUpOverARide:
    """Where it is never at rest: its mean, by a longest stretch's thirds."""

    def found(self, tilted: slice, segments: tuple[tuple[int, int], ...], count: int = 900) -> UpFound:
        force = np.zeros((3, count))
        force[2] = 9.8
        force[:, tilted] = 9.8 * np.array([[0.6], [0.0], [0.8]])
        return slow_rest(force, segments)

    @pytest.mark.parametrize("segments", [((0, 900),), ((0, 600), (600, 1000))])
    def test_thirds_of_the_longest_stretch_tell_how_well_it_is_known(
        self, segments: tuple[tuple[int, int], ...]
    ) -> None:
        """The last 150 samples are tilted: of the last part of 300 a half, of one of 200 three quarters."""
        size, count = max(stop - start for start, stop in segments) // 3, segments[-1][1]
        found = self.found(slice(count - 150, count), segments, count)
        x, z = 150 * 0.6, count - 150 + 150 * 0.8
        last = np.arctan2(x, size - 150 + 150 * 0.8)
        assert found.up == pytest.approx(np.array([x, 0, z]) / np.hypot(x, z))
        assert found.residual_deg == pytest.approx(np.degrees(last - np.arctan2(x, z)))
        assert found.source == "gravity's mean over the ride"

    def test_of_two_samples_each_is_a_part(self) -> None:
        assert self.found(slice(1, 2), ((0, 2),), 2).residual_deg == pytest.approx(np.degrees(np.arcsin(0.6)) / 2)


@pytest.mark.parametrize(("forward_deg", "worse_deg"), [(3.0, 3.0), (1.0, 2.0)])
def test_a_mounting_is_known_as_well_as_the_worse_of_up_and_forward(forward_deg: float, worse_deg: float) -> None:
    up = UpFound(up=np.array([0.0, 0.0, 1.0]), residual_deg=2.0, source="still_1.csv")
    found = mounting_of(up, Direction(angle_rad=0.3, residual_deg=forward_deg, source="pitching"))
    assert (found.residual_deg, found.heading_known) == (worse_deg, True)
    assert found.found_from == "still_1.csv; forward by pitching"
    assert found.to_bike @ [np.cos(0.3), np.sin(0.3), 0.0] == pytest.approx([1.0, 0.0, 0.0])
    alone = mounting_of(up, None)
    assert (alone.residual_deg, alone.heading_known, alone.found_from) == (2.0, False, "still_1.csv")
