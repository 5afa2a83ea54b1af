"""Lifted recordings: one that is wrong gives no zero, and every run it was for is told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.analysis import Analysis, RunAnalysis
from telemetry.model.finding import Finding
from tests.trust.one_run import FRONT_FULL_MM, Day, assert_says, told, working, write_day, write_log

REAR = working(40.0, middle_mm=50.0)
RANGE = {"[3300, 160.0]]": "[3300, 160.0]]\ncounts_range = [0, 4095]"}
LIFTED = '[[static]]\nlog = "{log}"\nkind = "lifted"\nsetup = "a"\nbefore_run = "run_1"\n'


def analysed(
    folder: Path, front_mm: np.ndarray, rear_mm: np.ndarray | None = None, *, before: bool = False
) -> Analysis:
    """Return a day of one run and its lifted recording; with a sound one, 2 mm deep, before it where asked for."""
    logs = [*(["sound.csv"] if before else []), "lifted.csv"]
    write_day(folder, working(40.0), REAR, Day(changes=RANGE, extra="".join(LIFTED.format(log=log) for log in logs)))
    still = np.zeros(front_mm.shape[0])
    write_log(folder / "lifted.csv", front_mm, still if rear_mm is None else rear_mm)
    write_log(folder / "sound.csv", still + 2.0, still)
    return telemetry.analyse(telemetry.read_ride_day(folder))


def zero_mm(run: RunAnalysis, end: str) -> float | None:
    (step,) = (step for step in run.history if step.stage == "zero" and step.end == end)
    level = step.parameters["level_mm"]
    assert level is None or isinstance(level, float)
    return level


def only(found: Analysis, code: str) -> Finding:
    (finding,) = (finding for finding in found.static[-1].findings if finding.code == code)
    return finding


def hung(level_mm: float = 1.0) -> np.ndarray:
    """Return 6 s of an end that hangs still, with hands that tremble."""
    return level_mm + np.random.default_rng(1).normal(0, 0.1, 1500)


def test_a_sound_one_gives_zero_and_says_nothing(tmp_path: Path) -> None:
    found = analysed(tmp_path, hung())
    assert not [finding for finding in found.static[0].findings if finding.code.startswith("lifted")]
    assert zero_mm(found.runs[0], "front") == pytest.approx(1.0, abs=0.05)
    assert not told(found.runs[0], "zero_unchecked")


@pytest.mark.parametrize(("reading", "expected"), [(0, True), (1, True), (3, False), (4095, True), (4094, True)])
def test_unplugged_at_an_end_of_the_range(tmp_path: Path, reading: int, *, expected: bool) -> None:
    found = analysed(tmp_path, np.full(1500, (reading - 100) / 20))
    codes = {finding.code for finding in found.static[0].findings}
    assert ("lifted_at_range_end" in codes) is expected
    if expected:
        assert_says(only(found, "lifted_at_range_end"), "lifted.csv", "front", f"reads {reading}", "record it again")
        assert zero_mm(found.runs[0], "front") is None
        assert zero_mm(found.runs[0], "rear") == 0.0


@pytest.mark.parametrize(("span", "expected"), [(0.012, True), (0.008, False)])
def test_one_that_moves_gives_no_zero(tmp_path: Path, span: float, *, expected: bool) -> None:
    drift = np.linspace(0, span * FRONT_FULL_MM / 0.8, 1500)  # eight tenths of it span the share
    found = analysed(tmp_path, drift)
    assert (zero_mm(found.runs[0], "front") is None) is expected
    if expected:
        assert only(found, "lifted_moves").severity == "error"
        assert_says(
            only(found, "lifted_moves"), "lifted.csv, front", "mm of travel", "limit 1.6 mm", "record 5 s again"
        )


def test_half_set_down(tmp_path: Path) -> None:
    found = analysed(tmp_path, np.r_[hung(), hung(40.0)], np.r_[hung(0.5), hung(30.0)])
    ends = {finding.end for finding in found.static[0].findings if finding.code == "lifted_moves"}
    assert ends == {"front", "rear"}


def test_the_run_is_told_and_takes_the_one_before(tmp_path: Path) -> None:
    run = analysed(tmp_path, np.r_[hung(), hung(40.0)], before=True).runs[0]
    (finding,) = told(run, "zero_unchecked")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert_says(finding, "run_1", "lifted.csv", "zero is that of sound.csv", "lift both wheels")
    assert zero_mm(run, "front") == pytest.approx(2.0, abs=0.05)


def test_the_run_is_told_where_there_is_no_other(tmp_path: Path) -> None:
    (finding,) = told(analysed(tmp_path, np.r_[hung(), hung(40.0)]).runs[0], "zero_unchecked")
    assert_says(finding, "zero is as calibrated")


@pytest.mark.parametrize(("share", "expected"), [(0.105, True), (0.095, False)])
def test_far_from_the_calibration_is_questioned_and_used(tmp_path: Path, share: float, *, expected: bool) -> None:
    level = share * FRONT_FULL_MM
    found = analysed(tmp_path, hung(level))
    assert zero_mm(found.runs[0], "front") == pytest.approx(level, abs=0.05)
    codes = {finding.code for finding in found.static[0].findings}
    assert ("lifted_far" in codes) is expected
