"""Measures by phase through the whole program: in analyse where a speed sensor is, in compare only where named."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copyfile

import numpy as np
import pytest

import telemetry
from telemetry.telling.measured import measure_tables
from tests.pipeline.small_days import HEAD, RATE_HZ, trail

SPEED = '[sensors.speed]\nkind = "ground_speed"\ncolumn = "v"\nunit = "m/s"\n'
DIVE_MM = 12.0
SECONDS = 80.0


def speeds() -> tuple[np.ndarray, np.ndarray]:
    """Return speed, m/s, and what it loses, m/s2: 2.5 for a second and a half out of every ten; won back slowly."""
    at_s = np.arange(round(SECONDS * RATE_HZ)) / RATE_HZ
    into = at_s % 10
    lost = np.interp(into, [0, 5, 5.2, 6.7, 6.9, 10], [0, 0, 2.5, 2.5, 0, 0])
    steady = np.where(into < 4.9, lost.mean() * 10 / 4.9 * (into < 4.9), 0.0)
    return 6 + np.cumsum(steady - lost) / RATE_HZ, lost - steady


def make_day(folder: Path, setups: tuple[str, ...], extra: str = "", *, speed: bool = True) -> Path:
    """Write a day whose fork dives under braking, of the setup "soft" half as far again; sag elsewhere is alike."""
    folder.mkdir(parents=True, exist_ok=True)
    text = [HEAD.format(title="A day of braking"), SPEED if speed else ""]
    metres_s, lost = speeds()
    for place, name in enumerate(dict.fromkeys(setups)):
        text.append(f"[setups.{name}]\n[setups.{name}.front]\nair_pressure_bar = {6 + place}\n")
    for number, name in enumerate(setups, 1):
        front, stroke = trail(SECONDS, number)
        front = np.clip(front + lost / 2.5 * DIVE_MM * (1.5 if name == "soft" else 1.0), 0.5, 159)
        rows = np.column_stack([np.arange(front.size) * 1000 // RATE_HZ, 100 + front * 20, 200 + stroke * 50, metres_s])
        np.savetxt(folder / f"run_{number}.csv", rows, delimiter=",", header="t_ms,A0,A1,v", comments="", fmt="%.3f")
        text.append(f'[[runs]]\nlog = "run_{number}.csv"\nsetup = "{name}"\nstarted_at = 2026-05-16T1{number}:00:00\n')
    (folder / "ride_day.toml").write_text("\n".join([*text, extra]), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a day of three runs of each, the dive under braking named before riding."""
    named = (
        '[comparison]\nbaseline = "firm"\nfocus = ["dynamic_sag:front@braking"]\nnamed_at = 2026-05-16T08:00:00\n'
        'smallest_change = { "dynamic_sag@braking:front" = "1 points" }\n'
    )
    return make_day(tmp_path_factory.mktemp("braking"), ("firm", "soft", "soft", "firm", "firm", "soft"), named)


def test_analyse_tells_measures_by_phase_where_a_speed_sensor_is(day: Path, tmp_path: Path) -> None:
    analysis = telemetry.analyse(telemetry.read_ride_day(day))
    run = analysis.runs[0]
    sag, braked = run.value("dynamic_sag", "front"), run.value("dynamic_sag@braking", "front")
    assert sag is not None
    assert braked is not None
    assert braked - sag > 0.7 * 100 * DIVE_MM / 160 * 0.8
    coasted = run.value("dynamic_sag@coasting", "front")
    assert coasted is not None
    assert coasted < sag
    assert run.value("riding_time@braking", "both") == pytest.approx(8 * 1.6, abs=1.6)
    dive, error = run.value("dive_per_g", "front"), run.value("dive_per_g_error", "front")
    assert dive is not None
    assert error is not None
    assert dive == pytest.approx(100 * DIVE_MM / 160 / (2.5 / 9.80665), abs=3 * error)  # few brakings on rough ground
    assert error < 0.2 * dive
    assert run.value("compression_speed_ratio@braking", "both") is not None
    assert not any(row.measure.endswith("@landing") for row in run.measures)
    rows = {row["measure"]: row for row in json.loads(json.dumps(run.to_dict()))["measures"] if row["end"] == "front"}
    assert rows["hit_depth_10_per_min@braking"]["unit"] == "%"
    shown = "\n".join(str(row) for one in measure_tables(analysis) for row in one.rows)
    assert "Dynamic sag under braking" in shown
    assert "hit speed under braking" not in shown.lower()
    plain = telemetry.analyse(telemetry.read_ride_day(make_day(tmp_path, ("firm",), speed=False))).runs[0]
    assert not any("@" in row.measure for row in plain.measures)
    (why,) = {row.reason for row in plain.absent if row.measure == "dive_per_g"}
    assert "no ground-speed sensor" in why


def test_a_measure_by_phase_gets_a_verdict_where_it_is_named(day: Path) -> None:
    found = telemetry.compare(telemetry.read_ride_day(day)).to_dict()
    rows = {(row["measure"], row["end"]): row for row in found["results"]}
    by_phase = rows["dynamic_sag@braking", "front"]
    assert by_phase["verdict"] == "changed"
    assert by_phase["difference"] == pytest.approx(100 * DIVE_MM / 2 / 160, rel=0.25)
    assert by_phase["smallest_change_high"] == pytest.approx(1.0)
    assert rows["dynamic_sag", "front"]["verdict"] != "changed"
    assert [key for key in rows if "@" in key[0]] == [("dynamic_sag@braking", "front")]
    assert "Front, dynamic sag under braking: 35" in by_phase["sentence"]
    assert [family["group"] for family in found["families"]] == ["focus", "other"]
    assert found["families"][0]["m"] == 1


def test_without_a_name_no_row_by_phase_is_compared(day: Path, tmp_path: Path) -> None:
    text = (day / "ride_day.toml").read_text(encoding="utf-8")
    for number in range(1, 7):
        copyfile(day / f"run_{number}.csv", tmp_path / f"run_{number}.csv")
    (tmp_path / "ride_day.toml").write_text(text[: text.index("[comparison]")], encoding="utf-8")
    without = telemetry.compare(telemetry.read_ride_day(tmp_path)).to_dict()
    assert not any("@" in row["measure"] for row in without["results"])
    named = telemetry.compare(telemetry.read_ride_day(day)).to_dict()
    same = [row for row in named["results"] if "@" not in row["measure"]]
    values = [(row["measure"], row["end"], row["difference"], row["p"]) for row in same]
    assert values == [(row["measure"], row["end"], row["difference"], row["p"]) for row in without["results"]]


def test_a_phase_that_no_sensor_tells_bars_its_row_with_the_reason(tmp_path: Path) -> None:
    named = '[comparison]\nfocus = ["dynamic_sag:front@pedalling", "dynamic_sag:rear@braking"]\n'
    found = telemetry.compare(telemetry.read_ride_day(make_day(tmp_path, ("firm", "soft"), named))).to_dict()
    rows = {(row["measure"], row["end"]): row for row in found["results"]}
    assert rows["dynamic_sag@pedalling", "front"]["difference"] is None
    assert "no inertial sensor on the chassis" in rows["dynamic_sag@pedalling", "front"]["reason"]
    assert rows["dynamic_sag@braking", "rear"]["baseline_value"] is not None


def test_a_plan_takes_the_named_row_with_what_its_runs_scatter(day: Path) -> None:
    plan = telemetry.plan(telemetry.read_ride_day(day)).to_dict()
    rows = {(row["measure"], row["end"]): row for row in plan["sees"]}
    assert rows["dynamic_sag@braking", "front"]["smallest_change"]
