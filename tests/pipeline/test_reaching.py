"""A wrong file hides nothing of its logs: what they lack is told in the same round."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from telemetry.errors import RideDayError
from telemetry.pipeline import read_and_reach
from tests.cli.run_here import commanded
from tests.pipeline.small_days import make_day

RIGHT = "points = [[100, 0.0], [3300, 160.0]]"
WRONG = "points = [100, 0.0]"


def bent(folder: Path, *edits: tuple[str, str]) -> Path:
    """Write a day of two short runs, bent."""
    make_day(folder, ("a", "b"), seconds=1.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    file.write_text(text, encoding="utf-8")
    return folder


def told(folder: Path) -> dict[str, str]:
    with pytest.raises(RideDayError, match=r"ride_day\.toml") as caught:
        read_and_reach(folder)
    return {problem.key: problem.found for problem in caught.value.problems}


def test_columns_are_looked_for_even_those_of_a_wrong_sensor(tmp_path: Path) -> None:
    day = bent(tmp_path, (RIGHT, WRONG), ('"A0"', '"A8"'), ('"A1"', '"A9"'))
    assert told(day) == {
        "sensors.fork.points": "[100, 0.0]",
        "sensors.fork.column": "no column 'A8' in run_1.csv, run_2.csv",
        "sensors.shock.column": "no column 'A9' in run_1.csv, run_2.csv",
    }


def test_the_clocks_column_too(tmp_path: Path) -> None:
    day = bent(tmp_path, (RIGHT, WRONG), ('column = "t_ms"', 'column = "time"'))
    assert told(day)["log.time.column"] == "no column 'time' in run_1.csv, run_2.csv"


def test_a_log_that_cannot_be_read_or_is_not_there(tmp_path: Path) -> None:
    day = bent(tmp_path, (RIGHT, WRONG))
    (day / "run_1.csv").write_bytes(b"")
    (day / "run_2.csv").unlink()
    assert set(told(day)) == {"sensors.fork.points", "runs[2].log", "run_1.csv"}


def test_check_lists_them_for_people_and_programs(tmp_path: Path) -> None:
    day = bent(tmp_path, (RIGHT, WRONG), ('"A1"', '"A9"'))
    done = commanded("check", day)
    assert (done.returncode, len(done.stdout.splitlines()), len(done.stderr.splitlines())) == (2, 2, 1)
    errors = json.loads(commanded("check", day, "--json").stdout)["errors"]
    assert [item["key"] for item in errors] == ["sensors.fork.points", "sensors.shock.column"]


def test_a_right_file_is_read(tmp_path: Path) -> None:
    assert len(read_and_reach(bent(tmp_path)).runs) == 2


def test_all_columns_that_a_log_lacks_are_told_at_once(tmp_path: Path) -> None:
    done = commanded("analyse", bent(tmp_path, ('"A0"', '"A8"'), ('"A1"', '"A9"')))
    assert done.returncode == 2
    assert "no column 'A8' and no column 'A9'" in done.stderr
