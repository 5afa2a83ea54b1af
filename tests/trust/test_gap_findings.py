"""`gap` of a run: a warning, an error when gaps exceed 20 % of the log."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.trust.one_run import again, assert_says, the_one, told, without_rows, working, write_day

TRAVEL = working(60.0)
ROWS = TRAVEL.shape[0]  # 15000


def run_without(folder: Path, start: int, stop: int):
    return again(without_rows(write_day(folder, TRAVEL, TRAVEL), start, stop))


def test_a_gap_is_a_warning_and_the_rest_is_measured(tmp_path: Path) -> None:
    run = run_without(tmp_path, 5000, 5250)
    finding = the_one(run, "gap")
    assert finding.severity == "warning"
    assert finding.row == 2 + 4999
    assert finding.second == pytest.approx(4999 / 250, abs=1e-6)
    assert_says(finding, "run_1", "1 gap", "1.00 s of 60.0 s", "1.7 %", "error above 20 %", "20.00 s", "row 5001")
    assert run.usable == "with care"
    assert run.value("riding_time", "both") == pytest.approx(59.0, abs=0.01)


@pytest.mark.parametrize(("missing", "severity"), [(2980, "warning"), (3020, "error")])
def test_20_percent_is_the_limit(tmp_path: Path, missing: int, severity: str) -> None:
    run = run_without(tmp_path, 5000, 5000 + missing)
    assert the_one(run, "gap").severity == severity
    assert bool(run.measures) is (severity == "warning")
    assert {gone.reason for gone in run.absent} >= ({"gap"} if severity == "error" else set())


@pytest.mark.parametrize(("missing", "expected"), [(4, False), (5, True)])
def test_only_a_step_over_20_ms_is_a_gap(tmp_path: Path, missing: int, *, expected: bool) -> None:
    assert bool(told(run_without(tmp_path, 5000, 5000 + missing), "gap")) is expected
