"""Parts of an end out of a scenario: unlike lower legs and their crossover; a descent longer than any bound."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from telemetry import compare, read_ride_day
from telemetry.dynamics.half_car import ride
from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.simulation.bike import SimulatedBike
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import ReadScenario, read_scenario
from tests.simulation.small_scenario import changed, scenario_file

AREA_M2 = 1018e-6
STRONG, WEAK = "front = { lower_leg_oil_each_ml = 20 }", "front = { lower_leg_oil_each_ml = 8 }"
UNLIKE = "lower_leg_oil_spring_side_ml = 8, lower_leg_oil_damper_side_ml = 60"
SIDES = "lower_leg_volume_spring_side_ml = 230\nlower_leg_volume_damper_side_ml = 310\n"


def read(folder: Path, *changes: tuple[str, str]) -> ReadScenario:
    return read_scenario(scenario_file(folder, changed(*changes)))


def legs_of(bike: SimulatedBike) -> LowerLegs:
    return next(part for part in bike.front.gas if isinstance(part, LowerLegs))


def leg_n(gas_ml: float, travel_m: float, area_m2: float = AREA_M2) -> float:
    """Return what gas of this volume topped out pushes back with, by p V = constant, from the atmosphere's pressure."""
    volume_m3 = gas_ml * 1e-6
    return area_m2 * ATMOSPHERE_PA * (volume_m3 / (volume_m3 - area_m2 * travel_m) - 1)


def test_unlike_legs_push_each_by_its_own_gas_and_joined_ones_softer(tmp_path: Path) -> None:
    """Volumes 230 and 310 ml, oil 8 and 60: 222 and 250 ml of gas; joined 472 ml under both sections."""
    found = read(
        tmp_path,
        ("lower_leg_volume_each_ml = 270\n", SIDES),
        (STRONG, f"front = {{ {UNLIKE} }}"),
        (WEAK, f"front = {{ {UNLIKE}, lower_leg_crossover = true }}"),
    )
    apart, joined = (legs_of(found.setups[name].bike) for name in ("oil_20", "oil_8"))
    at = np.array([0.15])
    assert apart.force_n(at, 1.0)[0] == pytest.approx(leg_n(222, 0.15) + leg_n(250, 0.15))
    assert joined.force_n(at, 1.0)[0] == pytest.approx(leg_n(472, 0.15, 2 * AREA_M2))
    assert joined.force_n(at, 1.0)[0] < apart.force_n(at, 1.0)[0] - 5


def test_a_crossover_of_unlike_legs_is_felt_and_written_down(tmp_path: Path) -> None:
    scenario = read(
        tmp_path,
        ("lower_leg_volume_each_ml = 270\n", SIDES),
        (STRONG, f"front = {{ {UNLIKE} }}"),
        (WEAK, f"front = {{ {UNLIKE}, lower_leg_crossover = true }}"),
    )
    assert scenario.setups["oil_8"].bike.sag_m()[0] > scenario.setups["oil_20"].bike.sag_m()[0]
    make_day(scenario, tmp_path / "day", check=read_ride_day)
    setups = tomllib.loads((tmp_path / "day" / "ride_day.toml").read_text(encoding="utf-8"))["setups"]
    written = {key: value for key, value in setups["oil_8"]["front"].items() if key.startswith("lower_leg")}
    assert written == {
        "lower_leg_volume_spring_side_ml": 230,
        "lower_leg_volume_damper_side_ml": 310,
        "lower_leg_oil_spring_side_ml": 8,
        "lower_leg_oil_damper_side_ml": 60,
        "lower_leg_crossover": True,
    }
    assert setups["oil_20"]["front"]["lower_leg_crossover"] is False
    (difference,) = compare(read_ride_day(tmp_path / "day")).to_dict()["setup_differences"]
    assert "crossover" in difference["words"]


def test_a_setups_sides_replace_what_the_bike_says_of_each_leg(tmp_path: Path) -> None:
    base = ("lower_leg_area_mm2 = 1018", "lower_leg_area_mm2 = 1018\nlower_leg_oil_each_ml = 15")
    found = read(tmp_path, base, (STRONG, ""), (WEAK, f"front = {{ {UNLIKE} }}"))
    assert legs_of(found.setups["oil_20"].bike).oil_each_m3 == pytest.approx((15e-6,))
    assert legs_of(found.setups["oil_8"].bike).oil_each_m3 == pytest.approx((8e-6, 60e-6))


def test_a_descent_of_a_kilometre_and_a_half_is_no_divergence(tmp_path: Path) -> None:
    """Rolled down a slope as steep as one in three, the bike rides as on the level: gravity along it isn't modelled."""
    bike = read(tmp_path).setups["oil_8"].bike.riding()
    time_s = np.arange(500 * 4000) / 4000
    down = -np.maximum(time_s - 2.0, 0.0) * 3.0
    motion = ride(bike, np.column_stack([down, down]), 4000.0)
    level = ride(bike, np.zeros((8000, 2)), 4000.0)
    assert motion.heave_m[-1] < -1490
    assert motion.front_m[-1] == pytest.approx(level.front_m[-1], abs=1e-6)


def test_a_trail_that_falls_a_kilometre_is_simulated_and_its_energies_balance(tmp_path: Path) -> None:
    drops = '{ kind = "drop", at_m = 8, height_mm = 500, length_mm = 2000, times = 2200, every_m = 3 },'
    bump = '{ kind = "bump", at_m = 8, height_mm = 90, length_mm = 600, times = 9, every_m = 9 },'
    one = ('order = ["oil_20", "oil_8"]', 'order = ["oil_8"]')
    scenario = read(
        tmp_path, (bump, drops), ("length_m = 90", "length_m = 6700"), ("speed_m_s = 6.5", "speed_m_s = 9"), one
    )
    make_day(scenario, tmp_path / "day")
    assert (tmp_path / "day" / "truth.json").is_file()
