"""Measures of acceleration of a run: present from the sensors that are there, absent with the reason elsewhere."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np
import pytest

from telemetry import measures
from telemetry.measures import RunMotion, find_motion
from telemetry.measures.family import family_values
from telemetry.measures.inertial.basis import shaking_basis
from telemetry.measures.inertial.catalogue import IN_A_SECTION, MEASURES, MEASURES_IN_PARTS
from telemetry.measures.inertial.view import inertial_view, once, part_of
from telemetry.model.catalogue import CATALOGUE, SPECS, compared_rows
from telemetry.model.motion import RidingTime
from tests.measures.inertial.quarter_cars import QuarterCar
from tests.measures.inertial_rides import inertial, inertial_ride, shaken
from tests.thresholds import threshold

FACTS = measures.BikeFacts(head_angle_deg=None, wheelbase_mm=None, knees={}, hard_bottom_out_mm_s=600.0)
CAR = QuarterCar.of(body_hz=2.2, damping=0.3, hop_hz=24.0, mass_ratio=0.09)
NAMES = (
    "wheel_acceleration_rms",
    "chassis_acceleration_rms",
    "wheel_acceleration_10_per_min",
    "chassis_acceleration_10_per_min",
    "fast_shaking_passed_on",
    "unloaded_share",
    "chassis_frequency",
    "chassis_damping",
    "hop_frequency",
    "hand_arm_vibration",
    "hand_arm_vibration_a8",
    "whole_body_vibration",
    "whole_body_vibration_a8",
)
RATE_HZ = 250.0
SECONDS = 120.0


def run_of(*signals, rate_hz: float = RATE_HZ, segments=None) -> RunMotion:
    """Return a run of these sensors, all of it ridden."""
    motion = find_motion(inertial_ride(*signals, rate_hz=rate_hz, segments=segments))
    ridden = np.ones(motion.ride.time_s.shape[0], dtype=bool)
    time = replace(motion.time, riding=ridden)
    assert isinstance(time, RidingTime)
    return replace(motion, time=time)


def both(end: str, seed: int = 1):
    wheel, chassis = CAR.ride(SECONDS, RATE_HZ, seed=seed)
    return inertial(wheel, end=end, on="wheel"), inertial(chassis, end=end)


@pytest.fixture(scope="module")
def run() -> RunMotion:
    return run_of(*both("front"), *both("rear", seed=2))


@pytest.fixture(scope="module")
def sheet(run: RunMotion) -> measures.Sheet:
    return measures.measure_run(run, FACTS, None)


def values_of(sheet: measures.Sheet, end: str) -> dict[str, float]:
    return {row.measure: row.value for row in sheet.measures if row.end == end and row.part is None}


def reasons_of(run: RunMotion, end: str = "front") -> dict[str, str]:
    return {row.measure: row.reason for row in measures.measure_run(run, FACTS, None).absent if row.end == end}


def test_every_measure_of_acceleration_has_a_function_and_no_other_has():
    of_acceleration = {spec.name for spec in CATALOGUE if spec.by == "acceleration"}
    assert {*MEASURES, *MEASURES_IN_PARTS} == of_acceleration
    assert set(MEASURES_IN_PARTS) == {name for name in of_acceleration if SPECS[name].in_parts}
    assert set(IN_A_SECTION) == set(MEASURES)


@pytest.mark.parametrize("on", ["wheel", "chassis"])
def test_the_catalogue_says_where_a_measure_needs_its_sensors(on: str) -> None:
    """With one sensor at an end: what needs it alone isn't absent for a place at that end, all else is."""
    reasons = reasons_of(run_of(inertial(shaken(20.0, 1, RATE_HZ), on=on)))
    for spec in CATALOGUE:
        lacking = [other for other in spec.felt_on if other != on]
        told = reasons.get(spec.name, "")
        if spec.by == "acceleration" and "front" in spec.ends:
            assert spec.felt_on
            assert told.endswith("at the front") == bool(lacking), (spec.name, told)
            assert not lacking or told == f"no inertial sensor on the {lacking[0]} at the front"


def test_with_all_sensors_shaking_and_vibration_are_there(sheet: measures.Sheet):
    found = {(row.measure, row.end) for row in sheet.measures}
    told = {*NAMES, "transmissibility", "shock_response"}
    assert {(name, end) for name in told for end in SPECS[name].ends} <= found


def test_modes_are_the_cars(sheet: measures.Sheet):
    found = values_of(sheet, "front")
    assert found["chassis_frequency"] == pytest.approx(CAR.body_hz, rel=0.05)
    assert found["chassis_damping"] == pytest.approx(CAR.damping, rel=0.15)
    assert found["hop_frequency"] == pytest.approx(CAR.hop_hz, rel=0.08)


@pytest.mark.parametrize(("more", "cut"), [(0, False), (1, True)])
def test_a_knock_that_rests_on_peaks_that_are_cut_off_is_absent(more: int, cut: bool):
    wheel, chassis = both("front")
    saturated = np.zeros(wheel.saturated.shape[0], dtype=bool)
    saturated[100 : 100 + 500 * (round(10 * SECONDS / 60) + more) : 500] = True
    reasons = reasons_of(run_of(replace(wheel, saturated=saturated), chassis))
    assert ("wheel_acceleration_10_per_min" in reasons) is cut
    assert "chassis_acceleration_10_per_min" not in reasons
    if cut:
        assert "at the end of its range" in reasons["wheel_acceleration_10_per_min"]


def test_parts_are_named_by_their_frequency(sheet: measures.Sheet):
    bands = {row.part: row.value for row in sheet.measures if (row.measure, row.end) == ("transmissibility", "rear")}
    assert bands["2"] == pytest.approx(float(np.abs(CAR.wheel_to_chassis(np.array([2.0])))[0]), rel=0.1)
    assert {row.part for row in sheet.measures if row.measure == "shock_response"} >= {"4", "10", "25"}


def test_a_shaking_of_one_frequency_has_its_closed_form():
    """a sin(wt): rms a/sqrt 2, every peak a, Wk about 1.039 at 5 Hz; A(8) by its time."""
    time_s = np.arange(round(60 * RATE_HZ)) / RATE_HZ
    found = values_of(
        measures.measure_run(run_of(inertial(8 * np.sin(2 * np.pi * 5 * time_s), end="rear")), FACTS, None), "rear"
    )
    assert found["chassis_acceleration_rms"] == pytest.approx(8 / math.sqrt(2), rel=0.01)
    assert found["chassis_acceleration_10_per_min"] == pytest.approx(8, rel=0.02)
    assert found["whole_body_vibration"] == pytest.approx(1.039 * 8 / math.sqrt(2), rel=0.01)
    assert found["whole_body_vibration_a8"] == pytest.approx(found["whole_body_vibration"] * math.sqrt(60 / 28_800))


def test_hands_take_three_axes():
    rng = np.random.default_rng(5)
    up = rng.normal(size=10_000)
    one = inertial(up)
    force = one.specific_force_m_s2.copy()
    force[:, 0], force[:, 1] = 2 * up, -2 * up
    alone, three = (
        values_of(measures.measure_run(run_of(signal), FACTS, None), "front")["hand_arm_vibration"]
        for signal in (one, replace(one, specific_force_m_s2=force))
    )
    assert three == pytest.approx(3 * alone, rel=1e-6)  # 1 + 4 + 4


def test_without_a_sensor_on_the_wheel_only_the_chassis_is_told():
    run = run_of(both("front")[1])
    found, reasons = values_of(measures.measure_run(run, FACTS, None), "front"), reasons_of(run)
    assert {"chassis_acceleration_rms", "chassis_acceleration_10_per_min", "hand_arm_vibration"} <= set(found)
    lacking = {"wheel_acceleration_rms", "unloaded_share", "transmissibility", "chassis_damping", "hop_frequency"}
    assert {reasons[name] for name in lacking} == {"no inertial sensor on the wheel at the front"}
    assert reasons_of(run, "rear")["whole_body_vibration"] == "no inertial sensor on the chassis at the rear"


def test_an_end_whose_readings_cant_be_used_has_none_and_the_code_is_the_reason(run: RunMotion):
    spoilt = replace(run, lost=MappingProxyType({"front": "stuck"}))
    reasons = reasons_of(spoilt)
    assert {reasons[name] for name in ("wheel_acceleration_rms", "transmissibility", "hand_arm_vibration")} == {"stuck"}
    rows = compared_rows({"front"})
    assert family_values(spoilt, ((0, 5_000),), FACTS, rows)["wheel_acceleration_rms", "front"].reason == "stuck"


def test_a_slow_log_gives_no_weighted_vibration_and_says_what_it_takes():
    signal = inertial(shaken(60, 1, 100.0))
    assert reasons_of(run_of(signal, rate_hz=100.0))["hand_arm_vibration"] == (
        "100 rows a second: Wh needs what shakes at up to 80 Hz, 199 rows a second"
    )


def test_a_ride_too_short_says_how_much_is_needed():
    signals = [inertial(signal.attitude.upward_m_s2[:2_400], end=signal.end, on=signal.on) for signal in both("front")]
    reasons = reasons_of(run_of(*signals))
    assert reasons["transmissibility"] == (
        "1 window of 8 s of riding without a break, half overlapping, at least 8 needed"
    )
    assert "hits that stand out, 10 needed" in reasons["shock_response"]


def test_stretches_too_short_to_be_filtered_say_so():
    run = run_of(inertial(np.ones(30)), segments=((0, 15), (15, 30)))
    assert "long enough to be filtered" in reasons_of(run)["chassis_acceleration_rms"]


def test_a_gap_makes_two_stretches_and_nothing_is_filtered_across_it():
    signal = np.concatenate([np.full(5_000, 40.0), np.full(5_000, -40.0)])
    whole, parted = (
        values_of(measures.measure_run(run_of(inertial(signal), segments=segments), FACTS, None), "front")
        for segments in (None, ((0, 5_000), (5_000, 10_000)))
    )
    assert whole["chassis_acceleration_rms"] > 1
    assert parted["chassis_acceleration_rms"] == pytest.approx(0, abs=1e-6)


def test_only_what_was_ridden_counts():
    loud = np.concatenate([np.zeros(10_000), 10 * np.random.default_rng(2).normal(size=10_000)])
    run = run_of(inertial(loud))
    calm = np.arange(20_000) < 9_000
    found = inertial_view(replace(run, time=replace(run.time, riding=calm)), "front")
    assert MEASURES["chassis_acceleration_rms"](found) < 0.01


@pytest.mark.parametrize("measure", ["chassis_acceleration_rms", "unloaded_share"])
def test_parts_of_a_ride_hold_together_what_the_whole_of_it_does(measure: str, run: RunMotion):
    """Filtered each by itself, short parts would start and end in swings of the filter: flights 40 % too calm."""
    edges = range(0, run.time.riding.shape[0] + 1, 100)
    whole = inertial_view(run, "front")
    parts = [part_of(whole, run, (part,)) for part in pairwise(edges)]
    power = 2 if measure.endswith("rms") else 1
    found = [MEASURES[measure](part) ** power for part in parts]
    assert len(found) > 100
    assert np.mean(found) == pytest.approx(MEASURES[measure](whole) ** power, rel=1e-9)


class TestWithinSections:
    def test_ten_a_minute_is_stood_for_by_a_percentile_of_peaks(self, run: RunMotion):
        fewest = int(threshold("measures.inertial.control.FEWEST_PEAKS"))
        kept = ((0, 5_000), (5_000, 10_000))
        value = family_values(run, kept, FACTS, compared_rows({"front"}))["wheel_acceleration_10_per_min", "front"]
        view = inertial_view(run, "front", stretches=kept[:1])
        assert value.sections[0] == IN_A_SECTION["wheel_acceleration_10_per_min"](view)
        assert value.sections[0] != MEASURES["wheel_acceleration_10_per_min"](view)
        short = inertial_view(run, "front", stretches=((0, 20),))
        assert f"at least {fewest} needed" in IN_A_SECTION["wheel_acceleration_10_per_min"](short).reason

    def test_rows_of_acceleration_are_only_of_ends_measured_by_it_alone(self, run: RunMotion):
        kept = ((0, 5_000),)
        of_front = set(family_values(run, kept, FACTS, compared_rows({"front"})))
        plain = set(family_values(run, kept, FACTS))
        added = {name for name, end in of_front - plain}
        assert {end for _, end in of_front - plain} == {"front"}
        assert {"wheel_acceleration_rms", "chassis_acceleration_10_per_min", "unloaded_share"} <= added
        assert not {name for name, _ in plain if SPECS[name].by == "acceleration"}

    def test_the_pooled_value_is_over_all_kept_sections(self, run: RunMotion):
        kept = ((0, 5_000), (20_000, 25_000))
        value = family_values(run, kept, FACTS, compared_rows({"rear"}))["chassis_acceleration_rms", "rear"]
        assert value.value == pytest.approx(math.sqrt(np.mean(value.sections**2)), rel=1e-6)

    def test_an_end_without_a_sensor_is_absent(self):
        only = run_of(*both("front"))
        value = family_values(only, ((0, 5_000),), FACTS, compared_rows({"rear"}))["unloaded_share", "rear"]
        assert (value.value, value.reason) == (None, "no inertial sensor at the rear")


def test_what_measures_share_is_worked_out_once(run: RunMotion):
    asked = []

    @once
    def costly(view, on):
        asked.append(on)
        return len(asked)

    view = inertial_view(run, "front")
    assert [costly(view, "wheel"), costly(view, "wheel"), costly(view, "chassis")] == [1, 1, 2]
    assert costly(inertial_view(run, "front"), "wheel") == 3


def test_what_figures_rest_on_is_said_by_rate():
    assert shaking_basis(500.0).to_dict() == {
        "band_hz": [1.0, 80.0],
        "bike_share": 0.25,
        "masses_stated": False,
        "rider_follows_to_hz": 2.0,
        "hands_weighted_to_hz": 200.0,
        "body_weighted_to_hz": 80.0,
    }
    assert shaking_basis(500.0, 0.5).masses_stated
    assert shaking_basis(100.0).to_dict()["band_hz"] == [1.0, 40.0]
    assert shaking_basis(100.0).to_dict()["body_weighted_to_hz"] is None
