"""A short scenario in text, to be changed by tests: two setups, two runs of about 20 s, an invented bike."""

from __future__ import annotations

from pathlib import Path

SCENARIO = """\
[day]
title = "A short day"
date = 2026-05-16
seed = 11
order = ["oil_20", "oil_8"]
pushes = false
rider = "R1"

[trail]
seed = 5
[[trail.stretches]]
length_m = 40
road_class = "D"
speed_m_s = 5.0
[[trail.stretches]]
length_m = 90
road_class = "D"
speed_m_s = 6.5
obstacles = [
  { kind = "bump", at_m = 8, height_mm = 90, length_mm = 600, times = 9, every_m = 9 },
]

[bike]
name = "Shop mule, 170/165"
frame_kg = 31
pitch_inertia_kg_m2 = 7
front_ahead_mm = 750
rear_behind_mm = 502
head_angle_deg = 64
[bike.front]
travel_mm = 170
unsprung_kg = 4.2
tyre_n_mm = 95
wheel_radius_mm = 372
air_pressure_bar = 6.1
air_area_mm2 = 700
air_volume_ml = 170
negative_area_mm2 = 650
negative_volume_ml = 25
lower_leg_volume_each_ml = 270
lower_leg_area_mm2 = 1018
compression_below_n_s_m = 700
compression_knee_mm_s = 250
compression_above_n_s_m = 220
rebound_below_n_s_m = 1100
rebound_knee_mm_s = 300
rebound_above_n_s_m = 400
friction_n = 25
bumper_touch_mm = 158
bumper_n_mm = 40
bumper_n_mm2 = 6
top_out_mm = 6
top_out_n_mm = 60
written = { rebound = { clicks_from_closed = 9, of = 18 } }
[bike.rear]
stroke_mm = 62.5
leverage = [[0, 0], [10, 29.7], [20, 58.2], [30, 85.6], [40, 112.0], [50, 137.0], [62.5, 165.0]]
unsprung_kg = 5.0
tyre_n_mm = 110
wheel_radius_mm = 358
spring_rate_n_mm = 88
preload_mm = 1
compression_below_n_s_m = 4500
compression_knee_mm_s = 120
compression_above_n_s_m = 1500
rebound_below_n_s_m = 7500
rebound_knee_mm_s = 120
rebound_above_n_s_m = 3000
friction_n = 30
friction_band_mm_s = 5
bumper_touch_mm = 54
bumper_n_mm = 150
bumper_n_mm2 = 40
top_out_mm = 1
top_out_n_mm = 400

[rider]
moving_kg = 70

[logger]
rate_hz = 500
ground_speed = true
[logger.fork]
column = "A0"
points = [[212, 0.0], [3770, 170.0]]
offset_mm = 0.4
[logger.shock]
column = "A1"
points = [[305, 0.0], [3601, 62.5]]

[setups.oil_20]
label = "20 ml per leg"
front = { lower_leg_oil_each_ml = 20 }
[setups.oil_8]
label = "8 ml per leg"
front = { lower_leg_oil_each_ml = 8 }

[[recordings]]
kind = "lifted"
"""


FORK, SHOCK = (
    '[logger.fork]\ncolumn = "A0"\npoints = [[212, 0.0], [3770, 170.0]]\noffset_mm = 0.4\n',
    '[logger.shock]\ncolumn = "A1"\npoints = [[305, 0.0], [3601, 62.5]]\n',
)
"""Tables of its position sensors."""


def changed(*changes: tuple[str, str], text: str = SCENARIO) -> str:
    """Return the scenario with texts replaced; each must be there.

    Parameters
    ----------
    *changes : tuples of (what stands there, what shall)
    text : str
    """
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def scenario_file(folder: Path, text: str = SCENARIO) -> Path:
    """Write a scenario into a folder; return its path."""
    path = folder / "scenario.toml"
    path.write_text(text, encoding="utf-8")
    return path
