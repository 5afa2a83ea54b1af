"""Files a day or a call names: ordinary ones only, inside their folder, no larger than makes sense."""

from __future__ import annotations

import gzip
import os
import subprocess
from pathlib import Path

import pytest

from telemetry.errors import CallError, LogError, RideDayError
from telemetry.files import write_text
from telemetry.logs import read_log
from telemetry.model.day import LogOptions
from telemetry.pipeline import new_logs
from telemetry.ride_day import read_ride_day
from telemetry.simulation.scenario import read_scenario
from tests.forked import done
from tests.pipeline.small_days import make_day


def assert_refused(ended: subprocess.CompletedProcess[str], *words: str) -> None:
    assert ended.returncode == 2, ended.stderr
    (line,) = ended.stderr.splitlines()
    assert all(word in line for word in ("expected", *words)), line


@pytest.fixture
def day(tmp_path: Path) -> Path:
    return make_day(tmp_path / "day", ("a", "b"), seconds=10.0)


def test_a_day_file_that_links_out_of_its_folder_is_refused(day: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "ride_day.toml").symlink_to(day / "ride_day.toml")
    with pytest.raises(CallError, match="found a link that leads out of its folder"):
        read_ride_day(other)
    assert_refused(done("check", other), "a link that leads out of its folder")


def test_a_day_file_that_links_to_one_beside_it_is_read(day: Path) -> None:
    (day / "ride_day.toml").rename(day / "morning.toml")
    (day / "ride_day.toml").symlink_to("morning.toml")
    assert len(read_ride_day(day).runs) == 2


@pytest.mark.parametrize("kind", ["folder", "fifo", "device", "link out"])
def test_a_leverage_file_is_an_ordinary_file_inside(kind: str, day: Path, tmp_path: Path) -> None:
    file = day / "curve.csv"
    (tmp_path / "curve.csv").write_text("stroke_mm,travel_mm\n0,0\n60,150\n", encoding="ascii")
    if kind == "folder":
        file.mkdir()
    elif kind == "fifo":
        os.mkfifo(file)
    else:
        file.symlink_to("/dev/zero" if kind == "device" else tmp_path / "curve.csv")
    toml = day / "ride_day.toml"
    toml.write_text(toml.read_text(encoding="utf-8").replace("ratio = 2.5", 'leverage = "curve.csv"'), encoding="utf-8")
    with pytest.raises(RideDayError, match=r"leverage.*(folder|no ordinary file|leads out)"):
        read_ride_day(day)


@pytest.mark.parametrize("kind", ["fifo", "device", "folder"])
def test_another_day_for_the_plan_is_an_ordinary_file(kind: str, day: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    if kind == "fifo":
        os.mkfifo(other)
    elif kind == "device":
        other.symlink_to("/dev/zero")
    else:
        other.mkdir()
    with (day / "ride_day.toml").open("a", encoding="utf-8") as file:
        file.write('[plan]\nspread_from = "../other.toml"\n')
    with pytest.raises(RideDayError, match=r"plan\.spread_from"):
        read_ride_day(day)


def test_what_is_no_log_is_passed_over_by_whoever_looks_for_logs(day: Path, tmp_path: Path) -> None:
    (day / "folder.csv").mkdir()
    os.mkfifo(day / "pipe.csv")
    (day / "device.csv").symlink_to("/dev/zero")
    (tmp_path / "outside.csv").write_text("t_ms,A0,A1\n", encoding="ascii")
    (day / "linked.csv").symlink_to(tmp_path / "outside.csv")
    (day / ".run_9.csv.abcd1234.part").write_text("t_ms,A0,A1\n", encoding="ascii")
    (day / "real.csv").write_text("t_ms,A0,A1\n", encoding="ascii")
    for path in (*day.iterdir(), tmp_path / "outside.csv"):  # what was written a moment ago is passed over anyhow
        if path.name != "device.csv":
            os.utime(path, (0, 0))
    assert [path.name for path in new_logs(read_ride_day(day))] == ["real.csv"]


@pytest.mark.parametrize("kind", ["fifo", "device", "folder", "large", "deep"])
def test_a_scenario_is_an_ordinary_file_of_sensible_size(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "scenario.toml"
    found = "no ordinary file"
    if kind == "fifo":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "folder":
        path.mkdir()
        found = "a folder"
    elif kind == "large":
        with path.open("wb") as file:
            file.truncate(6_000_000)
        found = "6 MB"
    else:
        path.write_text("a = " + "[" * 5000, encoding="ascii")
        found = ""
    with pytest.raises(RideDayError, match=f"file: found {found}"):
        read_scenario(path)


def test_a_large_leverage_file_is_refused(day: Path) -> None:
    with (day / "curve.csv").open("wb") as file:
        file.truncate(1_000_001)
    toml = day / "ride_day.toml"
    text = toml.read_text(encoding="utf-8").replace("ratio = 2.5", 'leverage = "curve.csv"')
    toml.write_text(text, encoding="utf-8")
    with pytest.raises(RideDayError, match="a file over 1 MB"):
        read_ride_day(day)


def test_a_small_packed_log_that_swells_is_refused_before_it_has_swollen(tmp_path: Path) -> None:
    """Members of a gzip file simply follow one another: RFC 1952, 2.2."""
    head = gzip.compress(b"t_ms,fork\n" + b"".join(b"%d,%d\n" % (2 * i, i % 4000) for i in range(20_000)), mtime=0)
    member = gzip.compress(b"9,9\n" * (16 << 20), mtime=0)
    path = tmp_path / "swells.csv.gz"
    path.write_bytes(head + member * 17)
    assert path.stat().st_size < 3_000_000
    with pytest.raises(LogError, match=r"swells\.csv\.gz: found more than 1 GB when unpacked"):
        read_log(path, needed=("fork",), options=LogOptions())


@pytest.mark.parametrize("kind", ["fifo", "device"])
def test_a_special_file_is_never_replaced(kind: str, day: Path, tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    if kind == "fifo":
        os.mkfifo(target)
    else:
        target.symlink_to("/dev/null")
    before = target.lstat()
    with pytest.raises(CallError, match="no ordinary file"):
        write_text(target, "x")
    assert_refused(done("report", day, "--out", target), "no ordinary file")
    assert target.lstat().st_ino == before.st_ino
