"""A small ride day on disk that each test bends in one place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.errors import Problem, RideDayError
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day

DAY = """\
[ride_day]
title = "Oil in the lowers"
date = 2026-05-16
trail = "Slate quarry"
trail_state = "dry"
rider = "R1"
rider_mass_kg = 84
air_temperature_c = 14
altitude_m = 420

[bike]
name = "Shop mule"
wheelbase_mm = 1252
head_angle_deg = 64.0
mass_kg = 24.5
[bike.front]
travel_mm = 170
measured_travel_mm = 168.5
bumper_touch_mm = 161
[bike.rear]
travel_mm = 165
stroke_mm = 62.5
leverage = "leverage.csv"

[log]
time = { column = "t_ms", unit = "ms" }

[sensors.fork]
kind = "displacement"
end = "front"
column = "A0"
points = [[212, 0.0], [3770, 170.0]]
calibration = "line"
counts_range = [0, 4095]
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = "A1"
points = [[305, 0.0], [3601, 62.5]]

[setups.oil_20]
label = "20 ml per leg"
[setups.oil_20.front]
air_pressure_bar = 6.1
lower_leg_oil_each_ml = 20
low_speed_compression = { clicks_from_closed = 8, of = 16 }
rebound = { clicks_from_closed = 9, of = 18 }
[setups.oil_20.rear]
spring_rate_n_mm = 80
[setups.oil_8]
based_on = "oil_20"
label = "8 ml per leg"
[setups.oil_8.front]
lower_leg_oil_each_ml = 8

[[runs]]
log = "run_1.csv"
setup = "oil_20"
started_at = 2026-05-16T09:12:00
[[runs]]
log = "run_2.csv"
setup = "oil_8"
started_at = 2026-05-16T09:41:00

[[static]]
log = "lifted_1.csv"
kind = "lifted"
setup = "oil_20"
[[static]]
log = "sag_1.csv"
kind = "sag"
load = "standing"
setup = "oil_20"

[comparison]
baseline = "oil_20"
candidates = ["oil_8"]
"""

LEVERAGE = "stroke_mm,travel_mm\n0,0\n20,57.0\n40,109.0\n62.5,165.0\n"
LOGS = ("run_1.csv", "run_2.csv", "run_3.csv", "lifted_1.csv", "sag_1.csv")

Edit = tuple[str, str]


def bent(text: str, edits: tuple[Edit, ...]) -> str:
    """Return the text with each edit made; an edit that finds nothing is the test's own fault."""
    for old, new in edits:
        assert old in text, f"the test edits {old!r}, which isn't there"
        text = text.replace(old, new, 1)
    return text


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with logs and a leverage file, without a ride day's file."""
    place = tmp_path / "day"
    place.mkdir()
    for name in LOGS:
        (place / name).write_text("t_ms,A0,A1\n0,212,305\n2,213,306\n", encoding="utf-8")
    (place / "leverage.csv").write_text(LEVERAGE, encoding="utf-8")
    return place


@pytest.fixture
def day_text() -> str:
    """The day as it is written, before any edit."""
    return DAY


@pytest.fixture
def read(folder: Path) -> Callable[..., RideDay]:
    """Write the day with some edits and more text at its end, and read it."""

    def _read(*edits: Edit, more: str = "") -> RideDay:
        (folder / "ride_day.toml").write_text(bent(DAY, edits) + more, encoding="utf-8")
        return read_ride_day(folder)

    return _read


@pytest.fixture
def problems(read: Callable[..., RideDay]) -> Callable[..., dict[str, Problem]]:
    """Write a day that must be refused, and return what is wrong with it by key."""

    def _problems(*edits: Edit, more: str = "") -> dict[str, Problem]:
        with pytest.raises(RideDayError, match=r"ride_day\.toml") as caught:
            read(*edits, more=more)
        return {problem.key: problem for problem in caught.value.problems}

    return _problems
