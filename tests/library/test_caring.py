"""Bits flipped, catalogues swapped, files lost: one clear line, what can be is mended, nothing is lost."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

import telemetry
from telemetry import library
from telemetry.library.catalogue import FILE, LAST
from tests.cli.run_here import commanded
from tests.forked import COMMAND, LONGEST_S, begun
from tests.library.conftest import One
from tests.library.small_library import contents, found, kept, said, small_day, state


def flip(file: Path, at: float = 0.5) -> None:
    data = bytearray(file.read_bytes())
    data[int(at * len(data))] ^= 0x10
    file.write_bytes(data)


def checked(root: Path) -> tuple[int, list[str], str]:
    done = commanded("library", "check", "--library", root)
    return done.returncode, done.stdout.splitlines(), done.stderr


def test_a_whole_library_has_nothing_to_mend(one: One) -> None:
    assert checked(one.root) == (0, ["looked at 1 kept version with 9 files; all of it is whole"], "")


@pytest.mark.parametrize("kind", ["originals", "travel"])
def test_a_flipped_bit_in_a_file_is_told_with_its_day(one: One, kind: str) -> None:
    file = max((one.root / kind).glob("*/*"), key=lambda path: path.stat().st_size)
    flip(file)
    code, lines, error = checked(one.root)
    assert code == 2
    assert "1 thing that can't be mended here" in error
    assert lines[0].startswith(f"{one.id}.1, ")
    assert "holds other bytes than were kept" in lines[0]
    assert found(one.root)  # what is whole goes on


def test_a_flipped_bit_is_never_read_as_a_log_and_keeping_again_mends_it(one: One) -> None:
    import telemetry

    file = max((one.root / "originals").glob("*/*"), key=lambda path: path.stat().st_size)
    flip(file)
    with telemetry.open_library(one.root) as days:
        with pytest.raises(telemetry.CallError, match="found other bytes than were kept as run_"):
            days.day(one.id)
        assert "kept already" in commanded("keep", one.day, "--library", one.root).stdout
        assert days.day(one.id).runs
    assert checked(one.root)[0] == 0


def test_a_flipped_bit_in_a_record_is_told(one: One) -> None:
    (record,) = (one.root / "days").iterdir()
    flip(record)
    code, lines, _ = checked(one.root)
    assert code == 2
    assert "found a damaged file" in lines[0]


def test_files_of_a_record_that_can_be_neither_read_nor_found_stay(one: One, tmp_path: Path) -> None:
    older_one = (one.root / FILE).read_bytes()
    kept(small_day(tmp_path / "day", date="2026-07-01"), one.root)
    before = state(one.root)
    (one.root / FILE).write_bytes(older_one)
    flip(next(path for path in (one.root / "days").iterdir() if path.name.startswith("2026-07-01")))
    assert checked(one.root)[0] == 2
    assert {name for name in before if name.startswith(("originals", "travel"))} <= state(one.root).keys()


def damaged(root: Path, _: Path) -> str:
    data = bytearray((root / FILE).read_bytes())
    data[4096:] = bytes(len(data) - 4096)
    (root / FILE).write_bytes(data)
    return "found a damaged catalogue"


def no_catalogue(root: Path, _: Path) -> str:
    (root / FILE).unlink()
    return "found no catalogue beside kept days"


def other_file(root: Path, _: Path) -> str:
    (root / FILE).write_text("t_ms,A0,A1\n" * 1000, encoding="ascii")
    return "found a damaged catalogue"


def older(root: Path, before: Path) -> str:
    shutil.copy(before / FILE, root / FILE)
    return "found an older catalogue"


@pytest.mark.parametrize("harm", [damaged, no_catalogue, other_file, older])
def test_a_harmed_catalogue_is_one_line_and_made_anew_of_the_days(
    one: One, tmp_path: Path, harm: Callable[[Path, Path], str]
) -> None:
    before = Path(shutil.copytree(one.root, tmp_path / "before"))
    day = Path(shutil.copytree(one.day, tmp_path / "copy"))
    kept(said(day, title="changed"), one.root)
    kept(said(day, date="2026-06-01"), one.root)
    wanted, history = found(one.root), commanded("history", "mule", "--library", one.root, "--json").stdout
    said_line = harm(one.root, before)
    for words in (["find"], ["keep", one.day], ["forget", "Ann Example"]):
        done = commanded(*words, "--library", one.root)
        assert done.returncode == 2
        assert said_line in done.stderr
        assert len(done.stderr.splitlines()) == 1
    code, lines, error = checked(one.root)
    assert (code, error) == (0, "")
    assert lines[0].startswith("the catalogue was made anew")
    assert found(one.root) == wanted
    assert commanded("history", "mule", "--library", one.root, "--json").stdout == history
    assert checked(one.root)[1] == ["looked at 3 kept versions with 27 files; all of it is whole"]


def test_a_flipped_bit_anywhere_in_the_catalogue_loses_no_day(one: One) -> None:
    wanted = found(one.root)
    whole = (one.root / FILE).read_bytes()
    for at in (0.001, 0.02, 0.2, 0.5, 0.8):
        (one.root / FILE).write_bytes(whole)
        flip(one.root / FILE, at)
        assert commanded("find", "--library", one.root).returncode in (0, 2)
        assert checked(one.root)[0] == 0
        assert found(one.root) == wanted


def test_a_newer_programs_catalogue_is_refused_and_let_be(one: One) -> None:
    with closing(sqlite3.connect(one.root / FILE)) as db:
        db.execute("PRAGMA user_version = 99")
    before = (one.root / FILE).read_bytes()
    for words in (["find"], ["keep", one.day], ["library", "check"]):
        done = commanded(*words, "--library", one.root)
        assert done.returncode == 2
        assert "found a catalogue of form 99" in done.stderr
    assert (one.root / FILE).read_bytes() == before


def test_another_programs_file_is_refused_and_let_be(one: One) -> None:
    (one.root / FILE).unlink()
    with closing(sqlite3.connect(one.root / FILE)) as db:
        db.execute("CREATE TABLE theirs (a)")
        db.execute("PRAGMA user_version = 1")
        db.commit()
    done = commanded("library", "check", "--library", one.root)
    assert done.returncode == 2
    assert "found another program's file" in done.stderr


def test_files_that_no_day_holds_are_removed_and_others_stay(one: One) -> None:
    before = state(one.root)
    (one.root / "originals" / "ab").mkdir(exist_ok=True)
    (one.root / "originals" / "ab" / ("ab" * 32)).write_text("left by a killed process", encoding="ascii")
    (one.root / "originals" / "readme.txt").write_text("somebody's", encoding="ascii")
    code, lines, _ = checked(one.root)
    assert code == 0
    assert lines[0] == f"removed originals/ab/{'ab' * 32}: no day holds it"
    after = state(one.root)
    assert after.pop("originals/readme.txt") == b"somebody's"
    assert after.keys() == before.keys()


def test_a_lost_note_of_the_last_change_is_no_harm(one: One) -> None:
    (one.root / LAST).unlink()
    assert found(one.root)
    assert json.loads((one.root / LAST).read_text(encoding="utf-8"))["changes"] == 1


def test_a_backup_made_while_days_are_kept_is_a_whole_library(one: One, tmp_path: Path) -> None:
    days = [small_day(tmp_path / f"day_{number}", date=f"2026-07-0{number}") for number in (1, 2)]
    keeping = [begun(COMMAND, ["keep", day, "--library", one.root]) for day in days]
    done = commanded("library", "backup", tmp_path / "copy", "--library", one.root)
    for process in keeping:
        process.join(LONGEST_S)
    assert done.returncode == 0, done.stderr
    assert [process.exitcode for process in keeping] == [0, 0]
    assert checked(tmp_path / "copy")[0] == 0
    assert one.id in [day.id for day in found(tmp_path / "copy")]
    assert len(found(one.root)) == 3
    kept(days[0], tmp_path / "copy")  # it goes on by itself
    again = commanded("library", "backup", tmp_path / "copy", "--library", one.root)
    assert again.returncode == 2
    assert "isn't empty" in again.stderr
    within = commanded("library", "backup", one.root / "copy", "--library", one.root)
    assert "found a place within the library" in within.stderr


CHANGED = {
    "UPDATE versions SET bike = 'Another mule'": "entered",
    "UPDATE versions SET setups = '['": "entered",
    "UPDATE settings SET text = text || 'x', number = 4": "entered",
    "UPDATE measured SET value = value + 1": "entered",
    "UPDATE customers SET name = 'Bob Sample'": "entered",
    "DELETE FROM verdicts": "entered",
    "DELETE FROM spreads": "entered",
    "UPDATE versions SET newest = 0": "made anew",
    "UPDATE state SET value = 'x'": "made anew",
    "DELETE FROM state": "made anew",
    "DROP TABLE records_due": "made anew",
    "DROP TABLE versions": "made anew",
    "DELETE FROM versions": "made anew",
    "UPDATE days SET id = '../../x'": "made anew",
    "UPDATE in_force SET setting = setting + 900": "made anew",
}


@pytest.mark.parametrize("statement", CHANGED)
def test_a_catalogue_that_says_other_than_was_kept_is_mended(one: One, statement: str) -> None:
    """What a flipped bit may make of a row, and what leaves every page whole."""
    wanted, history = found(one.root), commanded("history", "mule", "--library", one.root, "--json").stdout
    with closing(sqlite3.connect(one.root / FILE)) as db:
        db.execute(statement)
        db.commit()
    for words in (["find"], ["history", "mule"]):
        assert commanded(*words, "--library", one.root).returncode in (0, 2)
    code, lines, error = checked(one.root)
    assert (code, error) == (0, "")
    assert CHANGED[statement] in lines[0]
    assert found(one.root) == wanted
    assert commanded("history", "mule", "--library", one.root, "--json").stdout == history
    assert checked(one.root)[1] == ["looked at 1 kept version with 9 files; all of it is whole"]


def test_a_catalogue_from_elsewhere_writes_nowhere_else(one: One) -> None:
    with closing(sqlite3.connect(one.root / FILE)) as db:
        db.execute("INSERT INTO records_due VALUES ('../../outside', x'00')")
        db.commit()
    commanded("keep", one.day, "--library", one.root)
    checked(one.root)
    assert list(one.root.parent.glob("outside*")) == []
    assert found(one.root)


def test_an_older_catalogue_with_its_own_note_is_told_by_what_it_lacks(one: One, tmp_path: Path) -> None:
    before = Path(shutil.copytree(one.root, tmp_path / "before"))
    name = kept(small_day(tmp_path / "day", date="2026-07-01"), one.root)
    for file in (FILE, LAST):
        shutil.copy(before / file, one.root / file)
    assert f"it lacks {name}.1" in commanded("find", "--library", one.root).stderr
    assert checked(one.root)[0] == 0
    assert [day.id for day in found(one.root)] == [name, one.id]


@pytest.mark.parametrize(
    "note", ['{"changes": 1e999, "whole": []}', '{"changes": 1e30, "whole": [1]}', "[" * 100_000, "\xff", "[1]"]
)
def test_a_damaged_note_of_the_last_change_is_no_harm(one: One, note: str) -> None:
    (one.root / LAST).write_bytes(note.encode("latin-1"))
    assert found(one.root)
    assert checked(one.root)[0] == 0
    assert json.loads((one.root / LAST).read_text(encoding="utf-8"))["changes"] == 1


@pytest.mark.parametrize("name", ["with blanks ü", "q?x#y%20z", os.fsdecode(b"bad\xff")])
def test_a_library_may_be_called_anything(one: One, tmp_path: Path, name: str) -> None:
    place = tmp_path / name
    kept(one.day, place)
    for words in (
        ["library", "check", "--library", place],
        ["library", "backup", place / "../backup", "--library", place],
        ["library", "pack", "--library", place, "--out", place / "../day.zip"],
        ["library", "take-in", place / "../day.zip", "--library", tmp_path / f"{name} too"],
    ):
        done = commanded(*words)
        assert done.returncode == 0, done.stderr
    assert found(tmp_path / f"{name} too") == found(one.root)
    with telemetry.open_library(tmp_path / f"{name} too") as days:
        assert len(days.travel(one.id, "run_1"))


def test_a_name_is_forgotten_wholly_while_another_program_reads(one: One, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the other saw is let go with its last look."""
    monkeypatch.setattr("telemetry.library.catalogue.BUSY_S", 0.2)
    with library.reading(one.root) as reader:
        reader.db.execute("BEGIN")
        assert library.find(reader, library.Wanted(customer="ann"))
        done = commanded("forget", "ann example", "--library", one.root)
        assert done.returncode == 0, done.stderr
        assert library.find(reader, library.Wanted(customer="ann"))
        reader.db.execute("COMMIT")
        assert not library.find(reader, library.Wanted(customer="ann"))
    assert [name for name, data in contents(one.root) if b"Ann Example" in data] == []


def test_leftovers_of_a_clock_that_was_set_back_are_cleared(one: One) -> None:
    later = time.time() + 1e6
    left = one.root / ".being_kept.abc.part"
    left.mkdir()
    os.utime(left, (later, later))
    assert checked(one.root)[0] == 0
    assert not left.exists()


@pytest.mark.parametrize("kind", ["originals", "days", "travel"])
def test_half_a_library_is_told_and_keeping_again_makes_it_whole(one: One, tmp_path: Path, kind: str) -> None:
    wanted, before = found(one.root), state(one.root)
    shutil.rmtree(one.root / kind)
    assert found(one.root) == wanted
    assert checked(one.root)[0] == 2
    for words in (["backup", tmp_path / "copy"], ["pack", "--out", tmp_path / "x.zip"]):
        done = commanded("library", *words, "--library", one.root)
        assert done.returncode == 2
        assert f"/{kind}/" in done.stderr
    assert not (tmp_path / "copy").exists()
    kept(one.day, one.root)
    assert checked(one.root)[:2] == (0, ["looked at 1 kept version with 9 files; all of it is whole"])
    assert found(one.root) == wanted
    after = state(one.root)
    assert {name: data for name, data in after.items() if name.startswith(("originals", "travel"))} == {
        name: data for name, data in before.items() if name.startswith(("originals", "travel"))
    }
