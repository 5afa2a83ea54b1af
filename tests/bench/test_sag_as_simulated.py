"""Sag at rest from exact figures, against the simulated bike that stands on its springs."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.bench.one_end import end_of
from telemetry.bench.stated import stated_of
from telemetry.model.finding import ENDS
from telemetry.simulation.scenario import read_scenario
from tests.bench.bench_days import simulated_end

SAMPLES = Path(__file__).parents[2] / "sample_runs"
MOST_APART_PERCENT = 1.5


@pytest.mark.parametrize("sample", sorted(path.parent.name for path in SAMPLES.glob("*/scenario.toml")))
def test_sag_from_exact_figures_is_that_of_the_simulated_bike(tmp_path: Path, sample: str) -> None:
    scenario = read_scenario(SAMPLES / sample / "scenario.toml")
    for name, setup in scenario.setups.items():
        for end, sag_m in zip(ENDS, setup.bike.sag_m(), strict=True):
            masses = simulated_end(tmp_path / name, scenario, setup, end).masses
            assert masses is not None
            assert 100 * abs(masses.sag_mm - 1e3 * sag_m) / masses.full_mm < MOST_APART_PERCENT, (name, end)


def test_the_sample_whose_parts_are_stated_sits_as_its_bike_does() -> None:
    """Ridden at 420 m, simulated at the sea: the gauge stands above another atmosphere, which is as good as nothing."""
    folder = SAMPLES / "lower_leg_oil"
    scenario, day = read_scenario(folder / "scenario.toml"), telemetry.read_ride_day(folder)
    for name, setup in scenario.setups.items():
        for end, sag_m in zip(ENDS, setup.bike.sag_m(), strict=True):
            masses = end_of(stated_of(day, day.setups[name], end)).masses
            assert masses is not None
            assert 100 * abs(masses.sag_mm - 1e3 * sag_m) / masses.full_mm < MOST_APART_PERCENT
