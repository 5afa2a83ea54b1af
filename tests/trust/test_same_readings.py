"""`same_readings`: one ride under two names isn't two runs."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import Analysis
from telemetry.pipeline.watching import check_log
from tests.trust.one_run import Day, assert_says, told, working, write_day, write_log

SETUP_B = "[setups.b.front]\nlower_leg_oil_each_ml = 8.0\n"


def run(name: str, setup: str = "a", more: str = "") -> str:
    return f'[[runs]]\nlog = "{name}.csv"\nsetup = "{setup}"\n{more}\n'


def ridden(seed: int) -> np.ndarray:
    return working(40.0) + np.random.default_rng(seed).normal(0, 0.3, 10_000)


def day(folder: Path, extra: str, first: str = "") -> Path:
    """Return a day of a first run, a second one of its own, and whatever else."""
    write_day(folder, ridden(1), ridden(2), Day(run=first, extra=SETUP_B + extra))
    write_log(folder / "run_2.csv", ridden(3), ridden(4))
    return folder


def analysed(folder: Path) -> Analysis:
    return telemetry.analyse(telemetry.read_ride_day(folder))


def test_runs_of_their_own_are_told_nothing(tmp_path: Path) -> None:
    found = analysed(day(tmp_path / "day", run("run_2", "b")))
    assert not any(told(one, "same_readings") for one in found.runs)


@pytest.mark.parametrize("other_line_ends", [False, True])
def test_a_log_copied_under_another_name(tmp_path: Path, *, other_line_ends: bool) -> None:
    folder = day(tmp_path / "day", run("run_2", "b") + run("run_3", "b"))
    text = (folder / "run_1.csv").read_text(encoding="ascii")
    (folder / "run_3.csv").write_text(text.replace("\n", "\r\n") if other_line_ends else text, encoding="ascii")
    first, second, third = analysed(folder).runs
    assert not told(second, "same_readings")
    (finding,) = told(third, "same_readings")
    assert finding.severity == "warning"
    assert_says(finding, "run_3", "run_3.csv", "run_1.csv", "copy the right log", "leave_out")
    assert_says(told(first, "same_readings")[0], "run_1", "run_3.csv")
    assert third.measures


def test_no_verdict_comes_of_it(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", run("run_2", "b") + run("run_3", "b") + run("run_4"))
    shutil.copy(folder / "run_2.csv", folder / "run_3.csv")
    write_log(folder / "run_4.csv", ridden(5), ridden(6))
    compared = telemetry.compare(telemetry.read_ride_day(folder))
    (found,) = (finding for finding in compared.fairness_findings if finding.code == "same_readings")
    assert found.severity == "error"
    assert "run_2 and run_3" in found.message
    assert all(result.verdict is None for result in compared.verdicts.results)


def test_other_stretches_of_one_log_are_runs_of_their_own(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", run("run_1", more='name = "later"\nstart_s = 20.0'), first="end_s = 20.0")
    assert not any(told(one, "same_readings") for one in analysed(folder).runs)


def test_one_stretch_named_twice_is_one_ride(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", run("run_1", more='name = "again"\nstart_s = 10.0'), first="end_s = 20.0")
    assert all(told(one, "same_readings") for one in analysed(folder).runs)


def test_a_copy_that_is_left_out_does_no_harm(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", run("run_3", "b", 'leave_out = "copied twice"'))
    shutil.copy(folder / "run_1.csv", folder / "run_3.csv")
    assert not any(told(one, "same_readings") for one in analysed(folder).runs)


def test_a_new_log_is_told_before_it_is_in_the_day(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", run("run_2", "b"))
    shutil.copy(folder / "run_2.csv", folder / "copied.csv")
    checked = check_log(telemetry.pipeline.study(telemetry.read_ride_day(folder)), folder / "copied.csv")
    assert checked.usable == "with care"
    assert [finding.code for finding in checked.findings if finding.code == "same_readings"]
