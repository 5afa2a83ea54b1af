"""Ctrl-C at bad moments: an end like any other, and one plain line at most."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from urllib.request import urlopen

from tests.browser.served import PATIENCE_S, serving
from tests.forked import COMMAND
from tests.library.small_library import kept, small_day
from tests.pipeline.small_days import make_day

STOPPED = "telemetry: stopped; nothing half-written is left"


def test_ctrl_c_in_the_midst_of_reading_is_a_clean_end(tmp_path: Path) -> None:
    make_day(tmp_path / "day", ("a", "b", "b", "a"), seconds=100.0)
    for wait_s in (0.1, 0.25):
        with serving(tmp_path) as server:
            state = ""
            while state != "reading":
                if state == "ready":  # read between two looks: once more
                    urlopen(f"{server.link}again", data=b"day=day", timeout=PATIENCE_S).close()  # noqa: S310
                with urlopen(f"{server.link}news?day=day", timeout=PATIENCE_S) as answer:  # noqa: S310 - our own server
                    state = json.load(answer)["state"]
            time.sleep(wait_s)
            assert server.end() == 0
            assert server.lines == []


def begun(code: str, *words: str | Path) -> subprocess.Popen[str]:
    """Return a command with a group of processes of its own, as a terminal's."""
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def has_begun_others(process: subprocess.Popen[str]) -> bool:
    """Tell whether a process has begun the one that those side by side are started from; one that ends has none."""
    with suppress(OSError):
        children = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text(encoding="ascii").split()
        begun_by_it = [Path(f"/proc/{number}/cmdline").read_bytes() for number in children]
        return any(b"multiprocessing.forkserver" in words for words in begun_by_it)
    return False


def interrupted(*words: str | Path) -> tuple[int, str]:
    """Interrupt a command while it starts others; return its code and what it said. One that is through goes again."""
    for _ in range(20):
        with begun(COMMAND, *words) as process:
            while process.poll() is None and not has_begun_others(process):
                time.sleep(0.01)
            time.sleep(0.1)  # it is loading what is measured with
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGINT)
            _, said = process.communicate(timeout=PATIENCE_S)
        if process.returncode:
            break
    return process.returncode, said.strip()


def test_ctrl_c_while_processes_start_side_by_side_is_one_plain_line(tmp_path: Path) -> None:
    """A terminal sends it to all of them, and each but the first has nothing to say."""
    for number in (1, 2):
        kept(small_day(tmp_path / f"day_{number}", date=f"2026-05-0{number}"), tmp_path / "library")
    words = ("library", "reanalyse", "--anyway", "--at-once", "2", "--library", tmp_path / "library")
    assert interrupted(*words) == (130, STOPPED)


def test_ctrl_c_at_a_command_that_is_leaving_changes_nothing() -> None:
    leaving = (
        f"import atexit, time; atexit.register(lambda: (print('leaving', flush=True), time.sleep(0.5))); {COMMAND}"
    )
    with begun(leaving, "--version") as process:
        assert process.stdout is not None
        while process.stdout.readline() != "leaving\n":
            pass
        os.killpg(process.pid, signal.SIGINT)
        _, said = process.communicate(timeout=PATIENCE_S)
    assert (process.returncode, said) == (0, "")
