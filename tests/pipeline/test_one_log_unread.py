"""One log that can't be read doesn't stop the others: it is told at its run, and what rests on it is left out."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.errors import LogError
from telemetry.pipeline import load_ride, report_parts
from tests.cli.run_here import commanded
from tests.pipeline.small_days import RATE_HZ, make_day, write_log

LIFTED = '[[static]]\nlog = "lifted_{}.csv"\nkind = "lifted"\nbefore_run = "run_{}"\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Five runs, the third one's log empty; the lifted recording before the second empty too."""
    day = tmp_path_factory.mktemp("unread")
    make_day(day, ("a", "b", "b", "a", "a"), deeper_mm={"b": 9.0}, extra=LIFTED.format(1, 1) + LIFTED.format(2, 2))
    for number in (1, 2):
        shaking = np.random.default_rng(number).normal(0.0, 0.1, (2, RATE_HZ * 5))
        write_log(day / f"lifted_{number}.csv", *shaking)
    for name in ("run_3.csv", "lifted_2.csv"):
        (day / name).write_bytes(b"")
    return day


def test_analyse_measures_the_others_and_tells_it_at_its_run(folder: Path) -> None:
    done = commanded("analyse", folder, "--json")
    assert done.returncode == 2
    assert done.stderr.startswith("telemetry: run_3.csv: found an empty file")
    assert len(done.stderr.splitlines()) == 1
    answer = json.loads(done.stdout)
    runs = {run["run"]: run for run in answer["runs"]}
    assert [bool(run["measures"]) for run in runs.values()] == [True, True, False, True, True]
    assert [finding["code"] for finding in runs["run_3"]["findings"]] == ["log_unreadable"]
    assert {row["reason"] for row in runs["run_3"]["absent"]} == {"log_unreadable"}
    assert len(answer["unread"]) == 2


def test_a_lifted_recording_that_cannot_be_read_is_missed_at_its_runs(folder: Path) -> None:
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    told = {run.entry.name: " ".join(finding.message for finding in run.findings) for run in analysis.runs}
    assert "lifted_" not in told["run_1"]
    assert "run_2, front: lifted recording lifted_2.csv, which should give its zero, can't" in told["run_2"]
    assert "zero is that of lifted_1.csv" in told["run_2"]
    assert [[finding.code for finding in item.findings if finding.severity == "error"] for item in analysis.static] == [
        [],
        ["log_unreadable"],
    ]


def test_compare_says_what_it_leaves_out(folder: Path) -> None:
    done = commanded("compare", folder, "--json")
    assert done.returncode == 2
    answer = json.loads(done.stdout)
    assert [run["run"] for run in answer["runs_used"]] == ["run_1", "run_2", "run_4", "run_5"]
    assert [(item["run"], item["reason"]) for item in answer["left_out"]] == [("run_3", "log_unreadable")]
    assert any(item["code"] == "run_not_usable" and "run_3" in item["message"] for item in answer["fairness"])
    assert "run_3.csv" in answer["unread"][0]
    assert "run_3" in commanded("compare", folder).stdout.splitlines()[1]


def test_a_day_is_planned_by_the_others(folder: Path) -> None:
    done = commanded("plan", folder, "--json")
    assert done.returncode == 2
    assert done.stderr.startswith("telemetry: run_3.csv: found an empty file")
    answer = json.loads(done.stdout)
    assert answer["order"]
    assert "run_3.csv" in answer["unread"][0]


def test_a_report_is_written_of_the_others(folder: Path, tmp_path: Path) -> None:
    done = commanded("report", folder, "--out", tmp_path / "page.html")
    assert (done.returncode, done.stdout.startswith("wrote ")) == (2, True)
    assert "run_3.csv: found an empty file" in (tmp_path / "page.html").read_text(encoding="utf-8")


def test_one_ride_is_loaded_beside_it(folder: Path) -> None:
    assert load_ride(telemetry.read_ride_day(folder), "run_1").rate_hz == RATE_HZ


def test_a_day_of_which_no_log_can_be_read_is_refused(tmp_path: Path) -> None:
    make_day(tmp_path, ("a", "b"), seconds=1.0)
    for log in tmp_path.glob("*.csv"):
        log.write_bytes(b"")
    for ask in (telemetry.analyse, telemetry.compare, report_parts):
        with pytest.raises(LogError, match=r"run_1\.csv: found an empty file"):
            ask(telemetry.read_ride_day(tmp_path))
    done = commanded("check", tmp_path)
    assert done.returncode == 2
    assert done.stdout.splitlines()[-1] == "can't be read: run_1, run_2"
