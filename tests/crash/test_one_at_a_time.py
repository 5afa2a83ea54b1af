"""Writers of one file take turns: what was said to be written is there, what isn't was refused."""

from __future__ import annotations

import errno
import fcntl
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from telemetry import locks
from telemetry.errors import CallError
from telemetry.files import swap_bytes
from tests.forked import LONGEST_S

WRITERS, TIMES = 5, 5
ADDING = """
import json, sys, time
from pathlib import Path
from threading import Barrier, Thread
from telemetry import locks
from telemetry.files import swap_bytes
locks.LONGEST_WAIT_S = 120.0  # 25 at once on a busy machine
rename = Path.replace
def slowly(path, target):
    time.sleep(0.01)  # as on a slow disk: all is checked, and nothing renamed yet
    return rename(path, target)
Path.replace = slowly
path, number, threads = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
together = Barrier(threads)

def add(thread):
    name, refused = f"{number}.{thread}", 0
    together.wait()
    while True:
        before = path.read_bytes()
        after = json.dumps([*json.loads(before), name]).encode()
        if swap_bytes(path, before, after):
            print(name, refused, flush=True)
            return
        refused += 1

writers = [Thread(target=add, args=(thread,)) for thread in range(threads)]
print("ready", flush=True); sys.stdin.readline()
for writer in writers: writer.start()
for writer in writers: writer.join()
"""
HOLDING = """
import sys
from pathlib import Path
from telemetry.locks import alone
with alone(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


def started(code: str, *words: object) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() in ("ready\n", "held\n")
    return process


def test_of_25_writers_at_once_none_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "file.json"
    path.write_bytes(b"[]")
    processes = [started(ADDING, path, number, TIMES) for number in range(WRITERS)]
    for process in processes:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [line.split()[0] for process in processes for line in process.communicate(timeout=LONGEST_S)[0].splitlines()]
    assert len(said) == WRITERS * TIMES
    assert sorted(json.loads(path.read_bytes())) == sorted(said)
    assert list(tmp_path.iterdir()) == [path]


def test_what_holds_something_else_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "file"
    assert swap_bytes(path, None, b"one")
    assert not swap_bytes(path, None, b"two")
    assert not swap_bytes(path, b"two", b"three")
    assert swap_bytes(path, b"one", b"four")
    path.write_bytes(b"FOUR")
    assert not swap_bytes(path, b"four", b"five")
    assert path.read_bytes() == b"FOUR"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("before", [None, b"old"])
def test_what_an_editor_saves_meanwhile_stays(
    before: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "file"
    if before is not None:
        path.write_bytes(before)
    monkeypatch.setattr(os, "fsync", lambda _: path.write_bytes(b"by hand"))  # while the disk takes the new file
    assert not swap_bytes(path, before, b"new")
    assert path.read_bytes() == b"by hand"
    assert list(tmp_path.iterdir()) == [path]


def test_a_killed_writer_keeps_nobody_waiting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")
    process = started(HOLDING, path)
    process.send_signal(signal.SIGKILL)
    process.communicate(timeout=LONGEST_S)
    assert (tmp_path / ".file.lock").exists()
    monkeypatch.setattr(locks, "LONGEST_WAIT_S", -1.0)  # who finds it held is refused at once
    assert swap_bytes(path, b"old", b"new")
    assert list(tmp_path.iterdir()) == [path]


def test_a_writer_that_stands_still_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(locks, "LONGEST_WAIT_S", 0.2)
    path = tmp_path / "file"
    path.write_bytes(b"old")
    process = started(HOLDING, path)
    with pytest.raises(CallError, match=r"another program that has been writing it.*remove \.file\.lock"):
        swap_bytes(path, b"old", b"new")
    process.kill()
    process.communicate(timeout=LONGEST_S)
    assert path.read_bytes() == b"old"


def test_two_names_of_one_file_are_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(locks, "LONGEST_WAIT_S", 0.1)
    (tmp_path / "day").mkdir()
    (tmp_path / "day" / "file").write_bytes(b"old")
    (tmp_path / "day" / "name").symlink_to("file")
    (tmp_path / "again").symlink_to("day")
    with locks.alone((tmp_path / "day" / "file").resolve()):
        for name in ("again/file", "day/name", "again/name"):
            with pytest.raises(CallError, match="another program"):
                swap_bytes(tmp_path / name, b"old", b"new")


def test_on_a_disk_without_locks_the_hidden_file_is_the_lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Such a disk can't be had here: what the system answers there stands in for it."""

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", refuse)
    monkeypatch.setattr(locks, "LONGEST_WAIT_S", 0.1)
    path = tmp_path / "file"
    path.write_bytes(b"old")
    with locks.alone(path), pytest.raises(CallError, match="another program"), locks.alone(path):
        pytest.fail("two at once")
    assert swap_bytes(path, b"old", b"new")
    assert list(tmp_path.iterdir()) == [path]


def test_a_place_that_takes_no_lock_is_one_error() -> None:
    with pytest.raises(CallError, match=r"No such file or directory at \.file\.lock"), locks.alone(Path("/proc/file")):
        pytest.fail("nothing can be put there")
