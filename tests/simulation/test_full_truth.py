"""The whole motion that `--full-truth` writes is the one that truth.json is measured on."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pyarrow import parquet

from telemetry.simulation.full_truth import full_truth_columns
from telemetry.simulation.runs_made import MadeRun, made_run
from telemetry.simulation.scenario import read_scenario
from tests.cli.run_here import commanded
from tests.simulation.small_scenario import SCENARIO, scenario_file

FULL_MM = {"front": 170.0, "rear": 165.0}
SINGLE = 1e-6
"""Single precision keeps seven digits."""


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("full")
    file = scenario_file(folder, SCENARIO)
    done = commanded("simulate", file, "--out", folder / "day", "--full-truth")
    assert done.returncode == 0, done.stderr
    return folder / "day"


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> MadeRun:
    scenario = read_scenario(scenario_file(tmp_path_factory.mktemp("run"), SCENARIO))
    return made_run(scenario, scenario.setups["oil_20"], np.random.default_rng(3))


def told(day: Path) -> list[dict[tuple[str, str], Any]]:
    runs = json.loads((day / "truth.json").read_text(encoding="utf-8"))["runs"]
    return [{(row["measure"], row["end"]): row["value"] for row in run["measures"]} for run in runs]


@pytest.mark.parametrize("end", ["front", "rear"])
def test_its_travel_is_that_of_truth_json(day: Path, end: str) -> None:
    for number, true in enumerate(told(day), 1):
        table = parquet.read_table(day / f"truth_run_{number}.parquet").to_pydict()
        travel = 100 * np.array(table[f"{end}_travel_mm"]) / FULL_MM[end]
        assert np.quantile(travel, 0.95) == pytest.approx(true["travel_p95", end], rel=SINGLE)
        assert travel.max() == pytest.approx(true["travel_max", end], rel=SINGLE)
        assert len(travel) / 4000 == pytest.approx(true["riding_time", "both"])
        assert np.allclose(np.diff(table["time_s"]), 1 / 4000)


def test_the_day_says_which_exponent_went_into_what(day: Path) -> None:
    told = json.loads((day / "truth.json").read_text(encoding="utf-8"))
    assert told["gas_exponent"] == {"at_rest": 1.0, "moving": 1.3}


def test_without_the_option_there_is_none(tmp_path: Path) -> None:
    file = scenario_file(tmp_path, SCENARIO)
    done = commanded("simulate", file, "--out", tmp_path / "day")
    assert done.returncode == 0, done.stderr
    assert list((tmp_path / "day").glob("*.parquet")) == []


@pytest.mark.parametrize("part", ["damper", "friction"])
def test_the_forces_do_the_work_that_the_compiled_loop_counted(run: MadeRun, part: str) -> None:
    """Force times speed over the run, by trapezes; written apart from the loop, from the parts themselves."""
    columns, rate_hz = full_truth_columns(run.whole), run.whole.motion.rate_hz
    power_w = sum(columns[f"{end}_{part}_n"] * columns[f"{end}_speed_mm_s"] / 1e3 for end in FULL_MM)
    counted = run.whole.motion.work_j["dampers" if part == "damper" else part]
    assert np.trapezoid(power_w, dx=1 / rate_hz) == pytest.approx(counted, rel=0.01)


def test_over_the_whole_run_the_forces_carry_what_stands_on_the_springs(run: MadeRun) -> None:
    """Momentum: the mean upward force on frame and rider is their weight, less what little speed is left at the end."""
    columns, bike = full_truth_columns(run.whole), run.whole.bike
    force_n = sum(
        sum(columns[f"{end}_{part}_n"] for part in ("spring", "damper", "friction")) / share
        for end, share in (("front", bike.front.vertical), ("rear", 1.0))
    )
    weight_n = (bike.frame.mass_kg + bike.rider.mass_kg) * 9.80665
    assert force_n.mean() == pytest.approx(weight_n, rel=0.02)


@pytest.mark.parametrize("end", ["front", "rear"])
def test_the_tyre_pushes_where_the_ground_presses_it(run: MadeRun, end: str) -> None:
    columns = full_truth_columns(run.whole)
    assert columns[f"{end}_tyre_n"].min() >= 0
    assert columns[f"{end}_ground_mm"].shape == columns["time_s"].shape
    assert np.ptp(columns[f"{end}_ground_mm"]) > 50
