"""Natural trails: the same from one seed, within what was asked, and ridden as the limits allow."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np
import pytest

from telemetry.errors import RideDayError
from telemetry.simulation.natural_ride import natural_ride, natural_scenario
from telemetry.simulation.obstacles import BrakingBumps, Bump, Drop, Obstacle, Tabletop
from telemetry.simulation.pace import STEP_M
from telemetry.simulation.path import CRANK_SPREAD
from telemetry.simulation.runs_made import MadeRun
from telemetry.simulation.trail import Trail

LONG = {"length_m": 2000, "drops_per_km": 10, "jumps_per_km": 10}
RATE_HZ = 4000


def trail_of(seed: int, **natural: object) -> Trail:
    return natural_scenario(seed, {"trail": {"natural": {**LONG, **natural}}}).trail


def kinds(trail: Trail, kind: type[Obstacle]) -> list[Obstacle]:
    return [own for own in trail.obstacles if type(own) is kind]


@cache
def ridden(seed: int, line: int = 0) -> MadeRun:
    return natural_ride(seed, line=line)


def test_one_seed_makes_one_trail_and_another_another() -> None:
    first, again, other = trail_of(3), trail_of(3), trail_of(4)
    assert first.obstacles == again.obstacles
    assert np.array_equal(first.course.speed_m_s, again.course.speed_m_s)
    assert first.stretches == again.stretches
    assert first.obstacles != other.obstacles


def test_sizes_lie_within_what_was_asked_and_numbers_about_it() -> None:
    asked = {"rock_mm": [30, 60], "drop_mm": [150, 300], "lip_mm": [300, 400]}
    trail = trail_of(5, **asked, rocks_per_100_m=20, roots_per_100_m=0, dips_per_100_m=0)
    rocks = np.array([own.height_m for own in kinds(trail, Bump)])
    assert 200 < rocks.size < 600
    assert (np.abs(rocks).min(), np.abs(rocks).max()) == pytest.approx((0.030, 0.060), abs=0.002)
    assert 0.1 < np.mean(rocks < 0) < 0.3
    assert all(0.15 <= own.height_m <= 0.3 for own in kinds(trail, Drop))
    assert all(0.3 <= own.lip_m <= 0.4 for own in kinds(trail, Tabletop))
    assert len(kinds(trail, Drop)) >= 8
    assert len(kinds(trail, Tabletop)) >= 8
    none = trail_of(5, rocks_per_100_m=0, roots_per_100_m=0, dips_per_100_m=0, braking_bumps_mm=0, jumps_per_km=0)
    assert {type(own) for own in none.obstacles} == {Drop}


def test_speed_keeps_every_limit() -> None:
    trail = trail_of(6, braking_m_s2=3, accelerating_m_s2=1.2, cornering_m_s2=4)
    course = trail.course
    along = np.gradient(course.speed_m_s**2 / 2, STEP_M)
    assert (along.min(), along.max()) == pytest.approx((-3.0, 1.2), rel=0.01)
    across = course.speed_m_s**2 * np.abs(course.curvature_1_m)
    assert across.max() < 4 * 1.1  # smoothing rounds where a turn begins
    assert np.count_nonzero(np.diff(np.sign(course.curvature_1_m)) != 0) > 20
    bumps = kinds(trail, BrakingBumps)
    assert len(bumps) > 5
    assert all(along[round(own.at_m / STEP_M) + 5] < -1.0 for own in bumps)


def test_nothing_turns_brakes_or_lies_about_where_bikes_fly() -> None:
    trail = trail_of(7)
    course = trail.course
    for own in kinds(trail, Tabletop):
        span = slice(round(own.at_m / STEP_M), round((own.at_m + own.length_m) / STEP_M))
        assert not course.curvature_1_m[span].any()
        assert np.ptp(course.speed_m_s[span]) < 1e-6
        for bump in kinds(trail, Bump):
            assert bump.at_m + bump.length_m < own.at_m or bump.at_m > own.at_m + own.length_m


def test_a_ride_holds_every_phase_and_its_bike_stays_upright() -> None:
    for seed in (1, 3):
        run = ridden(seed)
        assert run.phases is not None
        assert all(run.phases.stretches.values())
        assert np.degrees(np.abs(run.whole.motion.pitch_rad)).max() < 40
        assert run.whole.motion.front_m.max() < 0.172
        work = run.whole.motion.work_j
        taken = sum(work[name] for name in ("dampers", "friction", "tyres", "rider"))
        assert work["road"] + work["pushes"] == pytest.approx(taken + work["stored"], rel=0.02)


def test_flights_are_where_both_tyres_are_off_and_nothing_is_felt_there() -> None:
    run = ridden(3)
    first = round(run.starts_s * RATE_HZ)
    body = run.signals.body
    assert body is not None
    force = np.hypot(body.along_m_s2, body.normal_m_s2)[first:]
    start, stop = max(run.phases.stretches["airborne"], key=lambda span: span[1] - span[0])
    assert (stop - start) / RATE_HZ > 0.25
    assert np.abs(body.along_m_s2[first + start + 1 : first + stop - 1]).max() < 1e-6
    # ends still unfold in the air, wheels and rider pull at the frame: less than at rest on the whole
    assert force[start:stop].mean() < 0.5 * 9.81
    assert run.phases.landings_n[run.phases.stretches["airborne"].index((start, stop))] > 1500


def test_braking_dives_and_driving_squats() -> None:
    run = ridden(1)
    found = {row["measure"]: row["value"] for row in run.truth.to_dict()["measures"] if "per_g" in row["measure"]}
    assert 30 < found["dive_per_g"] < 120
    assert found["squat_per_g"] > 0


def test_legs_push_twice_a_turn_and_only_where_it_takes_drive() -> None:
    run = natural_ride(3, change={"trail": {"natural": {"gradient_percent": 3, "pedal_hz": 1.2}}})
    drive = run.whole.motion.rear_along_n
    start, stop = max(run.phases.stretches["pedalling"], key=lambda span: span[1] - span[0])
    spectrum = np.abs(np.fft.rfft(drive[start:stop] - drive[start:stop].mean(), 8 * (stop - start)))
    frequency = np.fft.rfftfreq(8 * (stop - start), 1 / RATE_HZ)
    slow = (frequency > 0.6) & (frequency < 8)
    assert frequency[slow][spectrum[slow].argmax()] / 2 == pytest.approx(1.2, rel=2 * CRANK_SPREAD + 0.1)
    engine = natural_ride(3, change={"trail": {"natural": {"gradient_percent": 3, "pedal_hz": 0}}})
    assert engine.phases.stretches["pedalling"] == ()


def test_lines_differ_and_the_trail_does_not() -> None:
    one, other = ridden(1), ridden(1, line=1)
    count = 20 * RATE_HZ
    first, second = one.whole.roads_m[:count, 0], other.whole.roads_m[:count, 0]
    assert 0.9 < np.corrcoef(first, second)[0, 1] < 1.0


def test_before_a_run_readings_are_still_and_level() -> None:
    run = ridden(1)
    body = run.signals.body
    pitch, roll = body.attitude_rad()
    still = slice(0, 4000)
    assert np.abs(pitch[still]).max() < 1e-12
    assert np.abs(roll[still]).max() < 1e-12
    assert np.abs(np.diff(pitch)).max() * RATE_HZ < np.radians(600)
    assert np.abs(np.diff(roll)).max() * RATE_HZ < np.radians(300)


BAD: dict[str, tuple[Mapping[str, object], list[str]]] = {
    "the larger first": ({"rock_mm": [80, 20]}, ["trail.natural.rock_mm", "5 to 500", "the smaller first"]),
    "one number": ({"lip_mm": [300]}, ["trail.natural.lip_mm", "at least 2 items"]),
    "too slow": ({"speed_m_s": 1}, ["trail.natural.speed_m_s", "2 to 30"]),
    "too long a ride": ({"length_m": 20_000, "speed_m_s": 5}, ["trail.natural.length_m", "a run of", "5 to 900 s"]),
    "an unknown key": ({"rocks": 3}, ["trail.natural.rocks", "unknown key", "rock_mm"]),
}


@pytest.mark.parametrize(("natural", "words"), BAD.values(), ids=BAD)
def test_what_cannot_be_drawn_is_refused(natural: Mapping[str, object], words: list[str]) -> None:
    with pytest.raises(RideDayError) as found:
        natural_scenario(1, {"trail": {"natural": natural}})
    assert all(word in str(found.value) for word in words), str(found.value)


def test_a_trail_twice_or_none_and_a_bike_without_height_are_refused() -> None:
    with pytest.raises(RideDayError, match=r"bike\.centre_height_mm: found nothing; expected a value where"):
        natural_scenario(1, {"bike": {"centre_height_mm": None}})
    stretch = {"length_m": 100, "road_class": "C", "speed_m_s": 5}
    with pytest.raises(RideDayError, match=r"trail.natural: found natural beside `\[\[trail.stretches\]\]`"):
        natural_scenario(1, {"trail": {"stretches": [stretch]}})
    with pytest.raises(RideDayError, match="trail: found no ground"):
        natural_scenario(1, {"trail": {"natural": None}})
