"""Ride days without logs for the bench: one that states everything, and parts of a simulated bike as measured."""

from __future__ import annotations

from pathlib import Path

import telemetry
from telemetry.bench.one_end import end_of
from telemetry.bench.stated import stated_of
from telemetry.model.bench import Bench, EndBench
from telemetry.model.day import RideDay
from telemetry.model.finding import End
from telemetry.simulation.bike import Suspension
from telemetry.simulation.parts_text import parts_measured
from telemetry.simulation.scenario import ReadScenario, SimulatedSetup
from telemetry.simulation.scenario_tables import PartTable
from telemetry.simulation.toml_text import toml_text

AIR = """\
air_pressure_bar = 5.0
air_volume_ml = 170
air_piston_mm = 30
air_rod_mm = 8
negative_air_volume_ml = 25
"""
POINTS = "damper_points = [[-1000, -610], [-100, -110], [100, 50], [1000, 230]]"
DAY = f"""\
[ride_day]
title = "Parts on the bench"
date = 2026-05-16
rider_mass_kg = 84
altitude_m = 0
air_temperature_c = 20
[bike]
mass_kg = 24
head_angle_deg = 64
front_share = 0.4
battery_mass_kg = 3.5
[bike.front]
travel_mm = 170
bumper_touch_mm = 160
{AIR}stanchion_mm = 36
lower_leg_volume_each_ml = 240
lower_leg_oil_each_ml = 20
unsprung_mass_kg = 4
tyre_stiffness_n_mm = 95
{POINTS}
damper_oil_cst_40c = 16
damper_oil_viscosity_index = 150
rebound = {{ clicks_from_closed = 9, of = 18 }}
[bike.rear]
stroke_mm = 60
ratio = 2.5
spring_rate_n_mm = 90
preload_mm = 1
unsprung_mass_kg = 5
[setups.a]
label = "20 ml"
[setups.b]
label = "8 ml"
based_on = "a"
[setups.b.front]
lower_leg_oil_each_ml = 8
"""


HEAD = """\
[ride_day]
date = 2026-05-16
rider_mass_kg = 70
[bike]
mass_kg = 28
front_share = 0.42
"""


def day_of(folder: Path, parts: str) -> RideDay:
    """Return a day whose rider and bike are weighed, and of which these lines say the rest, of the bike first."""
    (folder / "ride_day.toml").write_text(HEAD + parts, encoding="utf-8")
    return telemetry.read_ride_day(folder)


def written(folder: Path, *changes: tuple[str, str]) -> Path:
    """Write the day with parts of its text replaced; each has to be there."""
    text = DAY
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    folder.mkdir(exist_ok=True)
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    return folder


def benched(folder: Path, *changes: tuple[str, str]) -> Bench:
    """Return the answer for the day with parts of its text replaced."""
    return telemetry.bench_of(telemetry.read_ride_day(written(folder, *changes)))


def end_bench(folder: Path, end: End, *changes: tuple[str, str]) -> EndBench:
    """Return one end of the first setup with parts of the day's text replaced, nothing drawn."""
    return _end_of(telemetry.read_ride_day(written(folder, *changes)), end)


def _end_of(day: RideDay, end: End) -> EndBench:
    return end_of(stated_of(day, next(iter(day.setups.values())), end))


SPRINGS = (
    "air_pressure_bar",
    "spring_rate_n_mm",
    "preload_mm",
    "lower_leg_volume_each_ml",
    "lower_leg_oil_each_ml",
)


def as_measured(part: PartTable, own: Suspension) -> dict[str, object]:
    """Return an end's keys as a caliper, a syringe and a scale would tell them."""
    stated = {key: getattr(part, key) for key in SPRINGS}
    if part.lower_leg_volume_each_ml is not None and part.lower_leg_oil_each_ml is None:
        stated["lower_leg_oil_each_ml"] = 0.0
    return {key: value for key, value in stated.items() if value is not None} | parts_measured(part, own)


def simulated_end(folder: Path, scenario: ReadScenario, setup: SimulatedSetup, end: End) -> EndBench:
    """Return the bench's answer for a simulated bike whose figures are known exactly."""
    tables, bike, front, rear = scenario.tables, setup.bike, setup.front, setup.rear
    rider, total = tables.rider.moving_kg, tables.bike.frame_kg + front.unsprung_kg + rear.unsprung_kg
    on_front = (
        tables.bike.frame_kg * tables.bike.rear_behind_mm / (tables.bike.front_ahead_mm + tables.bike.rear_behind_mm)
    )
    legs, wheelbase = tables.rider.legs_share, tables.bike.front_ahead_mm + tables.bike.rear_behind_mm
    for share, ahead in ((legs, tables.rider.pedals_ahead_mm), (1 - legs, tables.rider.hands_ahead_mm)):
        on_front += rider * share * (tables.bike.rear_behind_mm + ahead) / wheelbase
    assert rear.leverage is not None
    assert bike.front.leverage is None
    rows = "\n".join(f"{stroke},{travel}" for stroke, travel in rear.leverage)
    folder.mkdir(exist_ok=True)
    (folder / "leverage.csv").write_text(f"stroke_mm,travel_mm\n{rows}\n", encoding="utf-8")
    whole: dict[str, object] = {
        "ride_day": {"date": tables.day.date, "rider_mass_kg": rider},
        "bike": {
            "mass_kg": total,
            "head_angle_deg": tables.bike.head_angle_deg,
            "front_share": (on_front + front.unsprung_kg) / (total + rider),
        },
        "bike.front": {"travel_mm": front.travel_mm, **as_measured(front, bike.front)},
        "bike.rear": {"stroke_mm": rear.stroke_mm, "leverage": "leverage.csv", **as_measured(rear, bike.rear)},
        "setups.a": {"label": "a"},
    }
    (folder / "ride_day.toml").write_text(toml_text(whole), encoding="utf-8")
    return _end_of(telemetry.read_ride_day(folder), end)
