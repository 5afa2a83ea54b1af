"""Rows of acceleration in a whole day: compared where acceleration is all there is, measured everywhere."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from dashboards.pages.writing import focus_rows
from telemetry.model.catalogue import SPECS
from telemetry.pipeline.planning import plan
from telemetry.telling.measured import absences, by_frequency
from tests.cli.run_here import commanded
from tests.pipeline.inertial_days import make_inertial_day

ROWS = {
    "wheel_acceleration_rms",
    "chassis_acceleration_rms",
    "wheel_acceleration_10_per_min",
    "chassis_acceleration_10_per_min",
    "unloaded_share",
}
SAMPLE = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"


def shaken(rows) -> set[tuple[str, str]]:
    return {(row.measure, row.end) for row in rows if SPECS[row.measure].by == "acceleration"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_inertial_day(tmp_path_factory.mktemp("felt") / "day", ("a", "b", "b", "a"), harder={"b": 1.6})


def test_where_acceleration_is_all_there_is_it_gets_verdicts(folder: Path) -> None:
    comparison = telemetry.compare(telemetry.read_ride_day(folder))
    results = {row.measure: row for row in comparison.verdicts.results if row.end == "front"}
    assert set(results) >= ROWS
    assert results["wheel_acceleration_rms"].verdict == "changed"
    assert results["wheel_acceleration_rms"].difference > 0
    assert "Front, shaking of the wheel: " in results["wheel_acceleration_rms"].sentence
    assert "m/s²" in results["wheel_acceleration_rms"].sentence
    assert "mm" not in results["unloaded_share"].sentence
    assert not {end for _, end in shaken(comparison.verdicts.results)} - {"front"}


def test_they_are_planned_and_may_be_named_as_what_decides(folder: Path) -> None:
    day = telemetry.read_ride_day(folder)
    planned = plan(day)
    assert {row.spec.name for row in planned.sees} >= ROWS - {"unloaded_share"}
    assert not {row.spec.name for row in planned.sees if row.spec.by == "travel"}
    offered = {row.label: set(row.boxes) for row in focus_rows(day)}
    assert offered["Shaking of the wheel"] == {"front"}


def test_a_day_of_travel_compares_and_offers_none() -> None:
    day = telemetry.read_ride_day(SAMPLE)
    assert not shaken(telemetry.compare(day).verdicts.results)
    assert "Shaking of the wheel" not in {row.label for row in focus_rows(day)}
    assert not any(row.spec.by == "acceleration" for row in plan(day).sees)


def test_a_day_of_travel_says_nothing_of_acceleration_it_never_had() -> None:
    analysis = telemetry.analyse(telemetry.read_ride_day(SAMPLE))
    assert not any("Shaking" in group.what or "Wheel hop" in group.what for group in absences(analysis))
    assert by_frequency(analysis) == ()
    assert "shaking" not in analysis.conditioning
    reasons = {(row.measure, row.end): row.reason for row in analysis.runs[0].absent}
    assert reasons["wheel_acceleration_rms", "front"] == "no inertial sensor on the wheel at the front"


def test_analyse_prints_them_with_their_units_and_what_they_rest_on(folder: Path) -> None:
    code, shown, _ = commanded("analyse", folder)
    assert code == 0
    assert "Shaking of the wheel, m/s²" in shown
    assert "Passed on from wheel to chassis, front" in shown
    assert "everything of travel at the front" in shown
    assert "of a wheel's load 25 % is bike (usual: mass_kg and rider_mass_kg aren't stated)" in shown
    assert "occupational figures, no limits of riding" in shown


def test_stated_masses_are_what_a_wheels_load_is_made_of(tmp_path: Path) -> None:
    folder = make_inertial_day(tmp_path / "day", ("a", "b"))
    usual = telemetry.analyse(telemetry.read_ride_day(folder))
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    text = text.replace('name = "Test mule"', 'name = "Test mule"\nmass_kg = 110')
    file.write_text(text.replace("date = 2026-05-16", "date = 2026-05-16\nrider_mass_kg = 80"), encoding="utf-8")
    stated = telemetry.analyse(telemetry.read_ride_day(folder))
    assert "58 % is bike (by the stated masses)" in stated.conditioning["shaking"][0]
    assert stated.runs[0].value("unloaded_share", "front") > usual.runs[0].value("unloaded_share", "front")
