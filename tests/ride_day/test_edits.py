"""A change to the file changes what it says it changes, and not a byte besides."""

from __future__ import annotations

import datetime as dt
import os
import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import telemetry
from telemetry.errors import CallError, RideDayError
from telemetry.ride_day import AddRun, Bounds, LeaveOut, NameFocus, propose, write
from tests.pipeline.small_days import make_day, trail, write_log

NOW = dt.datetime(2026, 5, 16, 12, 30, 5, 123456)
COMMENTED = """\
[[runs]] # the first of the day
log = "run_1.csv"   # card 2
setup = "a"
# nothing after this

[[runs]]
setup = "b"
log = "run_2.csv"
  # an indented word
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = make_day(tmp_path / "day", ("a", "b"), seconds=5.0)
    file = made / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[[runs]]")] + COMMENTED, encoding="utf-8")
    return made


def lines(folder: Path, *wishes: Bounds | LeaveOut | NameFocus | AddRun) -> list[tuple[str, str]]:
    found = propose(telemetry.read_ride_day(folder), wishes)
    write(found)
    return [line for line in found.lines if line[0] in "+-"]


def test_marks_of_a_run_come_into_its_own_table(folder: Path) -> None:
    before = (folder / "ride_day.toml").read_text(encoding="utf-8").splitlines()
    assert lines(folder, Bounds(run="run_1", start_s=0.5, end_s=4.25)) == [
        ("+", "start_s = 0.5"),
        ("+", "end_s = 4.25"),
    ]
    after = (folder / "ride_day.toml").read_text(encoding="utf-8").splitlines()
    assert [line for line in after if line not in ("start_s = 0.5", "end_s = 4.25")] == before
    run = telemetry.read_ride_day(folder).run("run_1")
    assert (run.start_s, run.end_s) == (0.5, 4.25)


def test_marks_go_again(folder: Path) -> None:
    before = (folder / "ride_day.toml").read_bytes()
    lines(folder, Bounds(run="run_2", start_s=0.5, end_s=None))
    assert lines(folder, Bounds(run="run_2", start_s=None, end_s=None)) == [("-", "start_s = 0.5")]
    assert (folder / "ride_day.toml").read_bytes() == before


def test_a_run_is_left_out_and_taken_back(folder: Path) -> None:
    lines(folder, LeaveOut(run="run_2", reason="fell in section 3"))
    assert telemetry.read_ride_day(folder).run("run_2").leave_out == "fell in section 3"
    lines(folder, LeaveOut(run="run_2", reason=None))
    assert telemetry.read_ride_day(folder).run("run_2").leave_out is None


def test_the_focus_is_named_with_the_time(folder: Path) -> None:
    lines(folder, NameFocus(focus=("dynamic_sag:front", "packing:rear"), named_at=NOW))
    wish = telemetry.read_ride_day(folder).comparison
    assert wish.focus == (("dynamic_sag", "front"), ("packing", "rear"))
    assert wish.named_at == NOW.replace(microsecond=0)


def test_a_new_log_becomes_the_last_run(folder: Path) -> None:
    write_log(folder / "run_3.csv", *trail(5.0, 3))
    lines(folder, AddRun(log="run_3.csv", setup="b", started_at=NOW))
    day = telemetry.read_ride_day(folder)
    assert [run.name for run in day.runs] == ["run_1", "run_2", "run_3"]
    assert day.run("run_3").setup == "b"
    assert day.run("run_3").started_at is None


@pytest.mark.parametrize("key", ["started_at", "order"])
def test_a_new_run_is_told_in_order_as_the_others_are(folder: Path, key: str) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    values = {"started_at": ("2026-05-16T10:00:00", "2026-05-16T09:00:00"), "order": ("2", "1")}[key]
    for name, value in zip(("a", "b"), values, strict=True):
        text = text.replace(f'setup = "{name}"\n', f'setup = "{name}"\n{key} = {value}\n')
    file.write_text(text, encoding="utf-8")
    write_log(folder / "run_3.csv", *trail(5.0, 3))
    lines(folder, AddRun(log="run_3.csv", setup="a", started_at=NOW), LeaveOut(run="run_2", reason="first"))
    day = telemetry.read_ride_day(folder)
    assert [run.name for run in day.runs] == ["run_2", "run_1", "run_3"]
    assert day.runs[0].leave_out == "first"


def test_runs_in_one_line_keep_their_form(folder: Path) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    head, tail = text.split("[ride_day]", 1)
    runs = 'runs = [ { log = "run_1.csv", setup = "a" }, # one\n  { log = "run_2.csv", setup = "b" },\n]\n'
    file.write_text(head + runs + "[ride_day]" + tail[: tail.index("[[runs]]")], encoding="utf-8")
    lines(folder, LeaveOut(run="run_2", reason="fell"))
    after = file.read_text(encoding="utf-8")
    assert "# one" in after
    assert telemetry.read_ride_day(folder).run("run_2").leave_out == "fell"


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
def test_line_ends_and_a_byte_order_mark_stay(folder: Path, bom: bytes) -> None:
    file = folder / "ride_day.toml"
    file.write_bytes(bom + file.read_bytes().replace(b"\n", b"\r\n"))
    lines(folder, LeaveOut(run="run_1", reason="wind"))
    after = file.read_bytes()
    assert after.startswith(bom + b"[ride_day]\r\n")
    assert after.count(b"\n") == after.count(b"\r\n")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow], max_examples=60)
@given(reason=st.text(min_size=1, max_size=60))
def test_whatever_the_reason_it_reads_back(folder: Path, reason: str) -> None:
    day = telemetry.read_ride_day(folder)
    try:
        found = propose(day, [LeaveOut(run="run_1", reason=reason)])
    except CallError:
        assert not telemetry.errors.clean_text(reason)
        return
    except UnicodeEncodeError:
        pytest.fail("a reason that can't be written has to be refused")
    told = tomllib.loads(found.text.decode("utf-8"))["runs"][0]["leave_out"]
    assert told == telemetry.errors.clean_text(reason, longest=200)


@pytest.mark.parametrize(
    ("wish", "match"),
    [
        (Bounds(run="run_9", start_s=1.0, end_s=None), "no run 'run_9'"),
        (Bounds(run="run_1", start_s=3.0, end_s=1.0), "later than start_s"),
        (LeaveOut(run="run_1", reason=" \n"), "the reason"),
        (NameFocus(focus=("no_such:front",), named_at=NOW), "no_such"),
        (AddRun(log="run_2.csv", setup="b", started_at=NOW), "the name .run_2."),
        (LeaveOut(run="run_1", reason=None), "nothing to change"),
    ],
)
def test_what_would_be_wrong_is_refused_before_it_is_shown(folder: Path, wish: Bounds, match: str) -> None:
    before = (folder / "ride_day.toml").read_bytes()
    with pytest.raises((CallError, RideDayError), match=match):
        propose(telemetry.read_ride_day(folder), [wish])
    assert (folder / "ride_day.toml").read_bytes() == before


def test_a_file_changed_meanwhile_is_not_written_over(folder: Path) -> None:
    found = propose(telemetry.read_ride_day(folder), [LeaveOut(run="run_1", reason="wind")])
    file = folder / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
    with pytest.raises(CallError, match="Look at the change again"):
        write(found)
    assert file.read_text(encoding="utf-8").endswith("# by hand\n")


KILLED = """
import sys, telemetry
from telemetry.ride_day import LeaveOut, propose, write
day = telemetry.read_ride_day(sys.argv[1])
change = propose(day, [LeaveOut(run="run_1", reason="x" * 150)])
back = propose(day, [LeaveOut(run="run_2", reason="y" * 150)])
sys.stdout.write("ready\\n"); sys.stdout.flush()
from telemetry.files import write_bytes
while True:
    for one in (change, back):
        write_bytes(one.path, one.text)
"""


def test_killed_at_any_moment_the_file_is_whole(folder: Path) -> None:
    day = telemetry.read_ride_day(folder)
    wishes = (LeaveOut(run="run_1", reason="x" * 150), LeaveOut(run="run_2", reason="y" * 150))
    whole = {(folder / "ride_day.toml").read_bytes(), *(propose(day, [wish]).text for wish in wishes)}
    original = (folder / "ride_day.toml").read_bytes()
    for turn in range(10):
        (folder / "ride_day.toml").write_bytes(original)
        process = subprocess.Popen(
            [sys.executable, "-c", KILLED, str(folder)], stdout=subprocess.PIPE, env={**os.environ}, text=True
        )
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        try:
            process.wait(timeout=0.003 * turn)
        except subprocess.TimeoutExpired:
            process.send_signal(signal.SIGKILL)
        process.wait(timeout=10)
        process.stdout.close()
        assert (folder / "ride_day.toml").read_bytes() in whole
