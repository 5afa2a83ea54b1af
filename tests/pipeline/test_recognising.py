"""What a log is that a day doesn't mention: its kind by name before its signals, and the run it stands before."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from telemetry.pipeline import recognise_log, recognise_logs
from telemetry.ride_day import read_ride_day
from tests import riders_logs as made

DAY = """\
[ride_day]
date = 2026-05-16
[bike.front]
travel_mm = 170
[bike.rear]
travel_mm = 165
stroke_mm = 62.5
ratio = 2.64
[sensors.fork]
kind = "displacement"
end = "front"
column = "A0"
points = [[212, 0.0], [3770, 170.0]]
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = "A1"
points = [[305, 0.0], [3601, 62.5]]
[setups.one]
label = "one"
"""
BOTH = {"front": made.FORK, "rear": made.SHOCK}


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("logs")
    for kind, motion in made.MOTIONS.items():
        made.write(folder / f"{kind}.csv", motion(3), BOTH, made.Form())
    return folder


def day_with(folder: Path, *runs: str, logs: Path) -> None:
    for name in runs:
        shutil.copy(logs / "run.csv", folder / name)
    text = DAY + "".join(f'[[runs]]\nlog = "{name}"\nsetup = "one"\n' for name in runs)
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")


@pytest.mark.parametrize("kind", made.MOTIONS)
def test_a_name_that_says_nothing_is_told_by_the_signals(tmp_path: Path, logs: Path, kind: str) -> None:
    day_with(tmp_path, "run_1.csv", logs=logs)
    shutil.copy(logs / f"{kind}.csv", tmp_path / "LOG_0042.csv")
    what = recognise_log(read_ride_day(tmp_path), tmp_path / "LOG_0042.csv").what
    assert (what.kind, what.sure) == (kind, kind == "run")
    assert bool(what.question) is (kind != "run")
    assert what.let_go == ("compressed" if kind == "settle" else None)


@pytest.mark.parametrize("kind", made.MOTIONS)
def test_a_name_that_says_so_needs_no_question(tmp_path: Path, logs: Path, kind: str) -> None:
    day_with(tmp_path, "run_1.csv", logs=logs)
    shutil.copy(logs / f"{kind}.csv", tmp_path / f"{kind}_2.csv")
    what = recognise_log(read_ride_day(tmp_path), tmp_path / f"{kind}_2.csv").what
    assert (what.kind, what.question) == (kind, "")


@pytest.mark.parametrize(
    ("name", "does", "told"),
    [
        ("lifted_2.csv", "run", "it moves as a run does"),
        ("lifted_2.csv", "sag", "28 % down"),
        ("sag_2.csv", "lifted", "both ends rest topped out"),
        ("bounce_2.csv", "sag", "nothing moves"),
        ("run_2.csv", "lifted", "both ends rest topped out"),
    ],
)
def test_a_name_that_the_signals_speak_against_is_asked(
    tmp_path: Path, logs: Path, name: str, does: str, told: str
) -> None:
    day_with(tmp_path, "run_1.csv", logs=logs)
    shutil.copy(logs / f"{does}.csv", tmp_path / name)
    what = recognise_log(read_ride_day(tmp_path), tmp_path / name).what
    assert what.disagree
    assert told in what.question


def test_a_recording_stands_before_the_run_of_its_number_and_the_last_before_none(tmp_path: Path, logs: Path) -> None:
    day_with(tmp_path, "run_1.csv", "run_2.csv", logs=logs)
    for name in ("lifted_1.csv", "lifted_2.csv", "lifted_11.csv"):
        shutil.copy(logs / "lifted.csv", tmp_path / name)
    day = read_ride_day(tmp_path)
    found, _ = recognise_logs(day, [tmp_path / f"lifted_{number}.csv" for number in (11, 1, 2)])
    assert [(item.log.name, item.before_run, item.after_all) for item in found] == [
        ("lifted_1.csv", "run_1", False),
        ("lifted_2.csv", "run_2", False),
        ("lifted_11.csv", None, True),
    ]


def test_a_recording_named_after_a_run_stands_before_the_next(tmp_path: Path, logs: Path) -> None:
    day_with(tmp_path, "run_A1.csv", "run_B1.csv", "run_B2.csv", logs=logs)
    for name in ("lifted_after_run_B1.csv", "lifted_before_run_B1.csv"):
        shutil.copy(logs / "lifted.csv", tmp_path / name)
    day = read_ride_day(tmp_path)
    before = {
        name: recognise_log(day, tmp_path / f"lifted_{name}_run_B1.csv").before_run for name in ("after", "before")
    }
    assert before == {"after": "run_B2", "before": "run_B1"}


def test_a_file_for_each_end_is_one_run(tmp_path: Path, logs: Path) -> None:
    day_with(tmp_path, "run_1.csv", logs=logs)
    for end, sensor in BOTH.items():
        made.write(tmp_path / f"{end}_10.csv", made.run(4), {end: sensor}, made.Form())
        made.write(tmp_path / f"{end}_9.csv", made.run(5), {end: sensor}, made.Form())
    new = [path for path in tmp_path.glob("*_*.csv") if path.name != "run_1.csv"]
    found, failed = recognise_logs(read_ride_day(tmp_path), new)
    assert failed == ()
    assert [(item.name, item.log.name, item.rear_log and item.rear_log.name) for item in found] == [
        ("run_9", "front_9.csv", "rear_9.csv"),
        ("run_10", "front_10.csv", "rear_10.csv"),
    ]


def test_a_log_without_the_days_columns_says_which_sensors_lack(tmp_path: Path, logs: Path) -> None:
    day_with(tmp_path, "run_1.csv", logs=logs)
    made.write(tmp_path / "other.csv", made.run(4), {"front": made.FORK}, made.Form())
    assert recognise_log(read_ride_day(tmp_path), tmp_path / "other.csv").lacking == ("shock",)
