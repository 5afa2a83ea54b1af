"""One ride down a natural trail by an invented bike: signals and their truth, to try what measures against it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from .runs_made import MadeRun, made_run
from .scenario import ReadScenario, scenario_of

TABLES = """
[day]
title = "A natural trail"
date = 2026-08-01
seed = 1
order = ["a"]
[trail]
seed = 1
line_percent = 1.5
natural = { length_m = 450, speed_m_s = 8.5 }
[bike]
name = "invented, 170/165"
frame_kg = 21
pitch_inertia_kg_m2 = 5
front_ahead_mm = 750
rear_behind_mm = 502
head_angle_deg = 64
centre_height_mm = 560
[bike.front]
travel_mm = 170
unsprung_kg = 3.4
tyre_n_mm = 95
wheel_radius_mm = 372
air_pressure_bar = 5.4
air_area_mm2 = 700
air_volume_ml = 170
negative_area_mm2 = 650
negative_volume_ml = 25
compression_below_n_s_m = 500
compression_knee_mm_s = 250
compression_above_n_s_m = 300
rebound_below_n_s_m = 1100
rebound_knee_mm_s = 300
rebound_above_n_s_m = 400
friction_n = 25
bumper_touch_mm = 160
bumper_n_mm = 40
bumper_n_mm2 = 25
top_out_mm = 2
top_out_n_mm = 60
[bike.rear]
stroke_mm = 62.5
leverage = [[0, 0], [10, 29.7], [20, 58.2], [30, 85.6], [40, 112.0], [50, 137.0], [62.5, 165.0]]
unsprung_kg = 3.9
tyre_n_mm = 110
wheel_radius_mm = 358
spring_rate_n_mm = 80
preload_mm = 1
compression_below_n_s_m = 6500
compression_knee_mm_s = 120
compression_above_n_s_m = 2900
rebound_below_n_s_m = 7500
rebound_knee_mm_s = 120
rebound_above_n_s_m = 3000
friction_n = 30
friction_band_mm_s = 5
bumper_touch_mm = 55
bumper_n_mm = 200
bumper_n_mm2 = 120
top_out_mm = 1
top_out_n_mm = 400
[rider]
moving_kg = 70
[logger]
[logger.fork]
column = "fork"
points = [[212, 0.0], [3770, 170.0]]
[logger.shock]
column = "shock"
points = [[305, 0.0], [3601, 62.5]]
[logger.chassis_imu]
at = "front"
[logger.wheel_imu]
full_scale_g = 64
[logger.rear_chassis_imu]
[logger.rear_wheel_imu]
full_scale_g = 64
[setups.a]
"""
SETUP = "a"


def _merged(base: Mapping[str, object], change: Mapping[str, object]) -> dict[str, object]:
    """Return a table with another's keys in place of its own, tables within tables."""
    made = dict(base)
    for key, value in change.items():
        own = made.get(key)
        made[key] = _merged(own, value) if isinstance(own, Mapping) and isinstance(value, Mapping) else value
    return made


def natural_scenario(seed: int, change: Mapping[str, object] | None = None) -> ReadScenario:
    """Return the scenario of one natural trail: an invented bike with travel and inertial sensors everywhere.

    Parameters
    ----------
    seed : int
        Of the trail.
    change : mapping, optional
        Keys of a scenario file that stand in place of the built-in ones: ``{"bike": {"front": {"friction_n": 5}}}``.

    Raises
    ------
    RideDayError
        As reading a scenario file does.
    """
    tables = _merged(_merged(tomllib.loads(TABLES), {"trail": {"seed": seed}}), change or {})
    return scenario_of(tables, Path("natural.toml"))


def natural_ride(seed: int, *, line: int = 0, change: Mapping[str, object] | None = None) -> MadeRun:
    """Return one run down a natural trail: signals at 4 kHz with the three pushes around it, motion, phases, truth.

    Parameters
    ----------
    seed : int
        Of the trail.
    line : int
        Of this run's line, pace and stance.
    change : mapping, optional
        As `natural_scenario`.

    Examples
    --------
    What a sensor above the front axle feels, and where the bike truly flew:

    >>> from telemetry.simulation.body import Place, felt
    >>> run = natural_ride(5, change={"trail": {"natural": {"length_m": 100}}})
    >>> felt(run.signals.body, Place(ahead_m=0.75)).force_m_s2.shape[1]
    3
    >>> sorted(run.phases.stretches)[:3]
    ['accelerating', 'airborne', 'braking']
    """
    scenario = natural_scenario(seed, change)
    return made_run(scenario, scenario.setups[SETUP], np.random.default_rng(line))
