"""The invented bikes move as the trade knows it. All ranges here are common practice, no source."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest

from telemetry.dynamics.car import EndTables, Wheel
from telemetry.simulation.bike import SimulatedBike
from telemetry.simulation.scenario import read_scenario

SAMPLES = Path(__file__).parent.parent.parent / "sample_runs"
BICYCLES = ("lower_leg_oil", "longer_link")
DIRT_BIKE = "lighter_damper_oil"


def bikes(name: str) -> list[SimulatedBike]:
    return [setup.bike for setup in read_scenario(SAMPLES / name / "scenario.toml").setups.values()]


def rate_n_m(end: EndTables, travel_m: float) -> float:
    """Return an end's vertical rate at the wheel at this travel."""
    at = end.first_m + end.step_m * np.arange(end.force_n.shape[0])
    below, above = np.interp([travel_m - 0.002, travel_m + 0.002], at, end.force_n)
    return float(above - below) / 0.004 / end.vertical**2


def hop_hz(wheel: Wheel, end: EndTables, travel_m: float) -> float:
    return math.sqrt((wheel.tyre_n_m + rate_n_m(end, travel_m)) / wheel.mass_kg) / (2 * math.pi)


def truths(name: str, measure: str, end: str) -> list[float]:
    runs = json.loads((SAMPLES / name / "truth.json").read_text(encoding="utf-8"))["runs"]
    return [row["value"] for run in runs for row in run["measures"] if (row["measure"], row["end"]) == (measure, end)]


@pytest.mark.parametrize(("name", "low", "high"), [*((name, 18, 35) for name in BICYCLES), (DIRT_BIKE, 10, 18)])
def test_wheels_hop_where_they_should(name: str, low: float, high: float) -> None:
    for bike in bikes(name):
        riding, (front_m, rear_m) = bike.riding(), bike.sag_m()
        assert low <= hop_hz(riding.front_wheel, riding.front, front_m) <= high
        assert low <= hop_hz(riding.rear_wheel, riding.rear, rear_m) <= high


@pytest.mark.parametrize("name", [*BICYCLES, DIRT_BIKE])
def test_the_body_bounces_at_one_and_a_half_to_three_hertz(name: str) -> None:
    """Everything sprung on both ends at sag, without pitch."""
    for bike in bikes(name):
        riding, (front_m, rear_m) = bike.riding(), bike.sag_m()
        stiffness = rate_n_m(riding.front, front_m) + rate_n_m(riding.rear, rear_m)
        hertz = math.sqrt(stiffness / (bike.frame.mass_kg + bike.rider.mass_kg)) / (2 * math.pi)
        assert 1.5 <= hertz <= 3.0


@pytest.mark.parametrize("name", [*BICYCLES, DIRT_BIKE])
def test_sag_while_riding(name: str) -> None:
    assert all(18 <= value <= 35 for value in truths(name, "dynamic_sag", "front"))
    assert all(22 <= value <= 42 for value in truths(name, "dynamic_sag", "rear"))


@pytest.mark.parametrize("name", [*BICYCLES, DIRT_BIKE])
@pytest.mark.parametrize("end", ["front", "rear"])
def test_speeds_of_hits_and_returns(name: str, end: str) -> None:
    """Hits 1 to 3 m/s on rough ground, to 4 m/s where a dirt bike lands from jumps; returns slower, from half on."""
    fastest = 4000 if name == DIRT_BIKE else 3000
    assert all(1000 <= value <= fastest for value in truths(name, "compression_speed_p95", end))
    assert all(500 <= value <= 3000 for value in truths(name, "rebound_speed_p95", end))


@pytest.mark.parametrize("name", [*BICYCLES, DIRT_BIKE])
@pytest.mark.parametrize("end", ["front", "rear"])
def test_it_bottoms_a_few_times_at_most(name: str, end: str) -> None:
    assert all(value <= 3 for value in truths(name, "bottom_outs", end))
