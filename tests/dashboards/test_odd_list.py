"""The list of days stands, whatever one of them is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from dashboards.serving.complaints import what_went_wrong
from dashboards.serving.glance import glance
from dashboards.serving.read_day import read_whole
from telemetry.errors import CallError
from telemetry.ride_day import read_ride_day
from tests.pipeline.small_days import make_day


def test_a_glance_tells_title_date_and_setups(tmp_path: Path) -> None:
    seen = glance(
        make_day(tmp_path / "day", ("a", "b"), seconds=2.0, labels={"a": "one", "b": "two"}) / "ride_day.toml"
    )
    assert (seen.title, seen.setups, seen.wrong) == ("A test day", ("one", "two"), "")
    assert seen.date.year > 2000


def test_a_day_in_a_folder_without_a_readable_name_has_a_title_that_is_text(tmp_path: Path) -> None:
    folder = make_day(tmp_path / os.fsdecode(b"day_\xff"), ("a",), seconds=10.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join(line for line in text if not line.startswith("title")), encoding="utf-8")
    assert glance(file).title == "day_\ufffd"
    assert read_whole(read_ride_day(file)).day.title == "day_\ufffd"


OUT_OF_DEPTH = """
import inspect, sys
from pathlib import Path
from dashboards.pages.day_list import Glance
from dashboards.serving.glance import glance
sys.setrecursionlimit(len(inspect.stack()) + 16)
seen = glance(Path(sys.argv[1]))
sys.setrecursionlimit(1000)
assert seen == Glance(wrong=seen.wrong)
sys.stdout.write(seen.wrong)
"""


def test_a_day_that_nests_too_deep_to_be_read_is_told(tmp_path: Path) -> None:
    """In a process of its own: how deep it may go there doesn't hang on who calls."""
    file = make_day(tmp_path / "day", ("a",), seconds=2.0) / "ride_day.toml"
    call = [sys.executable, "-c", OUT_OF_DEPTH, str(file)]
    done = subprocess.run(call, capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2])
    assert "RecursionError" in done.stdout


def test_whatever_is_raised_is_one_line() -> None:
    assert what_went_wrong(CallError("here", "a", "b")) == "here: found a; expected b"
    assert what_went_wrong(MemoryError()).startswith("too little memory")
    assert what_went_wrong(KeyError("x\ny")) == "the program's own fault: KeyError: 'x\\ny'. Please report it"
