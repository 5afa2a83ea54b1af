"""What a lap says of flights, landings, phases and of what no sensor measured."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import RunAnalysis
from telemetry.model.curves import FeltLanding, Flight, RiddenPhase, RunPicture
from telemetry.model.day import RideDay, RunEntry
from telemetry.model.finding import End
from telemetry.model.measure import Absent
from telemetry.model.sensor import InertialSensor
from telemetry.telling.lap import MOST_FLIGHTS, LapWords, lap_in_words
from telemetry.telling.untold import LEGS_SHOW, NONE_SO_LONG, in_place_of_zero, seen_by_legs

ENTRY = RunEntry(name="run_1", log=Path("run_1.csv"), rear_log=None, setup="shims_1", order=1, sensors={})
AXES = {"ax": "ax", "ay": "ay", "az": "az"}
LANDED = FeltLanding(peak_g=3.14, impulse_m_s=2.46, lasts_s=0.32)


@pytest.fixture(scope="module")
def day() -> RideDay:
    return telemetry.read_ride_day("sample_runs/lighter_shims")


def told(
    day: RideDay,
    *,
    flights: tuple[Flight, ...] | None = (),
    phases: tuple[RiddenPhase, ...] = (),
    reasons: dict[End, str] | None = None,
    sensors: dict[str, InertialSensor] | None = None,
) -> LapWords:
    absent = tuple(
        Absent(measure="dynamic_sag", end=end, reason=reason) for end, reason in (reasons or {"front": "lost"}).items()
    )
    run = RunAnalysis(entry=replace(ENTRY, sensors=sensors or {}), findings=(), measures=(), absent=absent, history=())
    picture = RunPicture(
        run="run_1",
        setup="shims_1",
        order=1,
        riding_s=69.4,
        ends={},
        deep_hits=(),
        flights=flights,
        worst_bursts={},
        overview_s=np.array([0.0, 1.0]),
        overview_pct={},
        phases=phases,
    )
    return lap_in_words(day, run, picture, (), "s")


def phase(name: str, ridden_s: float, confidence: str = "high") -> RiddenPhase:
    return RiddenPhase(name=name, ridden_s=ridden_s, confidence=confidence, told_by="ground speed")  # type: ignore[arg-type]


def test_flights_stand_with_their_landings_in_the_order_flown(day: RideDay) -> None:
    flights = (
        Flight(start_s=44.31, end_s=44.44, landing=LANDED),
        Flight(start_s=50.0, end_s=50.6),  # touched down where riding ended
    )
    found = told(day, flights=flights)
    assert found.flights.columns == ("flight from", "lasts", "landing, highest", "speed lost", "settled after")
    assert found.flights.rows == (
        ("44.3 s", "0.13 s", "3.1 g", "2.5 m/s", "0.3 s"),
        ("50.0 s", "0.60 s", "–", "–", "–"),
    )
    assert found.finding == "69 s of riding, 2 flights"
    assert told(day, flights=None).finding == "69 s of riding"


def test_without_a_sensor_on_the_chassis_flights_stand_alone(day: RideDay) -> None:
    assert told(day, flights=(Flight(start_s=1.0, end_s=1.5),)).flights.columns == ("flight from", "lasts")
    assert told(day).flights.rows == ()


def test_legs_alone_never_say_that_there_were_no_flights(day: RideDay) -> None:
    frame = InertialSensor(name="frame", end="front", on="chassis", columns=AXES, acceleration_unit="g")
    assert f"No flight long enough for the legs to show ({LEGS_SHOW})." in told(day).lines
    assert not any(line.startswith("No flights") for line in told(day).lines)
    assert "No flights." in told(day, sensors={"frame": frame}).lines
    assert told(day, sensors={"frame": frame}).finding == "69 s of riding, no flights"
    assert told(day).finding == "69 s of riding"


def test_a_time_of_nothing_in_the_air_is_told_as_what_the_sensor_can_tell() -> None:
    by_legs = RunAnalysis(entry=ENTRY, findings=(), measures=(), absent=(), history=())
    assert in_place_of_zero(by_legs, "airborne_time", "both", 0.004) == NONE_SO_LONG
    assert in_place_of_zero(by_legs, "airborne_time", "both", 0.31) == ""
    assert LEGS_SHOW in seen_by_legs([by_legs], "airborne_time")
    frame = InertialSensor(name="frame", end="front", on="chassis", columns=AXES, acceleration_unit="g")
    felt = replace(by_legs, entry=replace(ENTRY, sensors={"frame": frame}))
    assert in_place_of_zero(felt, "airborne_time", "both", 0.0) == ""
    assert seen_by_legs([felt], "airborne_time") == ""


def test_of_many_flights_the_longest_are_listed(day: RideDay) -> None:
    flights = tuple(Flight(start_s=10.0 * n, end_s=10.0 * n + 0.1 * (n + 1)) for n in range(MOST_FLIGHTS + 2))
    assert [row[0] for row in told(day, flights=flights).flights.rows] == [
        f"{10.0 * n:.1f} s" for n in range(2, MOST_FLIGHTS + 2)
    ]


def test_phases_are_told_with_how_well_they_are_known(day: RideDay) -> None:
    ridden = (phase("airborne", 1), phase("braking", 12.4), phase("pedalling", 8, "low"), phase("turning", 20))
    lines = told(day, phases=ridden).lines
    assert "Braked 12 s, turned 20 s: known well." in lines
    assert "Pedalled about 8 s, roughly: told by ground speed." in lines
    assert not any("flown" in line for line in lines)


@pytest.mark.parametrize(
    ("reasons", "said"),
    [
        (
            {"front": "no sensor at the front: why", "rear": "no sensor at the rear: why"},
            "No sensor at either end: why.",
        ),
        ({"front": "no sensor at the front", "rear": "stuck"}, "No sensor at the front; stuck."),
        ({"rear": "no sensor at the rear"}, "No sensor at the rear."),
    ],
)
def test_why_travel_is_not_told_is_said_once(day: RideDay, reasons: dict[End, str], said: str) -> None:
    assert told(day, reasons=reasons).lines[0] == said
