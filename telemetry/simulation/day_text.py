"""The `ride_day.toml` of a scenario: what a tuner would write down of the simulated day."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from telemetry.dynamics.car import GRAVITY_M_S2
from telemetry.dynamics.half_car import axle_loads_n
from telemetry.model.finding import End

from . import scenario_tables as t
from .body import Place
from .loggers_made import SPEED_COLUMN, inertial_columns, made_inertial
from .parts_text import parts_measured
from .scenario import ReadScenario, SimulatedSetup
from .toml_text import toml_text

COPIED_KEYS = (
    "air_pressure_bar",
    "spring_rate_n_mm",
    "preload_mm",
    "lower_leg_volume_each_ml",
    "lower_leg_volume_spring_side_ml",
    "lower_leg_volume_damper_side_ml",
    "lower_leg_oil_each_ml",
    "lower_leg_oil_spring_side_ml",
    "lower_leg_oil_damper_side_ml",
)
HEAD = "# A simulated day: invented bike, trail, rider and shop. The truth is in truth.json beside this file.\n\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """When a run passes the trail's beginning, its end and its marks, by the log's own clock, s."""

    starts_s: float
    ends_s: float
    marks_s: tuple[float, ...]


def leverage_name(setup: str) -> str:
    """Return the file name of a setup's leverage curve."""
    return f"leverage_{setup}.csv"


def _displacement(table: t.LoggerTable) -> dict[str, object]:
    counts = [0, 2**table.bits - 1]
    found: dict[str, object] = {}
    for end, own in table.displacement().items():
        name = "fork" if end == "front" else "shock"
        keys: dict[str, object] = {"kind": "displacement", "end": end}
        if end == "rear":
            keys["measures"] = "stroke"
        found[f"sensors.{name}"] = {**keys, "column": own.column, "points": own.points, "counts_range": counts}
    return found


def _from_axle(tables: t.Scenario, place: Place, end: End) -> dict[str, object]:
    """Return where a sensor sits from its end's axle, as a tape tells: to 5 mm; nothing of a bike without heights."""
    bike = tables.bike
    if bike.centre_height_mm is None or place.on != "frame":
        return {}
    radius_mm = float(getattr(bike, end)["wheel_radius_mm"])
    axle_ahead_mm = -bike.rear_behind_mm if end == "rear" else bike.front_ahead_mm
    return {
        "ahead_of_axle_mm": 5 * round((1000 * place.ahead_m - axle_ahead_mm) / 5),
        "above_axle_mm": 5 * round((1000 * place.up_m + bike.centre_height_mm - radius_mm) / 5),
    }


def _sensors(tables: t.Scenario) -> dict[str, object]:
    table = tables.logger
    found = _displacement(table)
    if table.ground_speed:
        found["sensors.wheel"] = {"kind": "ground_speed", "column": SPEED_COLUMN, "unit": "m/s"}
    for name, own in table.inertial().items():
        unit = made_inertial(tables, name)
        found[f"sensors.{name}"] = {
            "kind": "inertial",
            "end": t.end_of(name),
            "on": "wheel" if unit.place.on != "frame" else "chassis",
            "columns": inertial_columns(own),
            "acceleration_unit": own.acceleration_unit,
            "counts_per_g": unit.counts_per_g if own.acceleration_unit == "counts" else None,
            **_from_axle(tables, unit.place, t.end_of(name)),
            "rotation_unit": own.rotation_unit if own.rotation else None,
            "counts_per_deg_s": unit.counts_per_deg_s if own.rotation and own.rotation_unit == "counts" else None,
        }
    return found


def _end_keys(part: t.PartTable, *, rear: bool) -> dict[str, object]:
    if rear:
        return {"stroke_mm": part.stroke_mm}
    return {"travel_mm": part.travel_mm, "measured_travel_mm": part.travel_mm}


def _setup_end(part: t.PartTable, measured: dict[str, object]) -> dict[str, object]:
    keys = {name: getattr(part, name) for name in COPIED_KEYS} | measured
    if part.lower_leg_area_mm2 is not None:
        keys["lower_leg_crossover"] = part.lower_leg_crossover
    if part.spring_rate_n_mm is None:
        keys.pop("preload_mm")
    return {key: value for key, value in keys.items() if value is not None} | dict(part.written)


def _head_tables(scenario: ReadScenario) -> dict[str, object]:
    tables, day = scenario.tables, scenario.tables.day
    first = scenario.setups[day.order[0]]
    return {
        "ride_day": {
            "title": day.title,
            "date": day.date,
            "trail": day.trail or None,
            "trail_state": day.trail_state or None,
            "rider": day.rider or None,
            "air_temperature_c": day.air_temperature_c,
            "altitude_m": day.altitude_m,
        },
        "bike": {
            "name": tables.bike.name,
            "wheelbase_mm": tables.bike.front_ahead_mm + tables.bike.rear_behind_mm,
            "head_angle_deg": tables.bike.head_angle_deg,
        },
        "bike.front": _end_keys(first.front, rear=False),
        "bike.rear": {**_end_keys(first.rear, rear=True), "leverage": leverage_name(first.name)},
        "log": {"time": {"column": tables.logger.time_column, "unit": tables.logger.time_unit}},
        **_sensors(tables),
    }


def _measured(setup: SimulatedSetup) -> tuple[dict[str, object], dict[str, object]]:
    """Return the front's and the rear's parts as measured, and what each carries as weighed, to 0.1 kg."""
    loads = axle_loads_n(setup.bike.settled())
    ends = ((setup.front, setup.bike.front), (setup.rear, setup.bike.rear))
    front, rear = (
        {**parts_measured(part, own), "sprung_mass_kg": round(load / GRAVITY_M_S2, 1)}
        for (part, own), load in zip(ends, loads, strict=True)
    )
    return front, rear


def _setup_tables(scenario: ReadScenario) -> dict[str, object]:
    first = scenario.setups[scenario.tables.day.order[0]]
    found: dict[str, object] = {}
    for name, setup in scenario.setups.items():
        found[f"setups.{name}"] = {"label": setup.label}
        measured = _measured(setup) if scenario.tables.day.parts_stated else ({}, {})
        front, rear = _setup_end(setup.front, measured[0]), _setup_end(setup.rear, measured[1])
        if setup.front.travel_mm != first.front.travel_mm:
            front = {**_end_keys(setup.front, rear=False), **front}
        if setup.rear.leverage != first.rear.leverage or setup.rear.stroke_mm != first.rear.stroke_mm:
            rear = {**_end_keys(setup.rear, rear=True), "leverage": leverage_name(name), **rear}
        found[f"setups.{name}.front"] = front
        found[f"setups.{name}.rear"] = rear
        if scenario.tables.setups[name].bike:
            found[f"setups.{name}.bike"] = scenario.tables.setups[name].bike
    return found


def _runs(day: t.DayTable, logs: list[tuple[str, ...]], passed: list[Passed]) -> list[dict[str, object]]:
    start = dt.datetime.combine(day.date, day.first_start)
    return [
        {
            "log": log[0] if len(log) == 1 else dict(zip(("front", "rear"), log, strict=True)),
            "name": None if len(log) == 1 else f"run_{number + 1}",
            "setup": setup,
            "started_at": start + dt.timedelta(minutes=number * day.minutes_between),
            "start_s": round(passed[number].starts_s, 2) if day.bounds_stated else None,
            "end_s": round(passed[number].ends_s, 2) if day.bounds_stated else None,
        }
        for number, (log, setup) in enumerate(zip(logs, day.order, strict=True))
    ]


def _marks(trail: t.TrailTable, passed: list[Passed]) -> list[dict[str, object]]:
    return [
        {"run": f"run_{number}", "at_s": round(at_s, 2), "name": mark.name}
        for number, run in enumerate(passed, 1)
        for mark, at_s in zip(trail.marks, run.marks_s, strict=True)
    ]


def day_text(
    scenario: ReadScenario,
    logs: list[tuple[str, ...]],
    passed: list[Passed],
    static: list[dict[str, object]],
) -> str:
    """Return the day's `ride_day.toml`.

    Parameters
    ----------
    scenario : ReadScenario
    logs : list of tuples of file names
        Of each run: one log, or the front's and the rear's.
    passed : list of Passed
        When each run passes the trail's beginning, end and marks.
    static : list of dict
        Entries of ``[[static]]``.
    """
    tables = scenario.tables
    whole = {**_head_tables(scenario), **_setup_tables(scenario), "runs": _runs(tables.day, logs, passed)}
    if static:
        whole["static"] = static
    if tables.trail.marks:
        whole["marks"] = _marks(tables.trail, passed)
    if tables.comparison is not None:
        whole["comparison"] = {
            key: value for key, value in tables.comparison.model_dump().items() if value not in (None, [], {})
        }
    if tables.shop:
        whole["shop"] = dict(tables.shop)
    if tables.customer:
        whole["customer"] = dict(tables.customer)
    return HEAD + toml_text(whole)
