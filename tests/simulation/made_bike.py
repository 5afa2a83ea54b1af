"""An invented trail bike on an invented trail, as a scenario; and bikes so plain that closed forms hold."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from telemetry.dynamics.car import Bike, EndTables, Frame, RiderBody, Wheel
from telemetry.simulation.scenario import ReadScenario, read_scenario

SCENARIO = """
[day]
title = "Rough trail"
date = 2026-05-16
seed = 11
order = [{order}]
[trail]
seed = 3
[[trail.stretches]]
length_m = {smooth_m}
road_class = "C"
speed_m_s = 7.0
obstacles = [
    {{ kind = "drop", at_m = 20, height_mm = 200 }},
    {{ kind = "braking_bumps", at_m = 40, height_mm = 50, wavelength_m = 1.2, count = 12 }},
    {{ kind = "jump", at_m = 80, height_mm = 300, ramp_m = 3, gap_m = 3, landing_m = 5 }},
]
[[trail.stretches]]
length_m = {rough_m}
road_class = "E"
speed_m_s = 6.5
obstacles = [
    {{ kind = "bump", at_m = 5, height_mm = 60, length_mm = 300, times = {bumps}, every_m = 9 }},
    {{ kind = "kerb", at_m = 30, height_mm = 80 }},
]
[bike]
name = "invented"
frame_kg = 22.0
pitch_inertia_kg_m2 = 7.0
front_ahead_mm = 720
rear_behind_mm = 510
head_angle_deg = 64.5
[bike.front]
travel_mm = 170
unsprung_kg = 3.6
tyre_n_mm = 95
wheel_radius_mm = 370
air_pressure_bar = 5.6
air_area_mm2 = 900
air_volume_ml = 235
negative_area_mm2 = 850
negative_volume_ml = 70
lower_leg_volume_each_ml = 320
lower_leg_oil_each_ml = 20
lower_leg_area_mm2 = 900
compression_below_n_s_m = 420
compression_knee_mm_s = 350
compression_above_n_s_m = 160
rebound_below_n_s_m = 700
rebound_knee_mm_s = 500
rebound_above_n_s_m = 330
end_factor = 1.5
friction_n = 22
bumper_touch_mm = 160
bumper_n_mm = 40
bumper_n_mm2 = 8
top_out_mm = 4
top_out_n_mm = 60
[bike.rear]
stroke_mm = 62.5
leverage = [[0, 0], [20, 58], [40, 112], [62.5, 166]]
unsprung_kg = 4.6
tyre_n_mm = 110
wheel_radius_mm = 368
spring_rate_n_mm = 95
preload_mm = 1.5
compression_below_n_s_m = 3600
compression_knee_mm_s = 120
compression_above_n_s_m = 1500
rebound_below_n_s_m = 7500
rebound_knee_mm_s = 200
rebound_above_n_s_m = 3400
friction_n = 30
friction_band_mm_s = 5
bumper_touch_mm = 52
bumper_n_mm = 60
bumper_n_mm2 = 20
top_out_mm = 2
top_out_n_mm = 300
[rider]
moving_kg = 66
[logger.fork]
column = "A0"
points = [[212, 0.0], [3770, 170.0]]
[logger.shock]
column = "A1"
points = [[305, 0.0], [3601, 62.5]]
[setups.a]
"""


def scenario(folder: Path, *, runs: int = 1, smooth_m: float = 110.0, rough_m: float = 100.0) -> ReadScenario:
    """Write and read the scenario; its trail takes `smooth_m` / 7 + `rough_m` / 6.5 seconds."""
    order = ", ".join(['"a"'] * runs)
    bumps = max(1, int((rough_m - 10) / 9))
    path = folder / "scenario.toml"
    path.write_text(SCENARIO.format(order=order, smooth_m=smooth_m, rough_m=rough_m, bumps=bumps), encoding="utf-8")
    return read_scenario(path)


def linear_end(
    rate_n_m: float, *, damping_n_s_m: float = 0.0, load_n: float = 0.0, at_m: float = 0.0, vertical: float = 1.0
) -> EndTables:
    """Return an end that carries `load_n` at `at_m` on a straight line, with one slope of damping and no friction."""
    travel = np.linspace(-2.0, 2.0, 41)
    slope = [damping_n_s_m, 0.3, damping_n_s_m]
    return EndTables(
        first_m=-2.0,
        step_m=0.1,
        force_n=load_n + rate_n_m * (travel - at_m),
        ratio=np.ones(41),
        end_factor=np.ones(41),
        damper=np.array(slope * 2),
        friction_n=0.0,
        friction_band_m_s=0.01,
        vertical=vertical,
    )


NOBODY = RiderBody(
    mass_kg=1e-9,
    legs_share=0.5,
    legs_n_m=0.0,
    legs_n_s_m=0.0,
    arms_n_m=0.0,
    arms_n_s_m=0.0,
    pedals_ahead_m=0.0,
    hands_ahead_m=0.0,
)
"""A rider whose mass is nothing, so that the frame is alone."""

FRAME = Frame(mass_kg=90.0, pitch_inertia_kg_m2=90.0 * 0.7 * 0.55, front_ahead_m=0.7, rear_behind_m=0.55)
"""Inertia m a b: what happens at one axle doesn't move the frame above the other."""


def plain_bike(front: EndTables, rear: EndTables, *, tyre_n_s_m: float = 0.0, rider: RiderBody = NOBODY) -> Bike:
    """Return a bike of two ends given."""
    return Bike(
        frame=FRAME,
        rider=rider,
        front_wheel=Wheel(mass_kg=3.5, tyre_n_m=90e3, tyre_n_s_m=tyre_n_s_m),
        rear_wheel=Wheel(mass_kg=4.5, tyre_n_m=110e3, tyre_n_s_m=tyre_n_s_m),
        front=front,
        rear=rear,
    )
