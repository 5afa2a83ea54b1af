"""A few of the library's killed commands; two that keep at once; a full and a read-only disk."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from telemetry.library import look_over
from tests.crash.library_kills import COMMANDS, Base, base, kills
from tests.crash.test_kills import LIMITED, one_line
from tests.forked import COMMAND, LONGEST_S, begun, done
from tests.library.small_library import copied, found, kept, small_day, state

COUNT = 3
FEWER = {"reanalyse": 2, "reanalyse-two-at-once": 1}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Base:
    return base(tmp_path_factory.mktemp("two_days"))


@pytest.mark.parametrize("name", COMMANDS)
def test_killed_at_any_moment_all_of_a_day_or_none(name: str, made: Base, tmp_path: Path) -> None:
    count = FEWER.get(name, COUNT)
    assert len(list(kills(name, count, np.random.default_rng(7), made, tmp_path))) == count


def test_two_keep_at_once(tmp_path: Path) -> None:
    days = [small_day(tmp_path / f"day_{number}", date=f"2026-05-0{number}") for number in (1, 2, 3)]
    processes = [begun(COMMAND, ["keep", day, "--library", tmp_path / "days"]) for day in (*days, days[0])]
    for process in processes:
        process.join(LONGEST_S)
    assert [process.exitcode for process in processes] == [0] * 4
    assert [(day.date, day.version) for day in found(tmp_path / "days")] == [
        (f"2026-05-0{number}", 1) for number in (3, 2, 1)
    ]
    assert look_over(tmp_path / "days").mended == ()


def test_a_full_disk_is_one_clear_line_and_nothing_is_lost(tmp_path: Path) -> None:
    first, second = (small_day(tmp_path / f"day_{number}", date=f"2026-05-0{number}") for number in (1, 2))
    kept(first, tmp_path / "days")
    before = state(tmp_path / "days")
    one_line(done("keep", second, "--library", tmp_path / "days", code=LIMITED + COMMAND), "File too large")
    assert state(tmp_path / "days") == before
    assert list((tmp_path / "days").glob(".being_kept*")) == []


@pytest.mark.parametrize("command", ["take-in", "take-out", "forget", "backup"])
def test_a_full_disk_loses_nothing_whatever_is_done(command: str, made: Base, tmp_path: Path) -> None:
    """What was begun is done whole, or not at all and said in a line; a check then finds nothing amiss."""
    root = copied(made.root, tmp_path / "days")
    words = {
        "take-in": ["library", "take-in", made.packed],
        "take-out": ["library", "take-out", made.ids[0]],
        "forget": ["forget", "Ann Example"],
        "backup": ["library", "backup", tmp_path / "copy"],
    }[command]
    before = found(root)
    ended = done(*words, "--library", root, code=LIMITED + COMMAND)
    if ended.returncode:
        one_line(ended, "expected")
        assert found(root) == before
    else:
        assert command == "take-out"
        assert [day.id for day in found(root)] == [made.ids[1]]
    assert look_over(root).left == ()
    assert look_over(root).mended == ()
    assert not (tmp_path / "copy").exists()


IN_A_MOUNT_OF_ITS_OWN = """
mount -t tmpfs tmpfs "$1" 2>/dev/null || exit 77
cp -r "$2/." "$1" && mount -o remount,ro "$1" || exit 77
"$3" -c "$4" find --library "$1" || exit 78
"$3" -c "$4" history mule --library "$1" > /dev/null || exit 79
"$3" -c "$4" keep "$5" --library "$1"; [ $? = 2 ] || exit 80
"$3" -c "$4" library check --library "$1"; [ $? = 2 ] || exit 81
"""


def test_a_read_only_library_is_read_and_not_written(tmp_path: Path) -> None:
    """The disk is mounted where only this test's processes see it, and goes with them."""
    first, second = (small_day(tmp_path / f"day_{number}", date=f"2026-05-0{number}") for number in (1, 2))
    kept(first, tmp_path / "days")
    disk = tmp_path / "disk"
    disk.mkdir()
    unshare = shutil.which("unshare")
    if unshare is None:
        pytest.skip("no unshare: a disk of the test's own can't be mounted")
    words = [unshare, "-m", "sh", "-c", IN_A_MOUNT_OF_ITS_OWN, "sh", disk, tmp_path / "days", sys.executable, COMMAND]
    tried = subprocess.run(
        [*map(str, words), str(second)], capture_output=True, text=True, check=False, timeout=LONGEST_S
    )
    if tried.returncode == 77 or "unshare" in tried.stderr:
        pytest.skip("no right to mount a disk of the test's own")
    assert tried.returncode == 0, tried
    assert tried.stdout.splitlines()[-1] == "1 kept day"
    keeping, checking = tried.stderr.splitlines()
    assert "Read-only file system" in keeping
    assert "Read-only file system" in checking
