"""What findings do to a day: usable or not, in the comparison or not, exit codes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import telemetry
from tests.cli.run_here import commanded
from tests.pipeline.small_days import make_day, write_log

STILL = np.full(4000, 40.0)


def spoil(folder: Path, run: int) -> Path:
    """Replace a run's log by one in which nobody rides."""
    write_log(folder / f"run_{run}.csv", STILL, STILL / 2.5)
    return folder


def checked(folder: Path) -> list[dict[str, Any]]:
    done = commanded("check", folder, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    runs: list[dict[str, Any]] = json.loads(done.stdout)["runs"]
    return runs


@pytest.fixture(scope="module")
def spoilt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Five runs of two setups, the fourth unusable, the second at 125 rows a second."""
    folder = spoil(make_day(tmp_path_factory.mktemp("spoilt"), ("a", "b", "b", "a", "a")), 4)
    lines = (folder / "run_2.csv").read_text().splitlines()
    (folder / "run_2.csv").write_text("\n".join([lines[0], *lines[1::2]]) + "\n")
    return folder


@pytest.fixture(scope="module")
def unusable(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two setups, neither of which was ridden."""
    return spoil(spoil(make_day(tmp_path_factory.mktemp("unusable"), ("a", "b")), 1), 2)


class TestCheck:
    """Good, with care, or ride again; and it is no fault of the call."""

    def test_its_words(self, spoilt: Path) -> None:
        words = {run["run"]: run["usable"] for run in checked(spoilt)}
        assert words == {
            "run_1": "good",
            "run_2": "with care",
            "run_3": "good",
            "run_4": "ride again",
            "run_5": "good",
        }

    def test_each_word_follows_from_the_severest_finding(self, spoilt: Path) -> None:
        for run in checked(spoilt):
            severities = {finding["severity"] for finding in run["findings"]}
            worst = next(level for level in ("error", "warning", "note") if level in severities)
            assert run["usable"] == {"error": "ride again", "warning": "with care", "note": "good"}[worst]

    def test_its_keys(self, spoilt: Path) -> None:
        run = checked(spoilt)[3]
        assert set(run) == {"run", "log", "usable", "findings"}
        assert run["log"] == "run_4.csv"
        assert set(run["findings"][0]) == {"severity", "code", "message", "end", "row", "second"}

    def test_every_run_unusable_is_its_answer(self, unusable: Path) -> None:
        assert [run["usable"] for run in checked(unusable)] == ["ride again", "ride again"]
        done = commanded("check", unusable)
        assert done.returncode == 0
        assert done.stdout.count("ride again") >= 2
        assert "error not_riding" in done.stdout


class TestAnUnusableRun:
    """It keeps its entry, without measures, and takes no part in a comparison."""

    def test_it_keeps_its_entry(self, spoilt: Path) -> None:
        answer = json.loads(commanded("analyse", spoilt, "--json").stdout)
        assert [run["run"] for run in answer["runs"]] == ["run_1", "run_2", "run_3", "run_4", "run_5"]
        run = answer["runs"][3]
        assert run["measures"] == []
        assert {gone["reason"] for gone in run["absent"]} == {"not_riding"}
        assert {gone["measure"] for gone in run["absent"]} >= {row["measure"] for row in answer["runs"][0]["measures"]}

    def test_it_takes_no_part(self, spoilt: Path) -> None:
        answer = json.loads(commanded("compare", spoilt, "--json").stdout)
        assert [run["run"] for run in answer["runs_used"]] == ["run_1", "run_2", "run_3", "run_5"]
        sag = next(row for row in answer["results"] if (row["measure"], row["end"]) == ("dynamic_sag", "front"))
        assert (sag["n_baseline"], sag["n_candidate"]) == (2, 2)

    def test_with_several_errors_the_reason_is_one_of_their_codes(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path, ("a", "a"))
        front = np.full(4000, 175.0)
        write_log(folder / "run_2.csv", front, STILL / 2.5)
        run = telemetry.analyse(telemetry.read_ride_day(folder)).runs[1]
        errors = {finding.code for finding in run.findings if finding.severity == "error"}
        assert errors >= {"not_riding", "beyond_travel"}
        reasons = {gone.reason for gone in run.absent}
        assert len(reasons) == 1
        assert reasons < errors

    def test_a_day_with_one_good_run_is_measured(self, tmp_path: Path) -> None:
        folder = spoil(make_day(tmp_path, ("a", "a")), 1)
        answer = json.loads(commanded("analyse", folder, "--json").stdout)
        assert [bool(run["measures"]) for run in answer["runs"]] == [False, True]


class TestEveryRunUnusable:
    """Wrong input for all that need a run: exit 2, one line, nothing written."""

    @pytest.mark.parametrize("words", [("analyse",), ("analyse", "--json"), ("compare",), ("compare", "--json")])
    def test_analyse_and_compare(self, unusable: Path, words: tuple[str, ...]) -> None:
        done = commanded(words[0], unusable, *words[1:])
        assert (done.returncode, done.stdout) == (2, "")
        assert len(done.stderr.splitlines()) == 1
        for word in ("ride_day.toml", "no usable run", "telemetry check"):
            assert word in done.stderr

    def test_report_writes_nothing(self, unusable: Path, tmp_path: Path) -> None:
        done = commanded("report", unusable, "--out", tmp_path / "page.html")
        assert (done.returncode, done.stdout) == (2, "")
        assert len(done.stderr.splitlines()) == 1
        assert "no usable run" in done.stderr
        assert list(tmp_path.iterdir()) == []


class TestOneSetupWithoutAUsableRun:
    """Nothing to compare with: that is said, and the rest of the day still stands."""

    @pytest.fixture(scope="class")
    @classmethod
    def folder(cls, tmp_path_factory: pytest.TempPathFactory) -> Path:
        return spoil(make_day(tmp_path_factory.mktemp("lame"), ("a", "b", "a")), 2)

    def test_compare_decides_nothing(self, folder: Path) -> None:
        done = commanded("compare", folder, "--json")
        assert (done.returncode, done.stderr) == (0, "")
        answer = json.loads(done.stdout)
        assert [run["run"] for run in answer["runs_used"]] == ["run_1", "run_3"]
        assert sum(family["m"] for family in answer["families"]) == 0
        assert {row["verdict"] for row in answer["results"]} <= {"undecided", None}
        sag = next(row for row in answer["results"] if (row["measure"], row["end"]) == ("dynamic_sag", "front"))
        assert (sag["n_baseline"], sag["n_candidate"], sag["candidate_value"]) == (2, 0, None)
        assert sag["reason"]

    def test_the_candidate_left_can_still_be_asked_for(self, tmp_path: Path) -> None:
        folder = spoil(make_day(tmp_path, ("a", "b", "c", "a")), 2)
        answer = json.loads(commanded("compare", folder, "--json").stdout)
        assert [run["run"] for run in answer["runs_used"]] == ["run_1", "run_3", "run_4"]
        by_candidate = {row["candidate"]: row for row in answer["results"] if row["measure"] == "dynamic_sag"}
        assert set(by_candidate) == {"b", "c"}
        assert by_candidate["b"]["n_candidate"] == 0
        assert by_candidate["b"]["verdict"] == "undecided"
        assert by_candidate["b"]["candidate_value"] is None

    def test_analyse_and_report_show_what_there_is(self, folder: Path, tmp_path: Path) -> None:
        assert commanded("analyse", folder, "--json").returncode == 0
        assert commanded("report", folder, "--out", tmp_path / "page.html").returncode == 0


def test_both_ends_on_one_column_are_told(tmp_path: Path) -> None:
    folder = make_day(tmp_path, "a")
    file = folder / "ride_day.toml"
    file.write_text(file.read_text().replace('column = "A1"', 'column = "A0"'), encoding="utf-8")
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    found = next(finding for finding in run.findings if finding.code == "same_column")
    assert (found.severity, run.usable) == ("warning", "with care")
    assert "'A0'" in found.message


@pytest.mark.parametrize("bounds", ["start_s = 3000", "end_s = 2", "start_s = 38"])
def test_a_start_or_end_that_leaves_nothing_is_named(tmp_path: Path, bounds: str) -> None:
    folder = make_day(tmp_path, "a")
    file = folder / "ride_day.toml"
    file.write_text(file.read_text() + bounds + "\n", encoding="utf-8")
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    found = next(finding for finding in run.findings if finding.code == "not_riding")
    assert "of a log of 40.0 s; correct start_s and end_s" in found.message
