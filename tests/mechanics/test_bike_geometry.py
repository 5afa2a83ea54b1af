"""How a bike stands, against published figures and a rigid turn worked out otherwise."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.mechanics.bike_geometry import GeometryError, cup_that_keeps, fork_that_keeps, stance, trail_mm
from telemetry.model.geometry import MeasuredBike, PartsMoved

BIKE = MeasuredBike(
    head_angle_deg=65.0,
    wheelbase_mm=1200.0,
    front_radius_mm=370.0,
    rear_radius_mm=370.0,
    axle_to_crown_mm=560.0,
    offset_mm=44.0,
    bottom_bracket_mm=(435.0, -20.0),
    head_tube_mm=110.0,
)

# Wheelbase, head angle and change of the fork's length, mm and degrees; wheels of 370 mm, offset 44 mm, bottom bracket
# 435 mm ahead of the rear axle. Change of head angle, new wheelbase, trail before and after, rise of the bottom
# bracket: computed otherwise, as a rigid turn about the rear axle with the fork's length along the steering axis.
RIGID_TURNS = [
    (1100, 67, 10, -0.4778, 1103.95, 109.256, 112.739, 3.63),
    (1200, 65, 10, -0.4312, 1204.26, 123.985, 127.215, 3.27),
    (1200, 65, 20, -0.8593, 1208.59, 123.985, 130.442, 6.53),
    (1200, 65, -10, 0.4343, 1195.81, 123.985, 120.753, -3.30),
    (1200, 64, 10, -0.4276, 1204.42, 131.507, 134.757, 3.25),
    (1250, 63.5, 10, -0.4087, 1254.49, 135.310, 138.440, 3.10),
    (1280, 63, 10, -0.3974, 1284.57, 139.142, 142.210, 3.02),
]


class TestTrail:
    def test_benchmark_bicycle(self) -> None:
        """Meijaard, Papadopoulos, Ruina and Schwab, Proc. R. Soc. A 463 (2007), table 1: trail 0.08 m at 72 degrees."""
        offset = 32.0714267276193  # so that trail is the table's; computed from it with BicycleParameters
        assert trail_mm(350.0, 72.0, offset) == pytest.approx(80.0, abs=1e-9)
        bike = MeasuredBike(
            head_angle_deg=72.0, wheelbase_mm=1020.0, front_radius_mm=350.0, rear_radius_mm=300.0, offset_mm=offset
        )
        found = stance(bike)
        assert found.trail_mm == pytest.approx(80.0, abs=1e-9)
        assert found.mechanical_trail_mm == pytest.approx(76.08452130361229, abs=1e-9)

    def test_an_axle_on_the_steering_axis(self) -> None:
        assert trail_mm(350.0, 45.0, 0.0) == pytest.approx(350.0)


class TestFork:
    @pytest.mark.parametrize("case", RIGID_TURNS)
    def test_a_longer_fork_turns_the_frame(self, case: tuple[float, ...]) -> None:
        wheelbase, angle, longer, turn, new, before, after, rise = case
        bike = replace(BIKE, wheelbase_mm=wheelbase, head_angle_deg=angle)
        old, found = stance(bike), stance(bike, PartsMoved(axle_to_crown_mm=longer))
        assert found.head_angle_deg - angle == pytest.approx(turn, abs=6e-5)
        assert found.wheelbase_mm == pytest.approx(new, abs=6e-3)
        assert (old.trail_mm, found.trail_mm) == pytest.approx((before, after), abs=6e-4)
        assert found.bottom_bracket_height_mm - old.bottom_bracket_height_mm == pytest.approx(rise, abs=6e-3)
        first_order = -math.degrees(longer * math.sin(math.radians(angle)) / wheelbase)
        assert found.head_angle_deg - angle == pytest.approx(first_order, rel=0.01)

    def test_sag_and_back_is_where_it_was(self) -> None:
        down = PartsMoved(axle_to_crown_mm=-30.0, rear_axle_mm=(10.0, 45.0))
        found = stance(BIKE, down)
        assert found.bottom_bracket_height_mm < 350.0 - 30.0
        assert fork_that_keeps(BIKE, PartsMoved(axle_to_crown_mm=-30.0), 65.0) == pytest.approx(30.0, abs=1e-6)

    def test_what_keeps_the_head_angle_does(self) -> None:
        moved = PartsMoved(rear_axle_mm=(1.0, 12.0), front_radius_mm=-9.0)
        longer, steeper = fork_that_keeps(BIKE, moved, 65.0), cup_that_keeps(BIKE, moved, 65.0)
        for kept in (replace(moved, axle_to_crown_mm=longer), replace(moved, angled_cup_deg=steeper)):
            assert stance(BIKE, kept).head_angle_deg == pytest.approx(65.0, abs=1e-6)

    def test_more_offset_shortens_trail_by_more_than_over_the_sine_for_the_front_drops(self) -> None:
        old, found = stance(BIKE), stance(BIKE, PartsMoved(offset_mm=7.0))
        dropped = 7.0 * math.cos(math.radians(65.0))  # the axle goes up within the frame
        assert found.head_angle_deg - 65.0 == pytest.approx(math.degrees(dropped / 1200.0), rel=0.02)
        assert found.trail_mm == pytest.approx(trail_mm(370.0, found.head_angle_deg, 51.0))
        assert found.trail_mm - old.trail_mm < -7.0 / math.sin(math.radians(65.0))


class TestCup:
    def test_it_turns_the_fork_about_the_crown(self) -> None:
        """A slacker cup swings the axle forward and up, and the bike tips back onto it: by hand, in the frame."""
        found = stance(BIKE, PartsMoved(angled_cup_deg=-1.0))
        lean, reach = math.radians(65.0), math.hypot(560.0, 44.0)
        from_crown = math.atan2(
            -560.0 * math.sin(lean) + 44.0 * math.cos(lean), 560.0 * math.cos(lean) + 44.0 * math.sin(lean)
        )
        swung = from_crown + math.radians(1.0)
        forward = reach * (math.cos(swung) - math.cos(from_crown))
        up = reach * (math.sin(swung) - math.sin(from_crown))
        tipped = math.degrees(math.atan2(up, 1200.0 + forward))
        assert found.head_angle_deg == pytest.approx(64.0 + tipped, abs=1e-9)
        assert found.wheelbase_mm == pytest.approx(math.hypot(1200.0 + forward, up), abs=1e-9)

    def test_it_needs_the_fork(self) -> None:
        with pytest.raises(GeometryError, match="axle_to_crown_mm and offset_mm"):
            stance(replace(BIKE, axle_to_crown_mm=None), PartsMoved(angled_cup_deg=-1.0))
        assert cup_that_keeps(replace(BIKE, axle_to_crown_mm=None), PartsMoved(axle_to_crown_mm=5.0), 65.0) is None


class TestWheels:
    def test_a_smaller_rear_wheel_drops_the_rear_axle_by_the_difference(self) -> None:
        found = stance(BIKE, PartsMoved(rear_radius_mm=-18.0))
        turn = math.degrees(math.asin(18.0 / 1200.0))
        assert found.head_angle_deg == pytest.approx(65.0 - turn, abs=1e-9)
        assert found.wheelbase_mm == pytest.approx(math.sqrt(1200.0**2 - 18.0**2))

    def test_both_larger_raise_the_bike_and_turn_nothing(self) -> None:
        old, found = stance(BIKE), stance(BIKE, PartsMoved(front_radius_mm=9.0, rear_radius_mm=9.0))
        assert found.head_angle_deg == pytest.approx(65.0)
        assert found.bottom_bracket_height_mm == pytest.approx(old.bottom_bracket_height_mm + 9.0)

    def test_mixed_wheels_as_measured_are_where_they_were(self) -> None:
        found = stance(replace(BIKE, rear_radius_mm=352.0))
        assert (found.head_angle_deg, found.wheelbase_mm) == pytest.approx((65.0, 1200.0))


class TestFrame:
    def test_reach_and_stack_by_the_head_tube_are_those_that_give_it_back(self) -> None:
        by_tube = stance(BIKE)
        stated = replace(BIKE, head_tube_mm=None, head_tube_top_mm=(by_tube.reach_mm, by_tube.stack_mm))
        moved = PartsMoved(axle_to_crown_mm=20.0, rear_axle_mm=(0.0, 5.0))
        assert stance(stated, moved).reach_mm == pytest.approx(stance(BIKE, moved).reach_mm)
        assert stance(stated, moved).stack_mm == pytest.approx(stance(BIKE, moved).stack_mm)

    @given(st.floats(-40, 40), st.floats(-20, 60), st.floats(-20, 20))
    def test_the_frame_keeps_its_shape(self, longer: float, up: float, radius: float) -> None:
        old = stance(BIKE)
        found = stance(BIKE, PartsMoved(axle_to_crown_mm=longer, rear_axle_mm=(0.0, up), front_radius_mm=radius))
        assert math.hypot(found.reach_mm, found.stack_mm) == pytest.approx(math.hypot(old.reach_mm, old.stack_mm))
        turned = math.degrees(math.atan2(found.stack_mm, found.reach_mm) - math.atan2(old.stack_mm, old.reach_mm))
        assert found.head_angle_deg - 65.0 == pytest.approx(-turned, abs=1e-9)

    def test_what_isnt_known_is_absent(self) -> None:
        bare = MeasuredBike(head_angle_deg=65.0, wheelbase_mm=1200.0)
        assert set(stance(bare, PartsMoved(axle_to_crown_mm=10.0)).known) == {"head_angle_deg", "wheelbase_mm"}

    def test_axles_that_pass_each_other_make_no_bike(self) -> None:
        with pytest.raises(GeometryError, match="no bike stands so"):
            stance(BIKE, PartsMoved(rear_axle_mm=(1200.0, 0.0)))
