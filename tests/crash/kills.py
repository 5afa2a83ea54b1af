"""Real commands killed at random moments: ``python -m tests.crash.kills [--count 200] [--seed 1]``.

Whatever a command writes is the old file, or the new one whole, or not there if it wasn't; never half. Each command
is a process of its own, forked from one that has loaded the program: it is killed at its work, not while it loads.
"""

from __future__ import annotations

import argparse
import hashlib
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeAlias

import numpy as np

from telemetry.ride_day import logs_in
from tests.forked import COMMAND, LONGEST_S, begun
from tests.pipeline.small_days import make_day
from tests.simulation.small_scenario import scenario_file

EDIT = """
import sys, datetime
from telemetry.ride_day import AddRecording, AddRun, ChangeSetup, LeaveOut, propose, read_ride_day, write
now = datetime.datetime.now(datetime.UTC)
edits = (
    LeaveOut(run="run_2", reason="a flat tyre"),
    ChangeSetup(setup="c", own={"based_on": "a"}, at={"front": {"tyre_pressure_psi": 22}}, is_new=True),
    AddRun(log="run_3.csv", setup="c", started_at=now, more={"note": "harsh in the roots"}),
    AddRecording(log="lifted_2.csv", kind="lifted", more={"before_run": "run_3"}),
)
write(propose(read_ride_day(sys.argv[1]), edits))
"""
LeftBy: TypeAlias = Callable[[str, int, np.random.Generator, Path], Iterator[str]]
SECONDS = 8.0
INTO_WRITING_S = {"report": 0.01, "new": 0.003, "simulate": 1.0, "edit": 0.003, "export": 0.4}
"""How long after something stands beside the place a killed command may still live; it takes about so long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """One command, what it writes, and how its place is made ready.

    `ready` fills an empty folder and returns the command's words and the place it writes to; `code` runs it.
    """

    name: str
    ready: Callable[[Path], tuple[list[str], Path]]
    code: str = COMMAND


def _report(folder: Path) -> tuple[list[str], Path]:
    day = make_day(folder / "day", ("a", "b"), seconds=SECONDS)
    (folder / "report.html").write_text("the old report", encoding="utf-8")
    return ["report", str(day), "--out", str(folder / "report.html")], folder / "report.html"


def _new(folder: Path) -> tuple[list[str], Path]:
    day = make_day(folder / "day", ("a",), seconds=SECONDS)
    (day / "ride_day.toml").unlink()
    return ["new", str(day)], day / "ride_day.toml"


def _simulate(folder: Path) -> tuple[list[str], Path]:
    return ["simulate", str(scenario_file(folder)), "--out", str(folder / "made")], folder / "made"


def _edit(folder: Path) -> tuple[list[str], Path]:
    """A run, a recording and a setup are entered, and a run is left out, as by the pages' forms."""
    day = make_day(folder / "day", ("a", "b"), seconds=SECONDS)
    for name in ("run_3.csv", "lifted_2.csv"):
        shutil.copy(day / "run_1.csv", day / name)
    return [str(day)], day / "ride_day.toml"


def _export(folder: Path) -> tuple[list[str], Path]:
    day = make_day(folder / "day", ("a", "b"), seconds=SECONDS)
    return ["export", str(day), "--out", str(folder / "tables")], folder / "tables"


OUTPUTS = (
    Output(name="report", ready=_report),
    Output(name="new", ready=_new),
    Output(name="simulate", ready=_simulate),
    Output(name="edit", ready=_edit, code=EDIT),
    Output(name="export", ready=_export),
)


def state(place: Path) -> str:
    """Return what stands at a place: a digest of a file or of everything in a folder; empty where nothing does."""
    if not place.exists():
        return ""
    digest = hashlib.sha256()
    for file in sorted(place.rglob("*")) if place.is_dir() else [place]:
        if file.is_file():
            digest.update(file.relative_to(place.parent).as_posix().encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()


def run(code: str, words: Sequence[str]) -> float:
    """Run a command to its end; return how long it took, s."""
    start = time.monotonic()
    process = begun(code, words)
    process.join(LONGEST_S)
    assert process.exitcode == 0
    return time.monotonic() - start


def beside(place: Path) -> list[Path]:
    """Return what stands beside a place while it is being written."""
    return list(place.parent.glob(f".{place.name}.*.part"))


def kill(code: str, words: Sequence[str], moments: tuple[float | None, float], is_writing: Callable[[], bool]) -> None:
    """Kill a command after so long, or so long after it has begun to write; those that end before have been lucky."""
    after_s, into_writing_s = moments
    process = begun(code, words)
    if after_s is None:
        deadline = time.monotonic() + LONGEST_S
        while process.is_alive() and not is_writing() and time.monotonic() < deadline:
            time.sleep(0.0002)
        after_s = into_writing_s
    process.join(after_s)
    process.kill()
    process.join()


def kills(output: Output, count: int, rng: np.random.Generator, place: Path) -> Iterator[str]:
    """Yield what each of so many killed commands left: ``"old"``, ``"old, with a leftover"``, ``"new"``, or ``"HALF"``.

    Every third is killed at any moment, the others while they write. What is left beside is no log to anyone.
    """
    whole = place / "whole"
    whole.mkdir()
    words, target = output.ready(whole)
    before = state(target)
    usual = run(output.code, words)
    after = state(target)
    assert before != after
    for number in range(count):
        folder = place / str(number)
        folder.mkdir()
        words, target = output.ready(folder)
        old = state(target)
        at_s = float(rng.uniform(0.3, 1.1)) * usual if number % 3 == 0 else None
        moments = (at_s, float(rng.uniform(0, INTO_WRITING_S[output.name])))
        kill(output.code, words, moments, partial(_is_begun, target))
        left, leftovers = state(target), beside(target)
        assert not set(leftovers) & set(logs_in(target.parent))
        if left == old:
            yield "old, with a leftover" if leftovers else "old"
        else:
            yield "new" if _alike(left, after, target, whole) else "HALF"
        shutil.rmtree(folder)


def _is_begun(target: Path) -> bool:
    return bool(beside(target))


def _alike(left: str, after: str, target: Path, whole: Path) -> bool:
    """Tell whether what was left is what the undisturbed command wrote; a page names its elements anew each time."""
    if target.suffix != ".html":
        return left == after
    text = target.read_text(encoding="utf-8")
    undisturbed = (whole / target.name).read_text(encoding="utf-8")
    return text.endswith(undisturbed[-40:]) and abs(len(text) - len(undisturbed)) < 0.01 * len(undisturbed)


def print_what_is_left(names: Sequence[str], left_by: LeftBy, count: int) -> None:
    """Print what killed commands left, by name."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=count)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    rng = np.random.default_rng(asked.seed)
    for name in names:
        with tempfile.TemporaryDirectory() as place:
            found = Counter(left_by(name, asked.count // len(names), rng, Path(place)))
        sys.stdout.write(f"{name}: {dict(found)}\n")
        sys.stdout.flush()


def main() -> None:
    """Print what was left, by command."""
    outputs = {output.name: output for output in OUTPUTS}
    print_what_is_left(
        list(outputs), lambda name, count, rng, place: kills(outputs[name], count, rng, place), count=200
    )


if __name__ == "__main__":
    main()
