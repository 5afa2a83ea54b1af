"""A watched day: a real process, logs copied in piece by piece."""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from telemetry.pipeline import DayChecked, Watch
from telemetry.pipeline.watching import QUIET_S
from tests.forked import COMMAND
from tests.pipeline.small_days import make_day, trail, write_log


class Watching:
    """A running `telemetry check --watch`, its lines as they come."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.process = process
        self._lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._collect, daemon=True).start()

    def _collect(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(line.rstrip("\n"))

    def line_with(self, words: str, within_s: float = 60.0) -> str:
        deadline, seen = time.monotonic() + within_s, []
        while time.monotonic() < deadline:
            try:
                line = self._lines.get(timeout=0.2)
            except queue.Empty:
                continue
            seen.append(line)
            if words in line:
                return line
        pytest.fail(f"never heard {words!r}: {seen}")

    def never(self, words: str, within_s: float) -> None:
        deadline = time.monotonic() + within_s
        while time.monotonic() < deadline:
            try:
                assert words not in self._lines.get(timeout=0.2)
            except queue.Empty:
                continue


@contextmanager
def watching(folder: Path, *options: str) -> Iterator[Watching]:
    process = subprocess.Popen(
        [sys.executable, "-c", COMMAND, "check", str(folder), "--watch", *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        yield Watching(process)
    finally:
        process.kill()
        process.communicate(timeout=60)


def copy_slowly(source: Path, target: Path, seconds: float) -> None:
    data = source.read_bytes()
    pieces = 8
    with target.open("wb") as file:
        for piece in range(pieces):
            file.write(data[piece * len(data) // pieces : (piece + 1) * len(data) // pieces])
            file.flush()
            time.sleep(seconds / pieces)


def test_a_log_is_told_once_it_is_whole(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    write_log(tmp_path / "run_3.csv", *trail(20.0, 3))
    with watching(folder) as heard:
        heard.line_with("A test day: 2 runs")
        heard.line_with("waiting for logs")
        copy_slowly(tmp_path / "run_3.csv", folder / "run_3.csv", 1.6)
        line = heard.line_with("run_3.csv")
        assert "not in the ride day yet, judged as a run with b" in line
        assert line.endswith(("good", "with care"))
        heard.never("judged as a run", 2.0)
        assert heard.process.poll() is None
        heard.process.send_signal(signal.SIGINT)
        assert heard.process.wait(timeout=60) == 0
        assert heard.process.stderr is not None
        assert heard.process.stderr.read() == ""


def test_a_log_that_goes_is_told_once_and_comes_back(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    with watching(folder) as heard:
        heard.line_with("waiting for logs")
        kept = (folder / "run_2.csv").read_bytes()
        (folder / "run_2.csv").unlink()
        assert "it is gone from the folder; copy it back" in heard.line_with("run_2.csv")
        heard.never("gone", 2.0)
        (folder / "run_2.csv").write_bytes(kept)
        heard.line_with("waiting for logs")
        assert heard.process.poll() is None


def test_a_broken_log_is_one_line_and_watching_goes_on(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=10.0)
    with watching(folder) as heard:
        heard.line_with("waiting for logs")
        (folder / "broken.csv").write_bytes(b"\0\1\2" * 5000)
        assert "expected" in heard.line_with("broken.csv")
        stuck = "\n".join(["t_ms,A0,A1", *(f"{place * 4},900,1100" for place in range(3000))]) + "\n"
        (folder / "stuck.csv").write_text(stuck, encoding="ascii")
        assert heard.line_with("stuck.csv (").endswith("ride again")
        heard.line_with("error")


def test_a_changed_day_is_checked_again(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    with watching(folder) as heard:
        heard.line_with("waiting for logs")
        write_log(folder / "run_3.csv", *trail(10.0, 3))
        heard.line_with("run_3.csv (not in the ride day yet")
        file = folder / "ride_day.toml"
        good = file.read_text(encoding="utf-8")
        file.write_text(good + "nonsense", encoding="utf-8")
        heard.line_with("ride_day.toml, TOML")
        file.write_text(good + '[[runs]]\nlog = "run_3.csv"\nsetup = "a"\n', encoding="utf-8")
        heard.line_with("A test day: 3 runs")
        heard.line_with("run_3 (a):")


def test_a_change_that_keeps_time_and_size_is_checked_again(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=8.0)
    now = [0.0]
    watch = Watch(folder, clock=lambda: now[0])
    assert [type(told) for told in watch.look()] == [DayChecked]
    for name, old, new in (("ride_day.toml", b"A test day", b"A rest day"), ("run_1.csv", b"\n4,", b"\n5,")):
        path = folder / name
        before = path.stat()
        path.write_bytes(path.read_bytes().replace(old, new, 1))
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
        assert list(watch.look()) == []
        now[0] += 2 * QUIET_S
        assert [type(told) for told in watch.look()] == [DayChecked], name


def test_a_log_that_cant_be_read_keeps_none_of_the_others_from_being_told(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b", "a"), seconds=10.0)
    whole = (folder / "run_2.csv").read_bytes()
    (folder / "run_2.csv").write_bytes(b"")
    with watching(folder) as heard:
        heard.line_with("run_3 (a): ")
        heard.line_with("run_2.csv: found an empty file")
        write_log(folder / "run_4.csv", *trail(10.0, 4))
        heard.line_with("run_4.csv (not in the ride day yet, judged as a run with a)")
        (folder / "run_2.csv").write_bytes(whole)
        heard.line_with("run_2 (b): ")


def test_a_log_named_before_it_was_ridden_is_told_when_it_comes(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    whole = (folder / "run_2.csv").read_bytes()
    (folder / "run_2.csv").unlink()
    with watching(folder) as heard:
        heard.line_with("run_2.csv")
        heard.never("run_2.csv", 2.0)
        (folder / "run_2.csv").write_bytes(whole)
        heard.line_with("run_1 (a): ")
        heard.line_with("run_2 (b): ")


def test_a_day_before_its_first_run(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[[runs]]")], encoding="utf-8")
    (folder / "run_2.csv").unlink()
    with watching(folder, "--json") as heard:
        first = json.loads(heard.line_with("ride_day"))
        assert first == {"ride_day": "A test day", "runs": [], "static": []}
        told = json.loads(heard.line_with("run_1.csv"))
        assert told["setup"] == "a"
        assert told["usable"] in ("good", "with care")
        assert all({"severity", "code", "message"} <= set(finding) for finding in told["findings"])


def test_no_day_at_all_is_one_clear_error(tmp_path: Path) -> None:
    with watching(tmp_path) as heard:
        assert heard.process.wait(timeout=60) == 2
        assert heard.process.stderr is not None
        assert "no such file" in heard.process.stderr.read()
