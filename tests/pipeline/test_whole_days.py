"""The stages together: days in, measures, verdicts and reasons out."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.catalogue import compared_rows
from telemetry.pipeline import require_usable
from tests.pipeline.small_days import make_day, write_log

ABBA = ("a", "b", "b", "a", "a", "b", "b", "a")


@pytest.fixture(scope="module")
def eight_runs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Eight runs, the second setup 9 mm deeper at the front."""
    return make_day(tmp_path_factory.mktemp("eight"), ABBA, deeper_mm={"b": 9.0})


@pytest.fixture(scope="module")
def comparison(eight_runs: Path) -> telemetry.Comparison:
    return telemetry.compare(telemetry.read_ride_day(eight_runs))


def row(comparison: telemetry.Comparison, measure: str, end: str) -> dict[str, object]:
    return next(r for r in comparison.to_dict()["results"] if r["measure"] == measure and r["end"] == end)


def test_a_large_change_is_found_where_it_is_and_only_there(comparison: telemetry.Comparison) -> None:
    front, rear = row(comparison, "dynamic_sag", "front"), row(comparison, "dynamic_sag", "rear")
    assert front["verdict"] == "changed"
    assert front["difference"] == pytest.approx(100 * 9 / 160, abs=0.5)
    assert front["low"] < front["difference"] < front["high"]
    assert rear["verdict"] == "unchanged"


def test_every_family_row_has_a_result_for_each_candidate(comparison: telemetry.Comparison) -> None:
    answer = comparison.to_dict()
    assert len(answer["results"]) == 25
    counts = [r for r in answer["results"] if r["scale"] == "count"]
    assert len(counts) == 6
    for result in counts:
        assert result["verdict"] == "undecided"
        assert result["p"] is not None
        assert result["low"] < result["difference"] < result["high"]
        assert result["reason"] or result["more_runs"]
    assert sum(family["m"] for family in answer["families"]) <= 25


def test_the_json_has_the_contracts_keys(comparison: telemetry.Comparison) -> None:
    answer = json.loads(json.dumps(comparison.to_dict(), allow_nan=False))
    assert set(answer) == {
        "ride_day", "baseline", "candidates", "setup_differences", "runs_used", "families", "conditioning", "fairness",
        "results", "left_out", "put_on", "force_differences",
    }  # fmt: skip
    assert set(answer["results"][0]) == {
        "candidate", "measure", "end", "unit", "scale", "baseline_value", "candidate_value", "difference", "low",
        "high", "inner_low", "inner_high", "smallest_change_low", "smallest_change_high", "percent", "n_baseline",
        "n_candidate", "p", "level", "verdict", "reason", "more_runs", "more_runs_upper", "sentence",
    }  # fmt: skip
    assert answer["setup_differences"][0]["words"] == "air pressure, front: 6 → 7 bar"


def test_the_order_of_runs_in_the_file_changes_nothing(eight_runs: Path, tmp_path: Path) -> None:
    turned = tmp_path / "turned"
    shutil.copytree(eight_runs, turned)
    text = (turned / "ride_day.toml").read_text()
    head, *runs = text.split("[[runs]]")
    runs = [f"{run.rstrip()}\norder = {number}\n" for number, run in enumerate(runs, 1)]
    (turned / "ride_day.toml").write_text("[[runs]]".join([head, *reversed(runs)]))
    ours = telemetry.compare(telemetry.read_ride_day(turned)).to_dict()
    assert ours["results"] == telemetry.compare(telemetry.read_ride_day(eight_runs)).to_dict()["results"]


def test_the_order_of_columns_and_the_clocks_unit_change_nothing(eight_runs: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    shutil.copytree(eight_runs, other)
    for log in other.glob("*.csv"):
        _, *rows = log.read_text().splitlines()
        cells = [line.split(",") for line in rows]
        lines = [f"{b};{int(t) * 1000};{a}" for t, a, b in cells]
        log.write_text("A1;t_us;A0\n" + "\n".join(lines) + "\n")
    file = other / "ride_day.toml"
    file.write_text(file.read_text().replace('column = "t_ms", unit = "ms"', 'column = "t_us", unit = "us"'))
    first = telemetry.analyse(telemetry.read_ride_day(eight_runs)).to_dict()["runs"][0]["measures"]
    second = telemetry.analyse(telemetry.read_ride_day(other)).to_dict()["runs"][0]["measures"]
    for ours, theirs in zip(first, second, strict=True):
        assert ours["measure"] == theirs["measure"]
        assert ours["value"] == pytest.approx(theirs["value"], rel=1e-9)


def test_load_ride_gives_read_only_signals_and_their_history(eight_runs: Path) -> None:
    ride = telemetry.load_ride(telemetry.read_ride_day(eight_runs), "run_1")
    assert ride.front.travel_mm.shape == ride.rear.speed_mm_s.shape == ride.time_s.shape
    with pytest.raises(ValueError, match="read-only"):
        ride.front.travel_mm[0] = 0.0
    assert [step.stage for step in ride.history][:2] == ["read", "clock"]
    assert any(step.stage == "leverage" and step.end == "rear" for step in ride.history)


def test_frames_are_as_long_as_the_json(eight_runs: Path, comparison: telemetry.Comparison) -> None:
    analysis = telemetry.analyse(telemetry.read_ride_day(eight_runs))
    assert len(analysis.measures) == sum(len(run["measures"]) for run in analysis.to_dict()["runs"])
    assert {"run", "severity", "code", "message"} <= set(analysis.findings.columns)
    assert len(comparison.results) == 25
    assert list(comparison.fairness.columns) == ["severity", "code", "message"]


def test_only_asked_for_runs_and_sections_count(eight_runs: Path) -> None:
    day = telemetry.read_ride_day(eight_runs)
    few = telemetry.compare(day, runs=["run_1", "run_2", "run_3", "run_4"], sections=[1, 2, 3, 4, 5, 6])
    assert [run.run for run in few.runs_used] == ["run_1", "run_2", "run_3", "run_4"]
    assert few.sections == 6
    assert {row.verdict for row in few.verdicts.results} == {None}
    assert few.summaries["b"].headline.endswith(": no verdict, explored after the fact")
    with pytest.raises(telemetry.TelemetryError, match="no run 'run_9'"):
        telemetry.compare(day, runs=["run_9"])
    with pytest.raises(telemetry.TelemetryError, match="section 99"):
        telemetry.compare(day, sections=[99])


def test_one_setup_cannot_be_compared(tmp_path: Path) -> None:
    day = telemetry.read_ride_day(make_day(tmp_path, ("a", "a")))
    with pytest.raises(telemetry.TelemetryError, match="one setup"):
        telemetry.compare(day)


def test_one_run_of_each_is_undecided_and_says_so(tmp_path: Path) -> None:
    comparison = telemetry.compare(telemetry.read_ride_day(make_day(tmp_path, ("a", "b"), deeper_mm={"b": 9.0})))
    result = row(comparison, "dynamic_sag", "front")
    assert result["verdict"] == "undecided"
    assert "one run of each" in result["reason"]
    assert result["low"] > 0
    assert [family.m for family in comparison.verdicts.families] == [0]


def test_each_of_three_setups_has_a_family_of_its_own(tmp_path: Path) -> None:
    day = telemetry.read_ride_day(make_day(tmp_path, ("a", "b", "c", "c", "b", "a"), deeper_mm={"c": 9.0}))
    comparison = telemetry.compare(day)
    assert comparison.candidates == ("b", "c")
    assert len(comparison.verdicts.results) == 2 * len(compared_rows(()))
    assert [(family.candidate, family.group) for family in comparison.verdicts.families] == [("b", "all"), ("c", "all")]
    assert set(comparison.summaries) == {"b", "c"}


def test_a_run_with_an_error_keeps_its_entry_without_measures_and_takes_no_part(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a", "b", "b", "a", "a"))
    still = np.full(4000, 40.0)
    write_log(folder / "run_5.csv", still, still / 2.5)
    day = telemetry.read_ride_day(folder)
    analysis = telemetry.analyse(day)
    last = analysis.runs[-1]
    assert not last.measures
    assert {gone.reason for gone in last.absent} == {"not_riding"}
    assert last.usable == "ride again"
    assert "run_5" not in [run.run for run in telemetry.compare(day).runs_used]


def test_a_day_with_no_usable_run_is_refused(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a",))
    still = np.full(4000, 40.0)
    write_log(folder / "run_1.csv", still, still / 2.5)
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    with pytest.raises(telemetry.TelemetryError, match="no usable run"):
        require_usable(analysis)


def test_a_left_out_run_is_measured_but_not_compared(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a", "b", "b", "a", "b"))
    file = folder / "ride_day.toml"
    file.write_text(file.read_text() + 'leave_out = "a puncture"\n')
    day = telemetry.read_ride_day(folder)
    assert telemetry.analyse(day).runs[-1].measures
    assert len(telemetry.compare(day).runs_used) == 4


class TestLiftedRecordings:
    """A lifted recording takes the sensor's offset out of every later run."""

    @pytest.fixture(scope="class")
    @classmethod
    def folder(cls, tmp_path_factory: pytest.TempPathFactory) -> Path:
        extra = '[[static]]\nlog = "lifted.csv"\nkind = "lifted"\nbefore_run = "run_2"\n'
        folder = make_day(tmp_path_factory.mktemp("lifted"), ("a", "a"), extra=extra)
        write_log(folder / "lifted.csv", np.full(1250, 3.0), np.full(1250, 1.2))
        return folder

    def test_zero_moves_from_that_run_on(self, folder: Path) -> None:
        analysis = telemetry.analyse(telemetry.read_ride_day(folder))
        first, second = analysis.runs
        moved = (first.value("dynamic_sag", "front") or math.nan) - (second.value("dynamic_sag", "front") or math.nan)
        assert moved == pytest.approx(100 * 3.0 / 160, abs=0.6)
        notes = [finding for finding in second.findings if finding.code == "zero_shift"]
        assert {finding.end for finding in notes} == {"front", "rear"}
        assert all("lifted.csv" in finding.message for finding in notes)
        assert not [finding for finding in first.findings if finding.code == "zero_shift"]


def test_sag_and_friction_recordings_stand_with_the_last_they_came_from(tmp_path: Path) -> None:
    static = "".join(
        f'[[static]]\nlog = "{name}.csv"\nkind = "{kind}"\nsetup = "a"\nfrom = "{start}"\n{more}'
        for name, kind, start, more in (
            ("sag_1", "sag", "compressed", 'load = "standing"\n'),
            ("sag_2", "sag", "extended", 'load = "standing"\n'),
            ("settle_1", "settle", "compressed", ""),
            ("settle_2", "settle", "extended", ""),
        )
    )
    folder = make_day(tmp_path, ("a",), extra=static)
    for name, level in (("sag_1", 44.0), ("sag_2", 40.0), ("settle_1", 46.0), ("settle_2", 41.5)):
        write_log(folder / f"{name}.csv", np.full(1500, level), np.full(1500, level / 2.5))
    found = {item.entry.log.stem: item for item in telemetry.analyse(telemetry.read_ride_day(folder)).static}
    assert not found["sag_1"].measures
    sag = {row.end: row.value for row in found["sag_2"].measures}
    assert sag["front"] == pytest.approx(100 * 42 / 160, abs=0.05)
    band = {row.end: row.value for row in found["settle_2"].measures}
    assert band["front"] == pytest.approx(4.5, abs=0.06)


def test_a_bounce_gives_frequency_and_damping(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a",), extra='[[static]]\nlog = "bounce.csv"\nkind = "bounce"\nsetup = "a"\n')
    time = np.arange(1500) / 250
    damping, natural = 0.12, 2.0
    fading = 60 * np.exp(-damping * 2 * np.pi * natural * (time - 1))
    swing = np.where(time < 1, 0.0, fading * np.cos(2 * np.pi * natural * math.sqrt(1 - damping**2) * (time - 1)))
    push = np.where((time > 0.7) & (time < 1), 60 * (1 - np.cos(np.pi * (time - 0.7) / 0.3)) / 2, 0.0)
    travel = 70 + swing + push
    write_log(folder / "bounce.csv", travel, travel / 2.5)
    values = {
        (row.measure, row.end): row.value
        for row in telemetry.analyse(telemetry.read_ride_day(folder)).static[0].measures
    }
    assert values["natural_frequency", "front"] == pytest.approx(natural, rel=0.02)
    assert values["damping_ratio", "front"] == pytest.approx(damping, rel=0.08)


def test_marks_give_section_times(tmp_path: Path) -> None:
    marks = "".join(
        f'[[marks]]\nrun = "run_1"\nat_s = {at}\nname = "{name}"\n' for name, at in (("gate", 5), ("drop", 21.5))
    )
    analysis = telemetry.analyse(telemetry.read_ride_day(make_day(tmp_path, ("a",), extra=marks)))
    rows = [row for row in analysis.runs[0].measures if row.measure == "section_time"]
    assert [(row.part, row.value) for row in rows] == [("gate to drop", 16.5)]


def test_two_loggers_without_pushes_are_joined_roughly_only(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a", "a"))
    file = folder / "ride_day.toml"
    file.write_text(
        file.read_text().replace('log = "run_2.csv"', 'log = { front = "run_2.csv", rear = "run_1.csv" }\nname = "two"')
    )
    last = telemetry.analyse(telemetry.read_ride_day(folder)).runs[-1]
    (told,) = [finding for finding in last.findings if finding.code == "loggers_not_joined"]
    assert told.severity == "warning"
    assert last.value("dynamic_sag", "front") is not None
    assert last.value("sag_difference", "both") is not None
    assert last.value("compression_speed_ratio", "both") is None


def test_the_days_lowest_rate_bounds_the_low_pass(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a", "a"))
    lines = (folder / "run_2.csv").read_text().splitlines()
    (folder / "run_2.csv").write_text("\n".join([lines[0], *lines[1::2]]) + "\n")
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    assert analysis.conditioning["cutoff_hz"] == pytest.approx(0.4 * 125, rel=1e-3)
    assert "slow_rate" in {finding.code for finding in analysis.runs[1].findings}


def test_a_day_without_any_position_sensor_says_so(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a", "b"))
    file = folder / "ride_day.toml"
    text = file.read_text()
    static = '[[static]]\nlog = "run_2.csv"\nkind = "lifted"\nsetup = "a"\nbefore_run = "run_1"\n'
    file.write_text(text[: text.index("[sensors.fork]")] + text[text.index("[setups.") :] + static)
    day = telemetry.read_ride_day(folder)
    for run in telemetry.analyse(day).runs:
        assert [finding.code for finding in run.findings] == ["no_position_sensor"]
        assert run.usable == "ride again"
        assert {row.reason for row in run.absent} == {"no_position_sensor"}
    with pytest.raises(telemetry.CallError, match="no usable run"):
        telemetry.compare(day)
    with pytest.raises(telemetry.CallError, match="no sensor reads position or acceleration"):
        telemetry.load_ride(day, "run_1")


def test_readings_that_are_no_acceleration_give_nothing(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a",))
    file = folder / "ride_day.toml"
    text = file.read_text()
    sensor = (
        '[sensors.frame]\nkind = "inertial"\nend = "front"\non = "chassis"\nacceleration_unit = "g"\n'
        'columns = { ax = "A0", ay = "A0", az = "A1" }\n'
    )
    file.write_text(text[: text.index("[sensors.fork]")] + sensor + text[text.index("[setups.") :])
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    assert "wrong_scale" in {finding.code for finding in run.findings if finding.severity == "error"}
    assert run.usable == "ride again"
    assert run.measures == ()
