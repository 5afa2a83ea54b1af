"""Measures within phases and named stretches, on arrays: what of them counts, and what is too short."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from telemetry.measures import (
    BikeFacts,
    Missing,
    find_motion,
    find_phases,
    measures_within,
    place_stretches,
    values_within,
)
from telemetry.measures.view import RunMotion
from telemetry.measures.within import clipped
from telemetry.model.catalogue import SPECS, named_rows
from telemetry.model.motion import Stretch
from telemetry.model.ride import GroundSpeed
from tests.measures.bare_rides import FULL_MM, bare_end, bare_ride
from tests.measures.inertial_rides import inertial, shaken
from tests.measures.phases.made_signals import chassis
from tests.thresholds import threshold

RATE_HZ = 100.0
AT_S = np.arange(round(60 * RATE_HZ)) / RATE_HZ
LEAST_S = threshold("measures.within.LEAST_S")
AIR_S = threshold("measures.within.LEAST_IN_THE_AIR_S")
FACTS = BikeFacts(head_angle_deg=64.0, wheelbase_mm=1250.0, knees={}, hard_bottom_out_mm_s=600.0)


def ridden(braked_s: float = 8.0) -> RunMotion:
    """Return a ride at 50 mm of sag, 80 mm from 20 s on while it loses 2 m/s2."""
    braked = np.abs(AT_S - 20 - braked_s / 2 + 1e-6) < braked_s / 2
    travel = np.where(braked, 80.0, 50.0)
    speed = 20 - 2 * np.clip(AT_S - 20, 0, braked_s)
    made = bare_ride(bare_end("front", travel), bare_end("rear", travel), rate_hz=RATE_HZ)
    return find_motion(replace(made, ground_speed=GroundSpeed(speed_m_s=speed, source="ground_speed")))


def told(run: RunMotion) -> dict[tuple[str, str], float]:
    found = measures_within(run, find_phases(run), FACTS)
    return {(name, end): value for name, end, value in found if not isinstance(value, Missing)}


def test_sag_under_braking_is_that_of_what_was_braked() -> None:
    found = told(ridden())
    assert found["dynamic_sag@braking", "front"] == pytest.approx(100 * 80 / FULL_MM, abs=0.3)
    assert found["dynamic_sag@coasting", "front"] == pytest.approx(100 * 50 / FULL_MM, abs=0.3)
    assert found["riding_time@braking", "both"] == pytest.approx(8.0, abs=0.3)
    assert found["sag_difference@braking", "both"] == 0
    assert ("compression_speed_p50@braking", "front") not in found
    assert not any(name.endswith("@turning") for name, _ in found)


def test_vibration_of_the_body_is_no_matter_of_the_front() -> None:
    at_s = np.arange(round(60 * 200.0)) / 200.0
    level = np.full(at_s.size, 50.0)
    speed = GroundSpeed(speed_m_s=20 - 2 * np.clip(at_s - 20, 0, 8), source="ground_speed")
    signal = inertial(shaken(60, 1))
    made = bare_ride(bare_end("front", level), bare_end("rear", level), rate_hz=200.0)
    run = find_motion(
        replace(made, ground_speed=speed, inertial=MappingProxyType({signal.site: signal, ("rear", "chassis"): signal}))
    )
    found = told(run)
    assert found["hand_arm_vibration@braking", "front"] > 0
    assert found["whole_body_vibration@braking", "rear"] > 0
    assert all(end in SPECS[name.partition("@")[0]].ends for name, end in found)


@pytest.mark.parametrize(("braked_s", "there"), [(LEAST_S + 0.3, True), (LEAST_S - 0.3, False)])
def test_a_phase_of_under_five_seconds_gives_no_measures(braked_s: float, *, there: bool) -> None:
    assert any(name.endswith("@braking") for name, _ in told(ridden(braked_s))) is there


def test_acceleration_is_told_by_phase_but_while_coasting_only_by_name() -> None:
    run = ridden()
    signal = chassis(np.random.default_rng(2).normal(0.0, 3.0, AT_S.shape))
    run = replace(run, ride=replace(run.ride, inertial=MappingProxyType({signal.site: signal})))
    found = told(run)
    assert found["chassis_acceleration_rms@braking", "front"] > 0
    assert found["dynamic_sag@coasting", "front"] > 0
    assert not any(name.startswith("chassis_acceleration") and name.endswith("@coasting") for name, _ in found)
    rows = named_rows((("chassis_acceleration_rms@coasting", "front"),))
    where = values_within(run, ((0, 6000),), FACTS, rows, lambda name: place_stretches(find_phases(run), name))
    assert where["chassis_acceleration_rms@coasting", "front"].value is not None


def rows_within(run: RunMotion, kept: tuple[Stretch, ...], place: str, where: tuple[Stretch, ...] | Missing):
    rows = named_rows(((f"dynamic_sag@{place}", "front"), (f"bottom_outs_per_min@{place}", "front")))
    return values_within(run, kept, FACTS, rows, lambda name: where if name == place else Missing("another"))


def test_a_row_is_taken_over_what_kept_sections_and_a_name_share() -> None:
    run = ridden()
    kept = ((0, 1500), (1500, 2500), (2500, 4000))
    found = rows_within(run, kept, "roots", ((1900, 2600), (2700, 3000)))["dynamic_sag@roots", "front"]
    share = (300 * 50 + 700 * 80) / 1000
    assert found.value == pytest.approx(100 * share / FULL_MM, rel=0.01)
    assert np.isnan(found.sections[0])
    assert found.sections[1] == pytest.approx(100 * (100 * 50 + 500 * 80) / 600 / FULL_MM)
    assert found.minutes == pytest.approx(10 / 60)
    counted = rows_within(run, kept, "roots", ((1900, 2600),))["bottom_outs_per_min@roots", "front"]
    assert counted.count == 0


@pytest.mark.parametrize(
    ("place", "seconds", "there"),
    [
        ("roots", LEAST_S, True),
        ("roots", LEAST_S - 0.01, False),
        ("landing", AIR_S, True),
        ("airborne", AIR_S - 0.01, False),
    ],
)
def test_what_is_too_short_has_no_value_and_says_so(place: str, seconds: float, *, there: bool) -> None:
    found = rows_within(ridden(), ((0, 6000),), place, ((100, 100 + round(seconds * RATE_HZ)),))
    value = found[f"dynamic_sag@{place}", "front"]
    assert (value.value is not None) is there
    if not there:
        assert f"s of {place} (at least" in value.reason
        assert np.isnan(value.sections).all()


def test_where_a_name_stands_for_nothing_the_reason_is_told() -> None:
    found = rows_within(ridden(), ((0, 6000),), "braking", Missing("no sensor"))
    assert found["dynamic_sag@braking", "front"].reason == "no sensor"
    phases = find_phases(ridden())
    assert place_stretches(phases, "braking") == phases.phases.found["braking"].stretches
    absent, unknown, none = (
        place_stretches(*one) for one in ((phases, "turning"), (phases, "rocks"), (None, "braking"))
    )
    assert isinstance(absent, Missing)
    assert "gyroscope" in absent.reason
    assert unknown == Missing("nothing is named rocks")
    assert isinstance(none, Missing)


def test_a_lost_end_keeps_its_measures_by_phase_to_itself() -> None:
    run = ridden()
    alone = replace(run, ends=MappingProxyType({"rear": run.ends["rear"]}), lost=MappingProxyType({"front": "stuck"}))
    found = told(alone)
    assert ("dynamic_sag@braking", "rear") in found
    assert not any(end == "front" for _, end in found)


def test_shared_stretches() -> None:
    rng = np.random.default_rng(0)
    for _ in range(50):
        one, other = (
            np.sort(rng.choice(200, size=(2 * rng.integers(0, 8)), replace=False)).reshape(-1, 2) for _ in "ab"
        )
        both = np.zeros((2, 200), dtype=bool)
        for row, stretches in zip(both, (one, other), strict=True):
            for start, stop in stretches.tolist():
                row[start:stop] = True
        shared = clipped(tuple(map(tuple, one.tolist())), tuple(map(tuple, other.tolist())))
        assert (
            sorted(i for start, stop in shared for i in range(start, stop)) == np.flatnonzero(both.all(axis=0)).tolist()
        )
