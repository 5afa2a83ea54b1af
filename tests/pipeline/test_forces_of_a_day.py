"""A day with a potentiometer and a chassis sensor at the front: from its logs to the map, its words and its JSON."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.force import ForceMap
from telemetry.pipeline.analysing import analysis_of
from telemetry.pipeline.studying import study
from tests.measures.force.made_force import FULL_MM, PITCHING, RATE_HZ, bike, ridden, true_damper, true_spring

DAY = """[ride_day]
title = "Forces"
date = 2026-05-16
[bike]
name = "mule"
head_angle_deg = 64
[bike.front]
travel_mm = {full}
sprung_mass_kg = 40
[log]
time = {{ column = "t_s", unit = "s" }}
[sensors.fork]
kind = "displacement"
end = "front"
column = "fork"
points = [[0, 0.0], [{full}, {full}]]
[sensors.crown]
kind = "inertial"
end = "front"
on = "chassis"
columns = {{ ax = "ax", ay = "ay", az = "az", gx = "gx", gy = "gy", gz = "gz" }}
acceleration_unit = "m/s2"
rotation_unit = "rad/s"
[setups.a]
[setups.b]
front = {{ compression = {{ clicks_from_closed = 9 }} }}
[[runs]]
log = "run_1.csv"
setup = "a"
[[runs]]
log = "run_2.csv"
setup = "b"
"""
BIKES = {"run_1": bike(PITCHING), "run_2": bike(PITCHING, damper=0.75)}


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("forces")
    for seed, (name, made) in enumerate(BIKES.items(), 1):
        run = ridden(made, seed, seconds=90.0)
        sensor = run.ride.inertial["front", "chassis"]
        assert sensor.rotation_rad_s is not None
        read = np.column_stack([run.ride.ends["front"].cleaned_mm, sensor.specific_force_m_s2, sensor.rotation_rad_s])
        standing = np.repeat(read[:1], round(4 * RATE_HZ), axis=0)
        standing[:, 1:] = np.array([0, 0, 9.80665, 0, 0, 0])
        standing += np.random.default_rng(seed).normal(0, 0.02, standing.shape)
        rows = np.vstack([standing, read])
        log = np.column_stack([np.arange(len(rows)) / RATE_HZ, rows])
        np.savetxt(
            folder / f"{name}.csv", log, "%.5f", ",", header="t_s,fork,ax,ay,az,gx,gy,gz", comments="", encoding="ascii"
        )
    (folder / "ride_day.toml").write_text(DAY.format(full=int(FULL_MM)), encoding="utf-8")
    return folder


def test_every_run_has_its_map_in_words_and_in_json(day: Path) -> None:
    done = study(telemetry.read_ride_day(day))
    analysis = analysis_of(done)
    assert done.runs[0].force_maps is done.runs[0].force_maps  # found once a study
    for run in analysis.runs:
        (found,) = run.force_maps
        assert isinstance(found, ForceMap), found
        made = BIKES[run.entry.name]
        speeds = np.array([-0.3, 0.1, 0.3])
        assert [found.damper.value_at(at) for at in speeds] == pytest.approx(
            true_damper(made, "front", speeds), rel=0.1
        )
        middle = found.spring.at[1:-1]
        forces = [found.spring.value_at(at) for at in middle]
        assert forces == pytest.approx(true_spring(made, "front", middle), rel=0.08)
    told = json.loads(json.dumps(analysis.to_dict(), allow_nan=False))["runs"][0]["force_maps"]
    assert [(one["end"], one["refused"], one["carried_kg"]) for one in told] == [("front", None, 40.0)]
    assert told[0]["damper"][0]["n"] == pytest.approx(40 * told[0]["damper"][0]["n_per_kg"], abs=0.01)
    assert len(told[0]["cells"]["seconds"]) == len(told[0]["cells"]["travel_edges_mm"]) - 1
    shown = analysis.summary()
    assert "Spring and damper, from travel and acceleration: front" in shown
    assert "damper, 0.3 m/s compression, N/kg" in shown


def test_a_comparison_tells_forces_beside_its_verdicts(day: Path) -> None:
    found = telemetry.compare(telemetry.read_ride_day(day))
    told = {(row["force"], row["at"]): row for row in found.to_dict()["force_differences"]}  # type: ignore[attr-defined]
    true = [true_damper(made, "front", np.array([0.3]))[0] for made in BIKES.values()]
    assert told["damper", 0.3]["difference"] == pytest.approx(100 * (true[1] / true[0] - 1), abs=6)
    assert told["damper", 0.3]["low"] is None
    assert list(found.force_differences["force"]) == [force for force, _ in told]
    assert all(row.measure != "damper" for row in found.verdicts.results)
    assert dict(found.second_sentences)["Spring and damper, from travel and acceleration"]
