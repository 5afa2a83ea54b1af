"""Changes as pages ask for them: what is shown holds for a while, and tells what has become of its file."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

import telemetry
from dashboards.pages.writing import LONGEST_SHOWN, moment_of, outlived, show, template_of
from telemetry.errors import CallError
from tests.pipeline.small_days import make_day, trail, write_log

NOW = dt.datetime(2026, 5, 16, 12, 30, 5, tzinfo=dt.UTC)
FOCUS = (("what", "focus"), ("focus", "packing:rear"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_day(tmp_path / "day", ("a", "b"), seconds=2.0)


@pytest.mark.parametrize(("later", "holds"), [(0, True), (1, True), (-0.01, False), (1.01, False)])
def test_what_decides_is_named_when_it_is_written(folder: Path, later: float, *, holds: bool) -> None:
    """A page left open over the ride would date it before the ride."""
    day = telemetry.read_ride_day(folder)
    shown = show(day, FOCUS, NOW)
    assert (outlived(day, shown, NOW + later * LONGEST_SHOWN) is None) == holds
    other = show(day, (("what", "leave_out"), ("name", "run_1"), ("reason", "fell")), NOW)
    assert outlived(day, other, NOW + 9 * LONGEST_SHOWN) is None


def test_a_new_log_is_dated_by_its_file(folder: Path) -> None:
    log = folder / "run_3.csv"
    write_log(log, *trail(2.0, 3))
    os.utime(log, (NOW.timestamp(), NOW.timestamp()))
    day = telemetry.read_ride_day(folder)
    fields = (("what", "run"), ("name", "run_3.csv"), ("setup_of", "b"))
    shown = show(day, fields, moment_of(day, fields, NOW + dt.timedelta(hours=1)))
    assert shown.at == NOW
    assert outlived(day, shown, NOW) is None
    os.utime(log, (1, 1))
    refusal = outlived(day, shown, NOW)
    assert refusal is not None
    assert "run_3.csv was written again" in refusal.line
    log.unlink()
    with pytest.raises(CallError, match=r"no new log .run_3\.csv."):
        outlived(day, shown, NOW)


def test_a_file_that_differs_in_its_line_ends_alone_says_so(folder: Path) -> None:
    day, file = telemetry.read_ride_day(folder), folder / "ride_day.toml"
    file.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    shown = show(day, FOCUS, NOW)
    assert template_of(shown) == "unwritten.html"
    assert shown.refusal is not None
    assert "line ends" in shown.refusal.line
    assert (shown.refusal.since, shown.refusal.trouble) == ((), "")


def test_the_link_asks_for_the_same_again(folder: Path) -> None:
    fields = (("what", "leave_out"), ("name", "run_1"), ("reason", "fell & slid"))
    link = show(telemetry.read_ride_day(folder), fields, NOW).link("a day")
    assert link == "?day=a+day&page=write&what=leave_out&name=run_1&reason=fell+%26+slid"
