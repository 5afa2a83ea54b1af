"""What killed writers left is cleared away by the next writing; what is being written is let be."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

import telemetry
from telemetry import leftovers
from telemetry.files import whole_folder, write_text
from telemetry.short_lived import short_lived_folder
from tests.library.small_library import kept, small_day


def aged(path: Path) -> Path:
    os.utime(path, (time.time() - 2 * leftovers.SETTLED_S,) * 2)
    return path


@pytest.mark.parametrize("name", [".page.html.abcd1234.part", ".page.html.b.abcd1234.part", ".my.html.abcd1234.part"])
def test_only_ones_own_leftovers_are_cleared(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text("left", encoding="ascii")
    aged(tmp_path / name)
    write_text(tmp_path / "page.html", "new")
    assert (tmp_path / name).exists() == (name != ".page.html.abcd1234.part")


def test_what_is_being_written_is_let_be(tmp_path: Path) -> None:
    young, old = (tmp_path / f".page.html.{word}.part" for word in ("young", "old"))
    young.write_text("begun", encoding="ascii")
    old.write_text("held", encoding="ascii")
    with leftovers.held(aged(old)):
        write_text(tmp_path / "page.html", "new")
    assert young.exists()
    assert old.exists()


def test_a_folder_being_filled_is_let_be_and_one_left_is_cleared(tmp_path: Path) -> None:
    left = tmp_path / ".day.abcd1234.part"
    left.mkdir()
    (left / "run_1.csv").touch()
    aged(left)
    with whole_folder(tmp_path / "day") as beside:
        (beside / "a.txt").touch()
        assert not left.exists()
        leftovers.clear(tmp_path, "day")
        aged(beside)
        leftovers.clear(tmp_path, "day")
        assert beside.exists()
    assert [path.name for path in tmp_path.iterdir()] == ["day"]


def test_a_link_named_like_a_leftover_is_not_followed(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "keep.txt").touch()
    (tmp_path / ".page.html.abcd1234.part").symlink_to(mine)
    write_text(tmp_path / "page.html", "new")
    assert (mine / "keep.txt").exists()


OPENED = """\
import sys, telemetry
library = telemetry.open_library(sys.argv[1])
print(library.day(sys.argv[2]).folder, flush=True)
sys.stdin.read()
"""


def test_copies_of_a_killed_process_go_with_the_next_ones_and_those_of_a_living_one_stay(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name, place = kept(small_day(tmp_path / "day"), tmp_path / "days"), tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    monkeypatch.setenv("TMPDIR", str(place))
    command = [sys.executable, "-c", OPENED, str(tmp_path / "days"), name]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        copy = Path(process.stdout.readline().strip())
        (top,) = place.iterdir()
        assert copy.is_relative_to(top)
        with telemetry.open_library(tmp_path / "days"):
            assert (aged(top) / copy.relative_to(top)).exists()
        with short_lived_folder():
            assert copy.exists()
        process.kill()
    assert copy.exists()
    with telemetry.open_library(tmp_path / "days"):
        assert not top.exists()
    assert list(place.iterdir()) == []
