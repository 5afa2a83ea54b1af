"""Do tests hold the thresholds? ``python -m tests.mutation [PACKAGE or MODULE ...] [--most 1500] [--near]``.

Changes one thing at a time (``mutants.py``) in copies of the checkout, runs the nearest tests (``nearest.py``) and
prints what no test noticed: file, line and change. Mutants that change no answer are listed with the reason in
``equivalent.toml`` and aren't run. Without a name the packages of `HELD` are gone through: so many mutants of them,
drawn by chance, as two cores try in about an hour.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from tests.mutation.mutants import Mutant, mutants_of
from tests.mutation.nearest import nearest_tests

ROOT = Path(__file__).parents[2]
EQUIVALENT = Path(__file__).with_name("equivalent.toml")
HELD = tuple(
    f"telemetry/{name}" for name in ("measures", "conditioning", "comparison", "statistics", "planning", "trust")
)
LOADED = ("numpy", "scipy.signal", "scipy.stats", "scipy.optimize", "pandas", "pyarrow.csv", "pydantic", "hypothesis")
"""Loaded once, before any test: each try is a fork that has them already."""
SAID = "said.txt"
OWN_FAULT = 99
NOT_TRIED = (OWN_FAULT, -signal.SIGKILL)
"""What a fork ends with that tells nothing of its tests: a fault of this program, or another's signal to end it."""
QUIET = ("-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-W", "ignore:Module already imported")


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """One mutant, and the tests that should notice it."""

    module: str
    mutant: Mutant
    tests: tuple[str, ...]


def modules_of(root: Path, names: Sequence[str]) -> list[str]:
    """Return the modules of packages or modules, as paths from the checkout."""
    found: list[str] = []
    for name in names:
        place = root / name
        files = [place] if place.is_file() else sorted(place.rglob("*.py"))
        if not files:
            sys.exit(f"{name}: found no module; expected a folder or file such as {HELD[0]}")
        found += [str(file.relative_to(root)) for file in files if file.name != "__init__.py"]
    return found


def equivalent() -> frozenset[tuple[str, str, str]]:
    """Return the mutants known to change no answer: file, text of the line, change."""
    listed = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8")).get("equivalent", [])
    return frozenset((entry["file"], entry["line"], entry["change"]) for entry in listed)


def copied(place: Path) -> Path:
    """Copy what belongs to the checkout, committed or not."""
    words = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.run(words, cwd=ROOT, check=True, capture_output=True, text=True).stdout.split("\0")
    for name in names:
        if name and (ROOT / name).is_file():
            (place / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, place / name)
    return place


def forked(place: Path, tests: Sequence[str], limit_s: int, *, write_bytecode: bool = False) -> int:
    """Run tests in a fork of this process, in a copy of the checkout; return its process id."""
    process = os.fork()
    if process:
        return process
    code = OWN_FAULT
    try:
        os.setpgid(0, 0)
        os.chdir(place)
        said = os.open(place / SAID, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(said, 1)
        os.dup2(said, 2)
        resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s + 5))
        signal.alarm(10 * limit_s)
        for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "telemetry", "dashboards")]:
            del sys.modules[name]
        sys.path[:] = [str(place), *(path for path in sys.path if path and Path(path).resolve() != ROOT)]
        sys.dont_write_bytecode = not write_bytecode
        os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        code = int(pytest.main([*QUIET, *tests]))
    except BaseException:  # noqa: BLE001 - nothing may return from a fork into the loop that made it
        traceback.print_exc()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def ended(process: int) -> int:
    """Wait for a fork; return its exit code, negative where a signal ended it. What it started goes with it."""
    _, status = os.waitpid(process, 0)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process, signal.SIGKILL)
    return os.waitstatus_to_exitcode(status)


def limits(place: Path, lots: set[tuple[str, ...]]) -> dict[tuple[str, ...], int]:
    """Run each lot of tests on the unchanged copy; return how much processor time it may take, s."""
    found = {}
    for lot in sorted(lots):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        code = ended(forked(place, lot, 3600, write_bytecode=True))
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if code != 0:
            sys.exit(f"tests fail without any change:\n{(place / SAID).read_text(encoding='utf-8')[-2000:]}")
        found[lot] = 20 + round(3 * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime))
    return found


def made(root: Path, names: Sequence[str], *, near: bool) -> list[Try]:
    """Return every mutant of packages or modules that may change an answer, with its tests."""
    known = equivalent()
    return [
        Try(module=module, mutant=mutant, tests=nearest_tests(root, module, near=near))
        for module in modules_of(root, names)
        for mutant in mutants_of((root / module).read_text(encoding="utf-8"))
        if (module, mutant.source, mutant.change) not in known
    ]


def drawn(tries: list[Try], most: int, seed: int) -> list[Try]:
    """Return all, or so many by chance."""
    if len(tries) <= most:
        return tries
    chosen = np.random.default_rng(seed).choice(len(tries), most, replace=False)
    return [tries[place] for place in sorted(chosen.tolist())]


def tried(
    tries: Sequence[Try], places: Sequence[Path], limit_s: Mapping[tuple[str, ...], int]
) -> Iterator[tuple[Try, int]]:
    """Yield each mutant with the exit code of its tests, as they end; as many at a time as there are copies."""
    waiting, free = list(reversed(tries)), list(places)
    running: dict[int, tuple[Try, Path, str]] = {}
    while waiting or running:
        while waiting and free:
            one, place = waiting.pop(), free.pop()
            file = place / one.module
            original = file.read_text(encoding="utf-8")
            file.write_text(one.mutant.text, encoding="utf-8")
            running[forked(place, one.tests, limit_s[one.tests])] = (one, place, original)
        process = os.waitid(os.P_ALL, 0, os.WEXITED | os.WNOWAIT).si_pid  # type: ignore[union-attr]
        code = ended(process)
        one, place, original = running.pop(process)
        (place / one.module).write_text(original, encoding="utf-8")
        free.append(place)
        yield one, code


def main() -> int:
    """Try the mutants; print the survivors and the counts; return how many survived."""
    parser = argparse.ArgumentParser()
    parser.add_argument("names", nargs="*", default=HELD)
    parser.add_argument("--most", type=int, default=1500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--near", action="store_true", help="only tests of the module's name and those that import it")
    asked = parser.parse_args()
    for name in LOADED:
        importlib.import_module(name)
    start, counts, survived = time.monotonic(), Counter[str](), Counter[str]()
    with tempfile.TemporaryDirectory() as folder:
        places = [copied(Path(folder) / str(number)) for number in range(asked.processes)]
        tries = drawn(made(places[0], asked.names, near=asked.near), asked.most, asked.seed)
        limit_s = limits(places[0], {one.tests for one in tries})
        for place in places[1:]:
            shutil.copytree(places[0], place, dirs_exist_ok=True)
        for one, code in tried(tries, places, limit_s):
            if code in NOT_TRIED:
                sys.exit(
                    f"{one.module}:{one.mutant.line}: its tests were ended from outside ({code}); nothing is counted"
                )
            counts[one.module] += 1
            if code == 0:
                survived[one.module] += 1
                sys.stdout.write(f"{one.module}:{one.mutant.line}  {one.mutant.change}    | {one.mutant.source}\n")
                sys.stdout.flush()
    for module, count in sorted(counts.items()):
        sys.stdout.write(f"{module:48s}{count:6d} tried{survived[module]:6d} survived\n")
    total = sum(survived.values())
    share = 100 * total / max(1, len(tries))
    sys.stdout.write(f"{total} of {len(tries)} survived ({share:.1f} %), {time.monotonic() - start:.0f} s\n")
    return total


if __name__ == "__main__":
    sys.exit(min(main(), 1))
