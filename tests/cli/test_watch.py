"""A watched day: a real process once, its log copied in piece by piece; else by a clock that is turned by hand."""

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

import numpy as np
import pytest

from telemetry.cli.watching import watched
from telemetry.pipeline import DayChecked, Watch
from telemetry.pipeline.watching import QUIET_S
from tests.cli.run_here import commanded
from tests.forked import COMMAND, LONGEST_S
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

    def line_with(self, words: str) -> str:
        deadline, seen = time.monotonic() + LONGEST_S, []
        while time.monotonic() < deadline:
            try:
                line = self._lines.get(timeout=0.2)
            except queue.Empty:
                continue
            seen.append(line)
            if words in line:
                return line
        pytest.fail(f"never heard {words!r}: {seen}")


@contextmanager
def watching(folder: Path) -> Iterator[Watching]:
    process = subprocess.Popen(
        [sys.executable, "-c", COMMAND, "check", str(folder), "--watch"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        yield Watching(process)
    finally:
        process.kill()
        process.communicate(timeout=LONGEST_S)


def copy_slowly(source: Path, target: Path, seconds: float) -> float:
    """Copy a file piece by piece; return how long it lay as it was at most, s: longer on a busy machine."""
    data = source.read_bytes()
    pieces, still_s, last = 8, 0.0, time.monotonic()
    with target.open("wb") as file:
        for piece in range(pieces):
            file.write(data[piece * len(data) // pieces : (piece + 1) * len(data) // pieces])
            file.flush()
            time.sleep(seconds / pieces)
            still_s, last = max(still_s, time.monotonic() - last), time.monotonic()
    return still_s


def test_a_log_is_told_once_it_is_whole(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    write_log(tmp_path / "run_3.csv", *trail(20.0, 3))
    with watching(folder) as heard:
        heard.line_with("A test day: 2 runs")
        heard.line_with("waiting for logs")
        still_s = copy_slowly(tmp_path / "run_3.csv", folder / "run_3.csv", 1.2 * QUIET_S)
        line = heard.line_with("run_3.csv")
        assert "not in the ride day yet, judged as a run with b" in line
        assert line.endswith(("good", "with care")) or still_s > 0.9 * QUIET_S  # a half was whole for so long
        assert heard.process.poll() is None
        heard.process.send_signal(signal.SIGINT)
        assert heard.process.wait(timeout=LONGEST_S) == 0
        assert heard.process.stderr is not None
        assert heard.process.stderr.read() == ""


class Looking:
    """A watched day and a clock that is turned by hand."""

    def __init__(self, folder: Path, told: pytest.CaptureFixture[str], *, as_json: bool = False) -> None:
        self._now = 0.0
        self._told = told
        self._as_json = as_json
        self.watch = Watch(folder, clock=lambda: self._now)

    def lines(self, after_s: float = 0.0) -> list[str]:
        """Return what `check --watch` writes at its next look, so long after the last."""
        self._now += after_s
        for told in self.watch.look():
            watched(told, as_json=self._as_json)
        return self._told.readouterr().out.splitlines()

    def at_rest(self) -> str:
        """Return what is written once what has come since has lain for a while; on the first look, the whole day."""
        return "\n".join([*self.lines(), *self.lines(QUIET_S)])


@pytest.fixture
def day(tmp_path: Path) -> Path:
    return make_day(tmp_path / "day", ("a", "b"), seconds=10.0)


def test_a_log_is_told_once_and_not_before_it_has_lain(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heard = Looking(day, capsys)
    assert "A test day: 2 runs" in heard.at_rest()
    write_log(day / "run_3.csv", *trail(5.0, 3))
    assert heard.lines() == []
    write_log(day / "run_3.csv", *trail(10.0, 3))
    assert heard.lines(QUIET_S) == heard.lines(0.99 * QUIET_S) == []
    assert heard.lines(0.02 * QUIET_S)[0].startswith("run_3.csv (not in the ride day yet, judged as a run with b): ")
    assert heard.at_rest() == ""


def test_a_recording_off_the_trail_is_told_as_what_it_is(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Judged as a run it could only be ridden again."""
    heard = Looking(day, capsys)
    heard.at_rest()
    write_log(day / "sag_standing_2.csv", np.full(1250, 48.0), np.full(1250, 18.0))
    first, *rest = heard.at_rest().splitlines()
    assert (
        first == "sag_standing_2.csv (not in the ride day yet: a sag recording, by its name, made before run_2): good"
    )
    assert [line.strip() for line in rest[:2]] == [
        "Rider sag, front: 30.0 % (48 mm)",
        "Rider sag, rear: 30.0 % (45 mm, 30.0 % of stroke)",
    ]
    heard = Looking(day, capsys, as_json=True)
    told = json.loads(heard.at_rest().splitlines()[-1])
    assert (told["log"], told["kind"], told["before_run"], told["usable"]) == (
        "sag_standing_2.csv",
        "sag",
        "run_2",
        "good",
    )
    write_log(day / "after_lunch.csv", np.full(1250, 0.5), np.full(1250, 0.1))
    told = json.loads(heard.at_rest())
    assert (told["kind"], told["usable"]) == ("lifted", "good")
    assert "is it a lifted recording?" in told["question"]


def test_a_log_that_goes_is_told_once_and_comes_back(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heard = Looking(day, capsys)
    assert "waiting for logs" in heard.at_rest()
    kept = (day / "run_2.csv").read_bytes()
    (day / "run_2.csv").unlink()
    assert heard.lines() == ["run_2.csv: it is gone from the folder; copy it back, or stop with Ctrl-C"]
    assert heard.at_rest() == ""
    (day / "run_2.csv").write_bytes(kept)
    assert "waiting for logs" in heard.at_rest()


def test_a_broken_log_is_one_line_and_watching_goes_on(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heard = Looking(day, capsys)
    heard.at_rest()
    (day / "broken.csv").write_bytes(b"\0\1\2" * 5000)
    told = heard.at_rest()
    assert told.startswith("broken.csv")
    assert "expected" in told
    assert "\n" not in told
    stuck = "\n".join(["t_ms,A0,A1", *(f"{place * 4},900,1100" for place in range(12_000))]) + "\n"
    (day / "stuck.csv").write_text(stuck, encoding="ascii")
    first, *rest = heard.at_rest().splitlines()
    assert first.startswith("stuck.csv (not in the ride day yet, judged as a run")
    assert first.endswith("ride again")
    assert any("error" in line for line in rest)


def test_a_changed_day_is_checked_again(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heard = Looking(day, capsys)
    heard.at_rest()
    write_log(day / "run_3.csv", *trail(10.0, 3))
    assert "run_3.csv (not in the ride day yet" in heard.at_rest()
    file = day / "ride_day.toml"
    good = file.read_text(encoding="utf-8")
    file.write_text(good + "nonsense", encoding="utf-8")
    assert "ride_day.toml, TOML" in heard.at_rest()
    file.write_text(good + '[[runs]]\nlog = "run_3.csv"\nsetup = "a"\n', encoding="utf-8")
    told = heard.at_rest()
    assert "A test day: 3 runs" in told
    assert "run_3 (a):" in told


def test_a_change_that_keeps_time_and_size_is_checked_again(day: Path) -> None:
    now = [0.0]
    watch = Watch(day, clock=lambda: now[0])
    assert [type(told) for told in watch.look()] == [DayChecked]
    for name, old, new in (("ride_day.toml", b"A test day", b"A rest day"), ("run_1.csv", b"\n4,", b"\n5,")):
        path = day / name
        before = path.stat()
        path.write_bytes(path.read_bytes().replace(old, new, 1))
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
        assert list(watch.look()) == []
        now[0] += 2 * QUIET_S
        assert [type(told) for told in watch.look()] == [DayChecked], name


def test_a_log_that_cant_be_read_keeps_none_of_the_others_from_being_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = make_day(tmp_path / "day", ("a", "b", "a"), seconds=10.0)
    whole = (folder / "run_2.csv").read_bytes()
    (folder / "run_2.csv").write_bytes(b"")
    heard = Looking(folder, capsys)
    told = heard.at_rest()
    assert "run_3 (a): " in told
    assert "run_2.csv: found an empty file" in told
    write_log(folder / "run_4.csv", *trail(10.0, 4))
    assert "run_4.csv (not in the ride day yet, judged as a run with a)" in heard.at_rest()
    (folder / "run_2.csv").write_bytes(whole)
    assert "run_2 (b): " in heard.at_rest()


def test_a_log_named_before_it_was_ridden_is_told_when_it_comes(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = (day / "run_2.csv").read_bytes()
    (day / "run_2.csv").unlink()
    heard = Looking(day, capsys)
    assert "run_2.csv" in heard.at_rest()
    assert heard.at_rest() == ""
    (day / "run_2.csv").write_bytes(whole)
    told = heard.at_rest()
    assert "run_1 (a): " in told
    assert "run_2 (b): " in told


def test_a_day_before_its_first_run(day: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[[runs]]")], encoding="utf-8")
    (day / "run_2.csv").unlink()
    first, second = Looking(day, capsys, as_json=True).at_rest().splitlines()
    assert json.loads(first) == {"ride_day": "A test day", "runs": [], "static": []}
    told = json.loads(second)
    assert told["log"] == "run_1.csv"
    assert told["setup"] == "a"
    assert told["usable"] in ("good", "with care")
    assert all({"severity", "code", "message"} <= set(finding) for finding in told["findings"])


def test_no_day_at_all_is_one_clear_error(tmp_path: Path) -> None:
    done = commanded("check", tmp_path, "--watch")
    assert done.returncode == 2
    assert "no such file" in done.stderr
