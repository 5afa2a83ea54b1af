"""Riding time, standing, pushes and sections of rides that hold inertial sensors alone, on arrays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from telemetry import measures
from telemetry.measures import find_motion, find_pushes
from telemetry.measures.alignment import align
from telemetry.measures.family import family_values
from telemetry.measures.inertial.pushed import way_down_mm
from telemetry.measures.inertial.still import still_by_acceleration
from telemetry.measures.riding import find_riding, find_standing
from telemetry.measures.sections import section_stretches
from telemetry.model.ride import Ride
from telemetry.trust import push_findings, run_levels
from tests.measures.inertial_rides import inertial, inertial_ride, pushed, shaken
from tests.thresholds import threshold

RATE_HZ = 200.0
FACTS = measures.BikeFacts(
    head_angle_deg=None, wheelbase_mm=None, knees={"front": measures.Knees()}, hard_bottom_out_mm_s=600.0
)
STILL_M_S2, STILL_RAD_S = (threshold(f"measures.inertial.still.{name}") for name in ("STILL_M_S2", "STILL_RAD_S"))


def seconds(count: float) -> int:
    return round(count * RATE_HZ)


def at_rest(count_s: float) -> np.ndarray:
    return np.zeros(seconds(count_s))


def a_day_out(depth_mm: float = 60.0) -> np.ndarray:
    """Upward acceleration: stand, push, stand, ride for 20 s, stand, push, stand."""
    push = pushed(RATE_HZ, depth_mm=depth_mm)
    return np.concatenate([at_rest(2), push, at_rest(2), shaken(20, 3), at_rest(2), push, at_rest(2)])


class TestStanding:
    @pytest.mark.parametrize(("share", "stands"), [(0.99, True), (1.01, False)])
    def test_within_0_3_upward(self, share: float, *, stands: bool) -> None:
        swing = share * STILL_M_S2 * np.where(np.arange(seconds(6)) % seconds(1) < seconds(0.5), 1.0, -1.0)
        calm = still_by_acceleration(inertial_ride(inertial(swing)))
        assert bool(calm.all()) is stands

    @pytest.mark.parametrize(("share", "stands"), [(0.99, True), (1.01, False)])
    def test_within_0_1_round(self, share: float, *, stands: bool) -> None:
        turning = np.full(seconds(6), share * STILL_RAD_S)
        calm = still_by_acceleration(inertial_ride(inertial(at_rest(6), rotation_rad_s=turning)))
        assert bool(calm.all()) is stands

    def test_a_sensor_that_is_frozen_tells_no_stand(self) -> None:
        signal = replace(inertial(at_rest(20)), frozen=((seconds(5), seconds(15)),))
        assert find_standing(inertial_ride(signal)) == ((0, seconds(5)), (seconds(15), seconds(20)))

    def test_a_scale_off_by_2_percent_doesnt_move_the_bike(self) -> None:
        offset = at_rest(10) + 0.02 * 9.81
        assert find_standing(inertial_ride(inertial(offset + 0.05 * np.sin(np.arange(offset.size))))) == (
            (0, seconds(10)),
        )

    def test_an_engine_that_idles_stands(self) -> None:
        """1.2 m/s2 at 30 Hz: four times the limit, sample by sample."""
        idling = 1.2 * np.sin(2 * np.pi * 30 * np.arange(seconds(5)) / RATE_HZ)
        assert find_standing(inertial_ride(inertial(idling))) == ((0, seconds(5)),)

    def test_every_sensor_has_to_be_still(self) -> None:
        ride = inertial_ride(inertial(at_rest(6)), inertial(shaken(6, 1), on="wheel"))
        assert find_standing(ride) == ()

    def test_nothing_is_averaged_across_a_gap(self) -> None:
        cut = seconds(3) + 3  # in the middle of a piece
        upward = np.concatenate([at_rest(3), np.zeros(3), 20 * np.sign(np.sin(np.arange(seconds(3))))])
        ride = inertial_ride(inertial(upward), segments=((0, cut), (cut, upward.shape[0])))
        assert still_by_acceleration(ride)[:cut].all()

    def test_without_a_gyroscope_acceleration_alone_tells(self) -> None:
        assert find_standing(inertial_ride(inertial(at_rest(4), gyroscope=False))) == ((0, seconds(4)),)

    def test_riding_is_what_is_left(self) -> None:
        upward = np.concatenate([at_rest(5), shaken(20, 2), at_rest(5)])
        time = find_riding(inertial_ride(inertial(upward)))
        assert time.riding_s == pytest.approx(20, abs=0.3)

    def test_flight_cant_be_told_by_a_wheel_alone(self) -> None:
        time = find_riding(inertial_ride(inertial(shaken(20, 2), on="wheel")))
        assert time.airborne is None
        assert time.why_no_flight == "no inertial sensor on the chassis: flight can't be told"


class TestPushes:
    def test_the_way_down_is_the_pushes_own(self) -> None:
        """Twice the integral of a raised cosine's second derivative is the raised cosine."""
        depth = 60.0
        turns = np.arange(seconds(2.1)) / RATE_HZ / 0.7
        expected = depth / 2 * (1 - np.cos(2 * np.pi * turns))
        upward = np.concatenate([at_rest(0.3), pushed(RATE_HZ, depth_mm=depth), at_rest(0.3)])
        found = way_down_mm(upward + 0.3, RATE_HZ)  # and a constant error
        assert np.abs(found[seconds(0.3) : -seconds(0.3)] - expected).max() < 2.0

    def test_an_error_that_grows_leaves_as_much_as_the_handbook_says(self) -> None:
        """Of an error from 0 to a over T: a (t^3 / 6T - t^2 / 4 + T t / 12), largest at t = T (1/2 - sqrt(1/12))."""
        at = 0.5 - np.sqrt(1 / 12)
        left = np.abs(way_down_mm(np.linspace(0, 0.05, seconds(4)), RATE_HZ)).max()
        assert left == pytest.approx(1000 * 0.05 * 4**2 * (at**3 / 6 - at**2 / 4 + at / 12), rel=0.01)
        assert left == pytest.approx(6.4, abs=0.05)

    def test_mark_start_and_end(self) -> None:
        motion = find_motion(inertial_ride(inertial(a_day_out())))
        ride = motion.ride
        assert (ride.start_from, ride.end_from) == ("pushes", "pushes")
        assert ride.start_s == pytest.approx(4.1, abs=0.1)
        assert ride.end_s == pytest.approx(4.1 + 2 + 20 + 2, abs=0.1)
        assert motion.time.riding_s == pytest.approx(20, abs=0.3)

    @pytest.mark.parametrize(("more_mm", "found"), [(-1, False), (1, True)])
    def test_go_down_15_mm(self, more_mm: int, *, found: bool) -> None:
        least = threshold("measures.inertial.pushed.SHARES_OF_MM") * threshold("measures.push_groups.PUSH_SHARE")
        assert least == threshold("trust.pushes.LEAST_MM")
        assert bool(find_pushes(inertial_ride(inertial(a_day_out(least + more_mm)))).groups) is found

    def test_are_told_as_the_chassis(self) -> None:
        motion = find_motion(inertial_ride(inertial(a_day_out())))
        (told,) = push_findings(motion.ride, motion.pushes)
        assert told.code == "pushes"
        assert "the chassis goes down by 15 mm or more, by its acceleration" in told.message
        assert "travel" not in told.message

    def test_of_both_chassis_sensors_their_mean_counts(self) -> None:
        """One end pressed 30 mm and the other 2 mm: between them the frame goes down 16 mm."""
        ride = inertial_ride(inertial(a_day_out(30)), inertial(a_day_out(2), end="rear"))
        assert find_pushes(ride).groups

    def test_arent_looked_for_at_a_wheel(self) -> None:
        assert find_pushes(inertial_ride(inertial(a_day_out(), on="wheel"))).groups == ()


class TestMeasures:
    def test_nothing_of_travel_is_measured_and_the_reason_said(self) -> None:
        motion = find_motion(inertial_ride(inertial(a_day_out())))
        sheet = measures.measure_run(motion, FACTS, measures.find_run_lags(motion, FACTS))
        reasons = {(row.measure, row.end): row.reason for row in sheet.absent}
        assert reasons["dynamic_sag", "front"] == (
            "no displacement sensor at the front: sag, travel and bottoming can't come from acceleration"
        )
        assert reasons["dynamic_sag", "rear"] == "no displacement sensor at the rear"
        assert not {row.measure for row in sheet.measures} & {"dynamic_sag", "travel_max", "hits_per_min"}
        assert {row.measure for row in sheet.measures} >= {"riding_time"}

    def test_family_rows_have_the_minutes_of_their_sections(self) -> None:
        motion = find_motion(inertial_ride(inertial(a_day_out())))
        kept = section_stretches(motion, 4)[:2]
        value = family_values(motion, kept, FACTS)["dynamic_sag", "front"]
        assert value.value is None
        assert value.minutes == pytest.approx(10 / 60, rel=0.03)

    def test_it_has_no_levels(self) -> None:
        motion = find_motion(inertial_ride(inertial(shaken(60, 1))))
        assert run_levels(motion.ride, motion.time) is None

    def test_what_is_drawn_is_empty_but_there(self) -> None:
        picture = measures.picture(find_motion(inertial_ride(inertial(a_day_out()))), "a", 1)
        assert picture.riding_s == pytest.approx(20, abs=0.3)
        assert (picture.ends, picture.deep_hits, picture.overview_pct) == ({}, (), {})

    def test_an_end_that_is_lost_takes_its_inertial_sensors_along(self) -> None:
        ride = inertial_ride(inertial(shaken(20, 1)), inertial(shaken(20, 2), end="rear"))
        motion = find_motion(ride, {"rear": "stuck"})
        assert set(motion.ride.inertial) == {("front", "chassis")}


class TestAlignment:
    @staticmethod
    def ridden(seed: int, slower: float = 0.0) -> Ride:
        upward = shaken(90, seed)
        if slower:
            at = np.arange(upward.shape[0]) + slower * upward.shape[0] / np.pi * np.sin(
                np.pi * np.arange(upward.shape[0]) / upward.shape[0]
            )
            upward = np.interp(at, np.arange(upward.shape[0]), upward)
        return inertial_ride(inertial(upward))

    def test_runs_are_laid_over_each_other_by_how_they_shake(self) -> None:
        one, other = find_motion(self.ridden(1)), find_motion(self.ridden(2, slower=0.05))
        found = align(one, other)
        assert found.good
        assert found.after > found.before

    def test_another_trail_is_told(self) -> None:
        one = find_motion(self.ridden(1))
        other = find_motion(inertial_ride(inertial(shaken(90, 2)[::-1])))
        assert not align(one, other).good

    def test_sensors_in_other_places_say_nothing(self) -> None:
        one = find_motion(self.ridden(1))
        other = find_motion(inertial_ride(inertial(shaken(90, 2), end="rear")))
        assert not align(one, other).good
