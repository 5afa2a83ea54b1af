"""One low-pass for every run of a day: 60 Hz, the day's own, or 0.4 of the slowest log's rate."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.pipeline.low_pass import low_pass
from telemetry.pipeline.rides import Rides
from tests.pipeline.small_days import RATE_HZ, make_day


def thin(log: Path, every: int) -> None:
    """Keep one row in so many."""
    header, *rows = log.read_text(encoding="ascii").splitlines()
    log.write_text("\n".join([header, *rows[::every]]) + "\n", encoding="ascii")


def own_cutoff(folder: Path, hertz: float) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(f"conditioning = {{ cutoff_hz = {hertz} }}\n{text}", encoding="utf-8")


def cutoffs(folder: Path) -> list[float]:
    """Return what each run's history says its low-pass was."""
    day = telemetry.read_ride_day(folder)
    found = []
    for run in day.runs:
        steps = [step for step in telemetry.load_ride(day, run.name).history if step.stage == "low-pass"]
        found += [float(str(step.parameters["cutoff_hz"])) for step in steps]
    return found


def test_60_hz_where_every_log_is_fast(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b"], seconds=8)
    assert cutoffs(folder) == [60.0] * 4  # two runs, two ends


@pytest.mark.parametrize(("every", "cutoff_hz"), [(2, 0.4 * RATE_HZ / 2), (4, 0.4 * RATE_HZ / 4)])
def test_one_slow_log_lowers_it_for_all(tmp_path: Path, every: int, cutoff_hz: float) -> None:
    folder = make_day(tmp_path / "day", ["a", "b", "a"], seconds=8)
    thin(folder / "run_2.csv", every)
    assert cutoffs(folder) == pytest.approx([cutoff_hz] * 6, rel=1e-6)
    assert Rides(telemetry.read_ride_day(folder)).low_pass.cutoff_hz == pytest.approx(cutoff_hz, rel=1e-6)


def test_a_day_may_ask_for_its_own(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b"], seconds=8)
    own_cutoff(folder, 30)
    assert cutoffs(folder) == [30.0] * 4
    thin(folder / "run_2.csv", 5)
    assert cutoffs(folder) == pytest.approx([20.0] * 4, rel=1e-6)


def test_every_output_prints_it(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b"], seconds=8)
    thin(folder / "run_1.csv", 4)
    assert telemetry.analyse(telemetry.read_ride_day(folder)).to_dict()["conditioning"]["cutoff_hz"] == pytest.approx(
        0.4 * RATE_HZ / 4, rel=1e-6
    )


def told(folder: Path) -> list[str]:
    """Return which runs are told that they lower the low-pass of all."""
    runs = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    return [run.entry.name for run in runs if any(item.code == "lowers_low_pass" for item in run.findings)]


def test_the_run_that_lowers_it_is_named(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b", "a"], seconds=8)
    thin(folder / "run_2.csv", 4)
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    assert told(folder) == ["run_2"]
    (finding,) = [item for item in analysis.runs[1].findings if item.code == "lowers_low_pass"]
    for words in ("62.5 rows a second", "smoothed at 25 Hz (60 Hz without run_2)", "leave it out (leave_out)"):
        assert words in finding.message
    cleaned = analysis.to_dict()["conditioning"]
    assert cleaned["cutoff_lowered_by"] == ["run_2"]
    assert "low-pass at 25 Hz (60 Hz without run_2), both ways" in cleaned["words"]


def test_left_out_it_lowers_nothing_and_is_smoothed_at_its_own(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ["a", "b", "a"], seconds=8)
    thin(folder / "run_2.csv", 4)
    file = folder / "ride_day.toml"
    file.write_text(file.read_text().replace('log = "run_2.csv"', 'log = "run_2.csv"\nleave_out = "slow"'))
    assert cutoffs(folder) == pytest.approx([60.0, 60.0, 25.0, 25.0, 60.0, 60.0], rel=1e-6)
    assert told(folder) == []


@pytest.mark.parametrize("step_ms", [4000, 0.002])
def test_a_clock_in_another_unit_lowers_nothing(tmp_path: Path, step_ms: float) -> None:
    """A log at 0.25 rows a second smoothed all runs at 0.1 Hz: none of them was ridden any more."""
    folder = make_day(tmp_path / "day", ["a", "b", "a"], seconds=8)
    log = folder / "run_2.csv"
    header, *rows = log.read_text(encoding="ascii").splitlines()
    rows = [f"{place * step_ms:.3f},{row.split(',', 1)[1]}" for place, row in enumerate(rows)]
    log.write_text("\n".join([header, *rows]) + "\n", encoding="ascii")
    runs = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    assert [bool(run.measures) for run in runs] == [True, False, True]
    assert Rides(telemetry.read_ride_day(folder)).low_pass.cutoff_hz == 60.0


@pytest.mark.parametrize(
    ("rates", "by", "without_hz"),
    [
        ((500.0, 500.0, 89.0), ("c",), 60.0),
        ((500.0, 89.0, 90.0), ("b", "c"), 60.0),
        ((89.0, 89.0, 89.0), (), 35.6),
        ((500.0, 200.0, 200.0), (), 60.0),
        ((500.0, 120.0, 89.0), ("c",), 48.0),
        ((500.0, 500.0, 60.0 / 0.4 / 1.04), (), 60.0),
        ((500.0, 500.0, 60.0 / 0.4 / 1.06), ("c",), 60.0),
    ],
)
def test_who_lowers_it(rates: tuple[float, ...], by: tuple[str, ...], without_hz: float) -> None:
    found = low_pass(60.0, dict(zip("abc", rates, strict=True)))
    assert (found.by, found.without_hz) == (by, pytest.approx(without_hz))
