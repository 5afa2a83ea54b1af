"""Simulated days whose parts are stated as well as a tuner knows them, with the truth of what a change does.

The same lines, paces and stances are ridden three times: by the baseline and then the candidate as a logger writes it,
and by each alone without noise, from which the true change follows.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from telemetry.dynamics.half_car import axle_loads_n
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.oil import oil_viscosity_cst
from telemetry.mechanics.viscosity_grade import cst_at_100c
from telemetry.model.finding import ENDS
from telemetry.simulation.day_made import make_day
from telemetry.simulation.natural_ride import TABLES
from telemetry.simulation.scenario import ReadScenario, scenario_of
from telemetry.simulation.toml_text import toml_text
from telemetry.units import STANDARD_GRAVITY_M_S2
from tests.benchmarks.held_rows import Truth, measured, over_runs

Tables = dict[str, Any]
KNOWN: Mapping[str, tuple[float, float]] = {
    "air_pressure_bar": (0.015, 0.0),
    "air_piston_mm": (0.0, 0.1),
    "air_rod_mm": (0.0, 0.1),
    "air_volume_ml": (0.025, 0.0),
    "negative_air_volume_ml": (0.05, 0.0),
    "spacer_ml": (0.02, 0.0),
    "spring_rate_n_mm": (0.02, 0.0),
    "preload_mm": (0.0, 0.3),
    "lower_leg_volume_each_ml": (0.03, 0.0),
    "lower_leg_oil_each_ml": (0.0, 0.7),
    "stanchion_mm": (0.0, 0.05),
    "bumper_touch_mm": (0.0, 1.0),
    "damper_oil_cst_40c": (0.03, 0.0),
    "unsprung_mass_kg": (0.05, 0.0),
    "tyre_stiffness_n_mm": (0.1, 0.0),
    "mass_kg": (0.0, 0.3),
    "front_share": (0.0, 0.012),
    "rider_mass_kg": (0.0, 1.0),
    "damper_points": (0.05, 0.0),
}
"""How well a tuner knows a figure, one standard deviation: a share of it, or an amount in its unit. Own choice."""
SPEEDS_MM_S = {"front": (50, 100, 200, 300, 450, 700, 1200, 2000), "rear": (20, 50, 100, 150, 250, 400, 700, 1000)}
SPACER_ML = 8.0
OIL_CST_40C = (16.0, 12.0)
RIDES_AT_C, INDEX = (15.0, 45.0), (100.0, 200.0)
"""How warm damper oil rides, and its viscosity index: nobody states either. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of parts: what it is of the scenario's end, and what the ride day says of it.

    `springs_only` tells that springs, pressure or oil volume alone differ; `sensors` are what its day is logged with.
    """

    name: str
    front: Tables = field(default_factory=dict)
    rear: Tables = field(default_factory=dict)
    front_told: Tables = field(default_factory=dict)
    rear_told: Tables = field(default_factory=dict)
    springs_only: bool = False
    sensors: tuple[str, ...] = ("fork", "shock")


CHANGES = (
    Change(name="lower_leg_oil", front={"lower_leg_oil_each_ml": 8}, springs_only=True),
    Change(name="pressure", front={"air_pressure_bar": 5.85}, springs_only=True),
    Change(
        name="spacers", front={"volume_spacers_ml": 2 * SPACER_ML}, front_told={"volume_spacers": 2}, springs_only=True
    ),
    Change(name="spring", rear={"spring_rate_n_mm": 87}, springs_only=True),
    Change(name="damper_oil", front_told={"damper_oil_cst_40c": OIL_CST_40C[1]}),
    Change(name="clicks", rear={"rebound_below_n_s_m": 9400, "rebound_above_n_s_m": 3750}, rear_told={"points": True}),
    Change(
        name="link",
        rear={"leverage": [[0, 0], [10, 31.2], [20, 60.9], [30, 88.8], [40, 115.2], [50, 140.0], [62.5, 169.0]]},
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeDay:
    """A made day's folder, and the true change of every row over the baseline's runs."""

    folder: Path
    change: Change
    truth: Truth


def _merged(base: Mapping[str, Any], change: Mapping[str, Any]) -> Tables:
    made = dict(base)
    for key, value in change.items():
        own = made.get(key)
        made[key] = _merged(own, value) if isinstance(own, Mapping) and isinstance(value, Mapping) else value
    return made


def _tables(seed: int, rng: np.random.Generator) -> Tables:
    """Return a bike and a trail: the invented ones of a natural ride, each figure somewhat another."""
    tables = tomllib.loads(TABLES)

    def about(value: float, share: float) -> float:
        return float(value * (1 + share * rng.uniform(-1, 1)))

    front, rear = tables["bike"]["front"], tables["bike"]["rear"]
    front |= {"lower_leg_volume_each_ml": 250.0, "lower_leg_oil_each_ml": 22.0, "lower_leg_area_mm2": 1018.0}
    front["lower_leg_volume_each_ml"] = about(250, 0.05)
    front["air_pressure_bar"] = about(5.3, 0.04)
    front["friction_n"], rear["friction_n"] = about(25, 0.3), about(30, 0.3)
    rear["spring_rate_n_mm"] = about(80, 0.06)
    for part in (front, rear):
        for key in [key for key in part if key.startswith(("compression_", "rebound_"))]:
            part[key] = about(part[key], 0.15)
        part["tyre_n_mm"], part["unsprung_kg"] = about(part["tyre_n_mm"], 0.1), about(part["unsprung_kg"], 0.08)
    tables["bike"]["frame_kg"] = about(20, 0.15)
    tables["bike"]["pitch_inertia_kg_m2"] = about(5, 0.15)
    tables["bike"]["ride_exponent"] = about(1.28, 0.05)
    tables["rider"] = {
        "moving_kg": about(74, 0.12),
        "legs_n_m": about(6500, 0.25),
        "legs_n_s_m": about(750, 0.2),
        "arms_n_m": about(1500, 0.2),
    }
    tables["trail"] = {
        "seed": seed,
        "line_percent": 1.5,
        "natural": {"length_m": float(rng.uniform(380, 480)), "speed_m_s": float(rng.uniform(7, 9.5))},
    }
    return tables


def _viscosity_share(rng: np.random.Generator) -> float:
    """Return by how much the candidate's oil is thinner as warm as it rides, either of the same index."""
    temperature, index = np.array(rng.uniform(*RIDES_AT_C)), rng.uniform(*INDEX)
    was, own = (oil_viscosity_cst(temperature, at, cst_at_100c(at, index) or at / 4) for at in OIL_CST_40C)
    return float(own / was)


def _scenario(tables: Tables, change: Change, order: list[str], *, clean: bool) -> ReadScenario:
    tables = deepcopy(tables)
    tables["logger"] = {key: tables["logger"][key] for key in change.sensors}
    front = dict(change.front)
    if "damper_oil_cst_40c" in change.front_told:
        front["viscosity_share"] = _viscosity_share(np.random.default_rng((tables["trail"]["seed"], 79)))
    tables["day"] |= {"order": order, "seed": tables["trail"]["seed"], "title": change.name}
    tables["setups"] = {"own": {}, "other": {"front": front, "rear": dict(change.rear)}}
    if clean:
        tables["logger"]["bits"] = 16
        for name in ("fork", "shock"):
            points = tables["logger"][name]["points"]
            tables["logger"][name] |= {"noise_mm": 0, "points": [[16 * at, mm] for at, mm in points]}
    return scenario_of(tables, Path("made.toml"))


def _points(part: Any, end: str, share: float = 1.0) -> list[list[float]]:
    damper = Damper(
        compression=DamperSide(
            slope_below_n_s_m=part.compression_below_n_s_m,
            knee_m_s=part.compression_knee_mm_s / 1e3,
            slope_above_n_s_m=part.compression_above_n_s_m,
        ),
        rebound=DamperSide(
            slope_below_n_s_m=part.rebound_below_n_s_m,
            knee_m_s=part.rebound_knee_mm_s / 1e3,
            slope_above_n_s_m=part.rebound_above_n_s_m,
        ),
    )
    speeds = np.array([sign * speed for sign in (-1, 1) for speed in SPEEDS_MM_S[end]], dtype=float)
    return [[float(v), round(float(share * f), 2)] for v, f in zip(speeds, damper.force_n(speeds / 1e3), strict=True)]


@dataclass(slots=True)
class _Teller:
    """Writes figures down as a tuner knows them: off by chance, alike wherever the same is meant."""

    rng: np.random.Generator
    off: dict[tuple[str, str, float], float] = field(default_factory=dict)

    def told(self, end: str, key: str, value: float) -> tuple[float, float]:
        """Return the figure as it is stated, and its `plus_minus`."""
        share, amount = KNOWN[key]
        width = share * abs(value) + amount
        drawn = self.off.setdefault((end, key, round(value, 9)), float(self.rng.standard_normal()))
        return value + width * drawn, width


def _end_told(teller: _Teller, part: Any, end: str, wrong: Mapping[str, float]) -> Tables:
    """Return what the ride day says of an end's parts."""
    true: dict[str, float] = {"unsprung_mass_kg": part.unsprung_kg, "tyre_stiffness_n_mm": part.tyre_n_mm}
    if part.air_pressure_bar is not None:
        true |= {
            "air_pressure_bar": part.air_pressure_bar,
            "air_volume_ml": part.air_volume_ml,
            "air_piston_mm": math.sqrt(4 * part.air_area_mm2 / math.pi),
            "air_rod_mm": math.sqrt(4 * (part.air_area_mm2 - part.negative_area_mm2) / math.pi),
            "negative_air_volume_ml": part.negative_volume_ml,
            "spacer_ml": SPACER_ML,
        }
    if part.spring_rate_n_mm is not None:
        true |= {"spring_rate_n_mm": part.spring_rate_n_mm, "preload_mm": part.preload_mm}
    if part.lower_leg_area_mm2 is not None:
        true |= {
            "lower_leg_volume_each_ml": part.lower_leg_volume_each_ml,
            "lower_leg_oil_each_ml": part.lower_leg_oil_each_ml,
            "stanchion_mm": math.sqrt(4 * part.lower_leg_area_mm2 / math.pi),
        }
    if end == "front":
        true["bumper_touch_mm"] = part.bumper_touch_mm
    found, widths = {}, {}
    for key, value in true.items():
        found[key], widths[key] = teller.told(end, key, value)
        found[key] *= wrong.get(key, 1.0)
    factor, width = teller.told(end, "damper_points", 1.0)
    points = _points(part, end, factor)
    widths["damper_points"] = width * max(abs(force) for _, force in points)
    return {**found, "damper_points": points, "plus_minus": widths}


def _state(folder: Path, scenario: ReadScenario, change: Change, rng: np.random.Generator, wrong: Tables) -> None:
    """Write into a made day what a tuner knows of its parts."""
    file = folder / "ride_day.toml"
    tables = tomllib.loads(file.read_text(encoding="utf-8"))
    teller = _Teller(rng)
    for name, setup in scenario.setups.items():
        for end in ENDS:
            part = setup.front if end == "front" else setup.rear
            told = _end_told(teller, part, end, wrong.get(name, {}).get(end, {}))
            tables["setups"][name][end] |= told
            own = change.front_told if end == "front" else change.rear_told
            if name == "other":
                tables["setups"][name][end] |= {key: value for key, value in own.items() if key != "points"}
            if change.name == "damper_oil" and end == "front":
                tables["setups"][name][end]["damper_oil_cst_40c"] = OIL_CST_40C[name == "other"]
                tables["setups"][name][end]["plus_minus"]["damper_oil_cst_40c"] = 0.4
    bike = scenario.setups["own"].bike
    riding = bike.riding()
    front_n, rear_n = (
        load + wheel.mass_kg * STANDARD_GRAVITY_M_S2
        for load, wheel in zip(axle_loads_n(riding), (bike.front_wheel, bike.rear_wheel), strict=True)
    )
    whole = {
        "mass_kg": bike.frame.mass_kg + bike.front_wheel.mass_kg + bike.rear_wheel.mass_kg,
        "front_share": front_n / (front_n + rear_n),
    }
    told = {key: teller.told("both", key, value) for key, value in whole.items()}
    tables["bike"] |= {key: value for key, (value, _) in told.items()}
    tables["bike"]["plus_minus"] = {key: width for key, (_, width) in told.items()}
    rider, width = teller.told("both", "rider_mass_kg", bike.rider.mass_kg)
    tables["ride_day"] |= {"rider_mass_kg": rider, "plus_minus": {"rider_mass_kg": width}}
    file.write_text(toml_text(tables), encoding="utf-8")  # what a table holds stands inline


def stated_day(
    folder: Path, seed: int, change: Change, *, runs: int = 3, wrong: Tables | None = None, trail: Tables | None = None
) -> Tables:
    """Make a day of one change, its parts stated as a tuner knows them; return the scenario's tables.

    Parameters
    ----------
    folder : Path
    seed : int
    change : Change
    runs : int
        Of each setup.
    wrong : mapping, optional
        By setup, end and key: by what factor a figure is stated wrong.
    trail : mapping, optional
        Keys of a natural trail in place of those drawn.
    """
    tables = _tables(seed, np.random.default_rng((seed, 77)))
    tables["trail"]["natural"] |= trail or {}
    scenario = _scenario(tables, change, ["own"] * runs + ["other"] * runs, clean=False)
    make_day(scenario, folder)
    _state(folder, scenario, change, np.random.default_rng((seed, 78)), wrong or {})
    return tables


def true_change(folder: Path, tables: Tables, change: Change, runs: int) -> Truth:
    """Return baseline and candidate of every row over the lines of all runs of the day, without noise.

    Means over runs; of counts their sums.
    """
    truth = {}
    for name in ("own", "other"):
        make_day(_scenario(tables, change, [name] * 2 * runs, clean=True), folder / name)
        truth[name] = over_runs(measured(folder / name), lambda _run: True)
    return {at: (truth["own"][at], truth["other"][at]) for at in truth["own"] if at in truth["other"]}


def made_day(folder: Path, seed: int, change: Change, *, runs: int = 3) -> MadeDay:
    """Make a day of one change and what it truly does."""
    tables = stated_day(folder / "day", seed, change, runs=runs)
    truth = true_change(folder, tables, change, runs)
    return MadeDay(folder=folder / "day", change=change, truth=truth)
