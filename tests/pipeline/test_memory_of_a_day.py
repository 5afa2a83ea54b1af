"""A ceiling holds for the whole process: the program, one log or many, and what is kept of each."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from telemetry import memory, read_ride_day
from telemetry.errors import LogError
from telemetry.logs import bytes_to_keep, bytes_to_measure
from telemetry.pipeline import analysis_of, report_parts, study
from telemetry.pipeline.loggers import DayLogs
from tests.pipeline.small_days import make_day

CEILING = 500_000_000
CHECK = """
import os, sys
from telemetry.cli import main
try:
    main(["check", sys.argv[1], "--max-memory", "500MB"])
finally:
    with open("/proc/self/status") as status:
        peak = next(line.split()[1] for line in status if line.startswith("VmHWM"))
    os.write(2, f"@ {peak}".encode())
"""
"""What the system tells of an ended process counts the one that started it, too."""


def checked(day: Path) -> tuple[int, str, int]:
    """Return exit code, error and the most memory held, bytes."""
    done = subprocess.run([sys.executable, "-c", CHECK, str(day)], capture_output=True, text=True, check=False)
    said, _, peak = done.stderr.rpartition("@ ")
    return done.returncode, said, int(peak) * 1024


def lengthened(log: Path, times: int) -> None:
    """Let the clock of a log run on over so many more rows that all read alike."""
    with log.open("ab") as file:
        for _ in range(times):
            file.write(b"9000,700,900\n" * 80_000)


def test_one_log_does_not_pass_it_and_the_refusal_names_both(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a",), seconds=2.0)
    lengthened(day / "run_1.csv", 40)
    code, said, peak = checked(day)
    assert code == 2
    assert "run_1.csv: found readings that take 0." in said
    assert "GB to take; expected a log that fits in memory. Split the log, close other programs, or allow more" in said
    assert peak < CEILING


def test_nor_do_many_that_fit_one_by_one(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a", "b") * 12, seconds=20.0)
    long = tmp_path / "long.csv"
    first = (day / "run_1.csv").read_bytes().splitlines(keepends=True)
    cells = [row.split(b",", 1)[1] for row in first[1:]]
    long.write_bytes(first[0] + b"".join(b"%d,%s" % (4 * row, cells[row % len(cells)]) for row in range(230_000)))
    for log in day.glob("*.csv"):
        log.unlink()
        os.link(long, log)
    code, said, peak = checked(day)
    assert code == 2
    assert "expected a day that fits in memory. Split the day, close other programs, or allow more with" in said
    assert peak < CEILING


class TestRoomForADay:
    def test_one_byte_decides(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """The largest log is to be measured; those at hand are to be kept."""
        day = read_ride_day(make_day(tmp_path / "day", ("a", "b"), seconds=20.0))
        logs = [log for run in day.runs for log in DayLogs(day).of(run)]
        needed = bytes_to_measure(logs[0]) + bytes_to_keep(logs[1])
        assert bytes_to_keep(logs[1]) > 0
        monkeypatch.setattr(memory, "room", lambda: needed)
        assert analysis_of(study(day)).unread == ()
        monkeypatch.setattr(memory, "room", lambda: needed - 1)
        with pytest.raises(LogError, match=r"ride_day\.toml: found readings .* expected a day that fits"):
            study(day)

    def test_so_do_the_places_along_the_trail(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        day = read_ride_day(make_day(tmp_path / "day", ("a", "b"), seconds=20.0))
        monkeypatch.setattr(sys.modules["telemetry.pipeline.alongside"], "BYTES_A_ROW", 10**12)
        with pytest.raises(LogError, match=r"ride_day\.toml: found readings .* expected a day that fits"):
            report_parts(day)

    def test_what_is_let_go_of_counts_no_more(self, monkeypatch: pytest.MonkeyPatch) -> None:
        rooms = iter([10, 30])
        monkeypatch.setattr(memory, "room", lambda: next(rooms))
        memory.check_day("day", 20)


def test_a_broken_log_holds_on_to_nothing_that_was_read_of_it(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a", "b", "a"), seconds=20.0)
    (day / "run_3.csv").write_text("t_ms,A0,A1\nx,y,z\n", encoding="ascii")
    found = study(read_ride_day(day)).unread
    assert [(error.__traceback__, error.__context__) for error in found] == [(None, None)]


INERTIAL = """
[ride_day]
date = 2026-05-16
[bike]
[bike.front]
travel_mm = 160
[log]
time = { column = "t_ms", unit = "ms" }
[sensors.crown]
kind = "inertial"
end = "front"
on = "chassis"
columns = { ax = "ax", ay = "ay", az = "az" }
acceleration_unit = "milli-g"
[setups.a]
"""


def test_nor_do_many_of_inertial_sensors_whose_rides_hold_more_than_was_read(tmp_path: Path) -> None:
    runs = [f"run_{number}.csv" for number in range(1, 17)]
    entries = "".join(f'[[runs]]\nlog = "{name}"\nsetup = "a"\n' for name in runs)
    (tmp_path / "ride_day.toml").write_text(INERTIAL + entries, encoding="ascii")
    rng = np.random.default_rng(3)
    cells = [b"%d,%d,%d\n" % (x, y, 1000 + z) for x, y, z in rng.normal(0, 300, (5_000, 3)).astype(int).tolist()]
    with (tmp_path / runs[0]).open("wb") as log:
        log.write(b"t_ms,ax,ay,az\n")
        log.writelines(b"%d,%s" % (4 * row, cells[row % len(cells)]) for row in range(230_000))
    for name in runs[1:]:
        os.link(tmp_path / runs[0], tmp_path / name)
    code, said, peak = checked(tmp_path)
    assert code == 2
    assert "expected a day that fits in memory. Split the day, close other programs, or allow more with" in said
    assert peak < CEILING
