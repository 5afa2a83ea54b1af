"""A change to the file changes what it says it changes, and not a byte besides."""

from __future__ import annotations

import copy
import datetime as dt
import os
import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import telemetry
from telemetry.errors import CallError, RideDayError
from telemetry.ride_day import (
    AddRun,
    Bounds,
    ChangedFileError,
    Edit,
    LeaveOut,
    NameFocus,
    PlaceMark,
    PlaceStretch,
    propose,
    write,
)
from tests.forked import begun
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


def lines(folder: Path, *edits: Edit) -> list[tuple[str, str]]:
    found = propose(telemetry.read_ride_day(folder), edits)
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
    edit = telemetry.read_ride_day(folder).comparison
    assert edit.focus == (("dynamic_sag", "front"), ("packing", "rear"))
    assert edit.named_at == NOW.replace(microsecond=0)


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


@pytest.mark.parametrize(
    ("zone", "written"), [("+02:00", "2026-05-16T14:30:05+02:00"), ("Z", "2026-05-16T12:30:05Z"), ("-07:00", None)]
)
def test_a_new_runs_time_is_written_in_the_zone_of_the_others(folder: Path, zone: str, written: str | None) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for name, value in (("a", "10:00:00"), ("b", "09:00:00")):
        text = text.replace(f'setup = "{name}"\n', f'setup = "{name}"\nstarted_at = 2026-05-16T{value}{zone}\n')
    file.write_text(text.rstrip("\n"), encoding="utf-8")
    write_log(folder / "run_3.csv", *trail(5.0, 3))
    moment = NOW.replace(tzinfo=dt.UTC)
    shown = lines(folder, AddRun(log="run_3.csv", setup="a", started_at=moment))
    assert shown[-1] == ("+", f"started_at = {written or '2026-05-16T05:30:05-07:00'}")
    assert tomllib.loads(file.read_text(encoding="utf-8"))["runs"][2]["started_at"] == moment.replace(microsecond=0)
    assert [run.name for run in telemetry.read_ride_day(folder).runs][-1] == "run_3" or zone == "-07:00"


def test_a_moment_is_written_as_the_clock_here_shows_it_where_no_zone_is(folder: Path) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for name, value in (("a", "10:00:00"), ("b", "09:00:00")):
        text = text.replace(f'setup = "{name}"\n', f'setup = "{name}"\nstarted_at = 2026-05-16T{value}\n')
    file.write_text(text, encoding="utf-8")
    write_log(folder / "run_3.csv", *trail(5.0, 3))
    moment = NOW.astimezone(dt.timezone(dt.timedelta(hours=9)))
    shown = lines(folder, AddRun(log="run_3.csv", setup="a", started_at=moment))
    assert ("+", "started_at = 2026-05-16T12:30:05") in shown


def test_a_new_run_stands_after_the_others_and_before_what_is_told_of_the_next_table(folder: Path) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(f"{text}# of the last run\n\n# what decides\n[comparison]\nplanned_runs = 3\n", encoding="utf-8")
    write_log(folder / "run_3.csv", *trail(5.0, 3))
    lines(folder, AddRun(log="run_3.csv", setup="b", started_at=NOW))
    assert file.read_text(encoding="utf-8") == (
        f'{text}# of the last run\n\n[[runs]]\nlog = "run_3.csv"\nsetup = "b"\n'
        "\n# what decides\n[comparison]\nplanned_runs = 3\n"
    )


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


def test_each_line_keeps_its_own_end(folder: Path) -> None:
    """One CRLF doesn't turn the others, and what has no end at the end of the file still has none."""
    file = folder / "ride_day.toml"
    text = file.read_bytes().replace(b"\n", b"\r\n", 1).rstrip(b"\n ")
    file.write_bytes(text)
    lines(folder, LeaveOut(run="run_1", reason="wind"))
    assert file.read_bytes() == text.replace(b'setup = "a"\n', b'setup = "a"\nleave_out = "wind"\n')
    write_log(folder / "run_3.csv", *trail(5.0, 3))
    lines(folder, LeaveOut(run="run_1", reason=None), AddRun(log="run_3.csv", setup="a", started_at=NOW))
    assert file.read_bytes().startswith(text)


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
    ("edit", "match"),
    [
        (Bounds(run="run_9", start_s=1.0, end_s=None), "no run 'run_9'"),
        (Bounds(run="run_1", start_s=3.0, end_s=1.0), "later than start_s"),
        (LeaveOut(run="run_1", reason=" \n"), "the reason"),
        (NameFocus(focus=("no_such:front",), named_at=NOW), "no_such"),
        (AddRun(log="run_2.csv", setup="b", started_at=NOW), "the name .run_2."),
        (LeaveOut(run="run_1", reason=None), "nothing to change"),
    ],
)
def test_what_would_be_wrong_is_refused_before_it_is_shown(folder: Path, edit: Bounds, match: str) -> None:
    before = (folder / "ride_day.toml").read_bytes()
    with pytest.raises((CallError, RideDayError), match=match):
        propose(telemetry.read_ride_day(folder), [edit])
    assert (folder / "ride_day.toml").read_bytes() == before


def swapped(text: str) -> str:
    head, first, second = text.partition("[[runs]]")[0], *text.split("[[runs]]")[1:]
    return f"{head}[[runs]]{second}\n[[runs]]{first}"


OUTSIDE = {
    "another line": (lambda text: f"{text}# by hand\n", ""),
    "the runs swapped": (swapped, ""),
    "a run less": (lambda text: text[: text.rindex("[[runs]]")], ""),
    "a run of another name": (lambda text: text.replace('log = "run_1.csv"', 'name = "first"\nlog = "run_1.csv"'), ""),
    "as many letters": (lambda text: text.replace("A test day", "A rest day"), ""),
    "wrong": (lambda text: text.replace("travel_mm", "travle_mm", 1), "bike.front.travle_mm"),
    "no TOML": (lambda text: f"{text}\nnonsense", "valid TOML"),
    "runs that are none": (lambda text: f"runs = [1, 2]\n{text[: text.index('[[runs]]')]}", "runs"),
    "a word for runs": (lambda text: f'runs = "a"\n{text[: text.index("[[runs]]")]}', "runs"),
    "empty": (lambda _: "", "ride_day"),
}


@pytest.mark.parametrize("outside", OUTSIDE)
def test_a_file_changed_since_it_was_read_is_told_with_both(folder: Path, outside: str) -> None:
    day, file = telemetry.read_ride_day(folder), folder / "ride_day.toml"
    edit = LeaveOut(run="run_1", reason="wind")
    found, before = propose(day, [edit]), file.stat()
    change, trouble = OUTSIDE[outside]
    file.write_text(change(file.read_text(encoding="utf-8")), encoding="utf-8")
    os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))
    text = file.read_bytes()
    for ask in (lambda: propose(day, [edit]), lambda: write(found)):
        with pytest.raises(ChangedFileError, match="Look at the change again") as caught:
            ask()
        assert caught.value.proposal == found
        assert ("+", 'leave_out = "wind"') in caught.value.proposal.lines
        assert any(sign in "+-" for sign, _ in caught.value.since)
        assert trouble in caught.value.trouble
        assert bool(trouble) == bool(caught.value.trouble)
        assert copy.copy(caught.value).since == caught.value.since
    assert file.read_bytes() == text


@pytest.mark.parametrize(
    ("become", "trouble"),
    [
        ("another encoding", "isn't UTF-8"),
        ("gone", "no such file"),
        ("a folder", "a folder"),
        ("a pipe", "no ordinary file"),
        ("a link out", "leads out of its folder"),
        ("huge", "MB"),
    ],
)
def test_a_file_that_became_something_else_is_told(folder: Path, tmp_path: Path, become: str, trouble: str) -> None:
    day, file = telemetry.read_ride_day(folder), folder / "ride_day.toml"
    found = propose(day, [LeaveOut(run="run_1", reason="wind")])
    data = file.read_bytes()
    file.unlink()
    match become:
        case "another encoding":
            file.write_bytes(data + "# caf\xe9\n".encode("latin-1"))
        case "a folder":
            file.mkdir()
        case "a pipe":
            os.mkfifo(file)
        case "a link out":
            (tmp_path / "other.toml").write_bytes(data + b"#")
            file.symlink_to(tmp_path / "other.toml")
        case "huge":
            with file.open("wb") as opened:
                opened.truncate(1 << 40)
    with pytest.raises(ChangedFileError) as caught:
        propose(day, [LeaveOut(run="run_1", reason="wind")])
    assert trouble in caught.value.trouble
    with pytest.raises(CallError, match="expected"):
        write(found)


def test_what_was_written_already_may_be_written_once_more(folder: Path) -> None:
    """A page sent twice: what it said is there."""
    found = propose(telemetry.read_ride_day(folder), [LeaveOut(run="run_1", reason="wind")])
    write(found)
    write(found)
    assert (folder / "ride_day.toml").read_bytes() == found.text


def test_a_line_that_steers_the_eye_is_shown_spelled_out(folder: Path) -> None:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("# nothing", "# \u202enothing\t")
    file.write_text(text, encoding="utf-8")
    found = propose(telemetry.read_ride_day(folder), [LeaveOut(run="run_1", reason="wind")])
    assert [line for _, line in found.lines if "nothing" in line] == ["# \\u202enothing   after this"]
    assert "\u202enothing\t" in found.text.decode("utf-8")


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


def test_killed_at_any_moment_the_file_is_whole(folder: Path, tmp_path: Path) -> None:
    day = telemetry.read_ride_day(folder)
    edits = (LeaveOut(run="run_1", reason="x" * 150), LeaveOut(run="run_2", reason="y" * 150))
    whole = {(folder / "ride_day.toml").read_bytes(), *(propose(day, [edit]).text for edit in edits)}
    original = (folder / "ride_day.toml").read_bytes()
    for turn in range(10):
        (folder / "ride_day.toml").write_bytes(original)
        said = tmp_path / f"said_{turn}"
        said.touch()
        process = begun(KILLED, [folder], out=said)
        while process.is_alive() and not said.read_bytes():
            time.sleep(0.001)
        process.join(0.003 * turn)
        assert process.is_alive()
        process.kill()
        process.join()
        assert (folder / "ride_day.toml").read_bytes() in whole


def test_places_and_stretches_are_set_and_moved(folder: Path) -> None:
    """The one named before riding is placed where it stands; one placed in the same run moves; others come beneath."""
    file = folder / "ride_day.toml"
    file.write_text(
        file.read_text(encoding="utf-8")
        + '\n[[stretches]] # named in spring\nname = "bumps"  # at the gate\n\n[comparison]\nbaseline = "a"\n',
        encoding="utf-8",
    )
    assert lines(folder, PlaceStretch(run="run_1", name="bumps", start_s=1.5, end_s=3.0)) == [
        ("+", 'run = "run_1"'),
        ("+", "start_s = 1.5"),
        ("+", "end_s = 3.0"),
    ]
    moved = lines(folder, PlaceStretch(run="run_1", name="bumps", start_s=1.25, end_s=3.0))
    assert moved == [("-", "start_s = 1.5"), ("+", "start_s = 1.25")]
    lines(folder, PlaceStretch(run="run_2", name="bumps", start_s=2.0, end_s=4.0))
    lines(folder, PlaceMark(run="run_2", name='the "gate"', at_s=2.5))
    assert lines(folder, PlaceMark(run="run_2", name='the "gate"', at_s=2.6)) == [
        ("-", "at_s = 2.5"),
        ("+", "at_s = 2.6"),
    ]
    day = telemetry.read_ride_day(folder)
    told = [(one.name, one.run, one.start_s, one.end_s) for one in day.stretches]
    assert told == [("bumps", "run_1", 1.25, 3.0), ("bumps", "run_2", 2.0, 4.0)]
    assert [(mark.name, mark.run, mark.at_s) for mark in day.marks] == [('the "gate"', "run_2", 2.6)]
    text = file.read_text(encoding="utf-8")
    assert "[[stretches]] # named in spring" in text
    assert 'name = "bumps"  # at the gate' in text


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (PlaceMark(run="run_9", name="gate", at_s=1.0), "no run 'run_9'"),
        (PlaceMark(run="run_1", name=" ", at_s=1.0), "what the place is called"),
        (PlaceStretch(run="run_1", name="braking", start_s=1.0, end_s=2.0), "name of a phase"),
        (PlaceStretch(run="run_1", name="bumps", start_s=2.0, end_s=1.0), "later than start_s"),
    ],
)
def test_a_place_that_makes_no_sense_is_refused(folder: Path, edit: PlaceMark | PlaceStretch, why: str) -> None:
    before = (folder / "ride_day.toml").read_bytes()
    with pytest.raises((CallError, RideDayError), match=why):
        propose(telemetry.read_ride_day(folder), [edit])
    assert (folder / "ride_day.toml").read_bytes() == before
