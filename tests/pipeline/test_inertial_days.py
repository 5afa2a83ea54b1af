"""Days whose logs hold inertial sensors alone go the whole way, and say nothing of travel but why it isn't there."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import Analysis
from tests.cli.run_here import commanded
from tests.pipeline.inertial_days import columns_of, make_inertial_day, write_log

OF_TRAVEL = re.compile(r"\b(sag|travel|bottom(ing|ed|-outs?)?|topped|deeper|deepest|lifted)\b", re.IGNORECASE)
WHY_NOT = re.compile(
    r"[Nn]o displacement sensor at (the \w+|either end): sag, travel and bottoming can['’]t come from acceleration"
)
ALL_OF_IT = re.compile(r"everything of travel at the front")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("felt") / "day"
    return make_inertial_day(place, ("a", "b", "b", "a"), seconds=32.0, harder={"b": 1.3})


@pytest.fixture(scope="module")
def analysis(folder: Path) -> Analysis:
    return telemetry.analyse(telemetry.read_ride_day(folder))


def test_every_run_is_measured_between_its_pushes(analysis: Analysis) -> None:
    for run in analysis.runs:
        assert run.usable == "good"
        assert [finding.code for finding in run.findings] == ["pushes"]
        assert run.value("riding_time", "both") == pytest.approx(32, abs=2.5)  # a stand of under 2 s is riding


def test_travel_is_absent_with_the_reason_and_never_measured(analysis: Analysis) -> None:
    for run in analysis.runs:
        reasons = {(row.measure, row.end): row.reason for row in run.absent}
        assert WHY_NOT.fullmatch(reasons["dynamic_sag", "front"])
        assert WHY_NOT.fullmatch(reasons["bottom_outs", "front"])
        assert reasons["dynamic_sag", "rear"] == "no displacement sensor at the rear"
        assert not {row.measure for row in run.measures} & {"dynamic_sag", "travel_p95", "hits_per_min", "bottom_outs"}


def test_a_ride_shows_its_inertial_sensors(folder: Path) -> None:
    ride = telemetry.load_ride(telemetry.read_ride_day(folder), "run_1")
    assert ride.in_short.endswith("200 rows a second, inertial at the front wheel and front chassis")
    frame = ride.to_frame()
    assert {"front_wheel_upward_m_s2", "front_chassis_forward_m_s2", "riding"} <= set(frame.columns)
    assert frame["front_chassis_specific_force_m_s2"].median() == pytest.approx(9.81, rel=0.1)  # ridden or still: 1 g
    assert "front wheel" in str(ride.sheet)
    with pytest.raises(KeyError):
        _ = ride.front


def test_setups_are_compared_and_planned(folder: Path) -> None:
    day = telemetry.read_ride_day(folder)
    comparison = telemetry.compare(day)
    assert [run.run for run in comparison.runs_used] == ["run_1", "run_2", "run_3", "run_4"]
    assert comparison.sections >= 4
    told = {row.reason for row in comparison.verdicts.results if row.measure == "dynamic_sag"}
    assert any(WHY_NOT.fullmatch(reason) for reason in told)
    assert telemetry.plan(day).order.letters


@pytest.mark.parametrize("command", ["check", "analyse", "compare", "plan"])
def test_commands_answer(folder: Path, command: str) -> None:
    code, shown, _ = commanded(command, folder)
    assert code == 0
    rest = ALL_OF_IT.sub("", WHY_NOT.sub("", shown))
    assert not OF_TRAVEL.search(rest), OF_TRAVEL.search(rest)
    assert len(WHY_NOT.findall(shown)) <= 1


def test_the_answer_as_json_has_the_reasons(folder: Path) -> None:
    code, shown, _ = commanded("analyse", folder, "--json")
    assert code == 0
    reasons = {row["reason"] for run in json.loads(shown)["runs"] for row in run["absent"]}
    assert any(WHY_NOT.fullmatch(reason) for reason in reasons)


@pytest.mark.parametrize("setups", [("a", "b", "b", "a"), ("a",)])
def test_the_report_holds_no_empty_section(tmp_path: Path, setups: tuple[str, ...]) -> None:
    folder = make_inertial_day(tmp_path / "day", setups, seconds=20.0)
    code, _, _ = commanded("report", folder, "--out", tmp_path / "report.html")
    assert code == 0
    page = (tmp_path / "report.html").read_text(encoding="utf-8")
    shown = re.sub(r"<[^>]*>", " ", page[page.rindex("<main>") : page.rindex("</main>")])
    rest = ALL_OF_IT.sub("", WHY_NOT.sub("", shown.replace("&#39;", "'")))
    assert not OF_TRAVEL.search(rest), OF_TRAVEL.search(rest)


def test_a_wheels_sensor_alone_is_ridden_without_flights(tmp_path: Path) -> None:
    folder = make_inertial_day(tmp_path / "day", ("a",), sensors=("fork",))
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    assert {finding.code for finding in run.findings} == {"untrimmed"}
    assert run.value("riding_time", "both") == pytest.approx(40, abs=2.5)
    reasons = {row.measure: row.reason for row in run.absent}
    assert reasons["airborne_time"] == "no inertial sensor on the chassis: flight can't be told"


def test_a_wrong_unit_is_told_alone(tmp_path: Path) -> None:
    """That nothing is ridden where every sensor is left out would be told as if the ride were to blame."""
    folder = make_inertial_day(tmp_path / "day", ("a",), seconds=20.0)
    file = folder / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('_unit = "g"', '_unit = "m/s2"'), encoding="utf-8")
    day = telemetry.read_ride_day(folder)
    (run,) = telemetry.analyse(day).runs
    assert [finding.code for finding in run.findings] == ["wrong_scale", "wrong_scale"]
    assert "acceleration_unit = 'g'" in run.findings[0].message
    assert (run.usable, run.measures) == ("ride again", ())
    with pytest.raises(telemetry.CallError, match="1 g within"):
        telemetry.load_ride(day, "run_1")


def test_a_copied_log_is_told(tmp_path: Path) -> None:
    folder = make_inertial_day(tmp_path / "day", ("a", "b"))
    (folder / "run_2.csv").write_bytes((folder / "run_1.csv").read_bytes())
    for run in telemetry.analyse(telemetry.read_ride_day(folder)).runs:
        assert "same_readings" in {finding.code for finding in run.findings}


def test_a_day_aligned_by_travel_is_aligned_by_shaking(tmp_path: Path) -> None:
    folder = make_inertial_day(tmp_path / "day", ("a", "b"), extra='[comparison]\nalign = "travel"\n')
    comparison = telemetry.compare(telemetry.read_ride_day(folder))
    assert "shares aligned by shaking with run_" in comparison.shared_by


def test_recordings_of_position_say_that_nothing_comes_of_them(tmp_path: Path) -> None:
    kinds = ("still", "lifted", "sag", "settle", "bounce")
    extra = "".join(f'[[static]]\nlog = "{kind}.csv"\nkind = "{kind}"\nsetup = "a"\n' for kind in kinds)
    folder = make_inertial_day(tmp_path / "day", ("a",), sensors=("crown",), seconds=20.0, extra=extra)
    for place, kind in enumerate(kinds):
        write_log(folder / f"{kind}.csv", columns_of("crown", np.zeros(1000), place))
    found = telemetry.analyse(telemetry.read_ride_day(folder))
    told = {item.entry.kind: [finding.code for finding in item.findings] for item in found.static}
    assert told == {kind: [] if kind in ("still", "lifted") else ["nothing_recorded"] for kind in kinds}
    assert all(item.measures == () for item in found.static)


MIXED = """\
[bike.front]
travel_mm = 160
[sensors.pot]
kind = "displacement"
end = "front"
column = "A0"
points = [[0, 0.0], [1600, 160.0]]
"""


@pytest.mark.parametrize("sensors", [("seat",), ("axle", "seat"), ("crown",), ("crown", "seat")])
def test_an_end_with_a_potentiometer_and_inertial_sensors_elsewhere(tmp_path: Path, sensors: tuple[str, ...]) -> None:
    folder = make_inertial_day(tmp_path / "day", ("a", "b"), sensors=sensors, seconds=30.0)
    for number in (1, 2):
        rows = np.loadtxt(folder / f"run_{number}.csv", delimiter=",", skiprows=1)
        header = (folder / f"run_{number}.csv").read_text(encoding="ascii").splitlines()[0]
        shake = np.random.default_rng(number).standard_normal(rows.shape[0])
        fork = np.clip(450 + 80 * np.convolve(shake, np.hanning(41) / 4, "same"), 5, 1590)
        rows = np.column_stack([rows, fork])
        np.savetxt(folder / f"run_{number}.csv", rows, delimiter=",", header=f"{header},A0", comments="", fmt="%.5f")
    file = folder / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("[sensors.", MIXED + "[sensors.", 1), encoding="utf-8")
    day = telemetry.read_ride_day(folder)
    for run in telemetry.analyse(day).runs:
        assert run.value("dynamic_sag", "front") is not None
        end = "rear" if "seat" in sensors else "front"
        assert run.value("chassis_acceleration_rms", end) is not None
        reasons = {(row.measure, row.end): row.reason for row in run.absent}
        from_acceleration = "sag, travel and bottoming can't come from acceleration" in reasons["dynamic_sag", "rear"]
        assert from_acceleration is (end == "rear")
    compared = {(row.measure, row.end) for row in telemetry.compare(day).verdicts.results}
    assert ("chassis_acceleration_rms", "front") not in compared  # where a potentiometer reads the end
    assert (("chassis_acceleration_rms", "rear") in compared) is ("seat" in sensors)
