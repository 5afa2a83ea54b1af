"""Thousands of damaged logs and ride days: ``python -m tests.fuzz.mutations [--count 10000] [--seed 1]``.

Each is a small day of which one file is damaged (``tests/fuzz/mutants.py``), read, measured and compared. Counted by
outcome and damage:

refused
    One clear error.
told
    Some measure moved by more than its tolerance, and a warning or error finding says so with a place.
unmoved
    Every measure stays within its tolerance.
kept back
    The run was told an error, and gives no measures.
another file
    Measures moved, but the damage leaves no trace: the file is another one, and valid. Its history shows it.
SILENT
    Measures moved, the damage leaves a trace, and nothing says so. There should be none.
CRASH, SLOW
    Another exception than an error about the input; over 10 s, or over 2 GB. There should be none.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from types import FrameType

import numpy as np

import telemetry
from telemetry.errors import TelemetryError
from telemetry.model.analysis import Analysis
from telemetry.pipeline import Selection, analysis_of, study
from telemetry.pipeline.comparing import compared, compared_setups, selected_runs
from telemetry.pipeline.valuing import valued
from tests.fuzz.mutants import BY_NAME, DAY, LOG, Damage
from tests.pipeline.small_days import make_day

SECONDS, LONGEST_S, MOST_BYTES = 20.0, 10.0, 2_000_000_000
DAY_SHARE = 0.2
BAD = ("SILENT", "CRASH", "SLOW")
TOLERANCES = {"%": 0.5, "% points": 0.5, "mm/s": 0.05, "mm": 0.05, "1/min": 0.06, "count": 1.0, "s": 0.05}
"""By unit: absolute for shares and counts, relative for the rest; a quarter to a half of the smallest change."""
ABSOLUTE = frozenset({"%", "% points", "count"})

Values = Mapping[tuple[str, str, str], tuple[str, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one damaged day."""

    kind: str
    damage: str
    seed: int
    words: str = ""


def values_of(analysis: Analysis) -> Values:
    """Return every value of every run by run, measure and end, with its unit."""
    return {
        (run.entry.name, row.measure, row.end): (row.unit, row.value)
        for run in analysis.runs
        for row in run.measures
        if row.part is None
    }


def moved(before: Values, after: Values) -> list[str]:
    """Return which values differ by more than their tolerance; one that is gone has not been given silently."""
    found = []
    for key, (unit, value) in after.items():
        if key not in before or unit not in TOLERANCES:
            continue
        old = before[key][1]
        scale = 1.0 if unit in ABSOLUTE else max(abs(old), 1e-9)
        if abs(value - old) > TOLERANCES[unit] * scale + 1e-9 and not _few(unit, old, value):
            found.append(f"{key[0]} {key[1]} {key[2]}: {old:.4g} to {value:.4g} {unit}")
    return found


def _few(unit: str, old: float, value: float) -> bool:
    """Tell whether a rate differs by no more than one or two events of a short run."""
    return unit == "1/min" and abs(value - old) <= 2.1 * 60 / SECONDS


def told(analysis: Analysis, name: str) -> bool:
    """Tell whether a warning or an error names a place in the damaged run."""
    run = next(run for run in analysis.runs if run.entry.log.name == name)
    return any(finding.severity != "note" for finding in run.findings)


@contextmanager
def limited() -> Iterator[None]:
    """Stop what takes too long: the processor, or waiting for what never comes."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise TimeoutError

    clocks = ((signal.SIGPROF, signal.ITIMER_PROF, LONGEST_S), (signal.SIGALRM, signal.ITIMER_REAL, 30 * LONGEST_S))
    for number, clock, longest_s in clocks:
        signal.signal(number, stop)
        signal.setitimer(clock, longest_s)
    try:
        yield
    finally:
        for _, clock, _ in clocks:
            signal.setitimer(clock, 0)


def judged(damage: Damage, seed: int, folder: Path, before: Values) -> Outcome:
    """Return what becomes of a day whose file is damaged already."""

    def outcome(kind: str, words: str = "") -> Outcome:
        return Outcome(kind=kind, damage=damage.name, seed=seed, words=words)

    try:
        with limited():
            day = telemetry.read_ride_day(folder)
            done = study(day)  # once, for what `telemetry.analyse` and `telemetry.compare` each study it for
            analysis = analysis_of(done)
            if len({run.setup for run in day.runs}) > 1 and any(run.measures for run in analysis.runs):
                compared(valued(done, selected_runs(done, Selection()), None), *compared_setups(day, Selection()))
    except TelemetryError as error:
        return outcome("refused" if "\n" not in error.line else "CRASH", error.line)
    except TimeoutError:
        return outcome("SLOW")
    except Exception:  # noqa: BLE001 - that is what is looked for
        return outcome("CRASH", traceback.format_exc(limit=-3))
    changes = moved(before, values_of(analysis))
    if not changes:
        damaged = next(run for run in analysis.runs if run.entry.log.name == "run_1.csv")
        return outcome("unmoved" if damaged.measures else "kept back")
    if damage in DAY or not damage.traces:
        return outcome("another file", changes[0])
    return outcome("told" if told(analysis, "run_1.csv") else "SILENT", "; ".join(changes[:3]))


def one(seed: int, original: Path, before: Values) -> Outcome:
    """Damage a copy of the day and judge it."""
    rng = np.random.default_rng(seed)
    among = DAY if rng.random() < DAY_SHARE else LOG
    damage = among[int(rng.integers(0, len(among)))]
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "day"
        shutil.copytree(original, folder)
        file = folder / ("ride_day.toml" if damage in DAY else "run_1.csv")
        file.write_bytes(damage.work(file.read_bytes(), rng))
        return judged(damage, seed, folder, before)


def _start() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (4 * MOST_BYTES, 4 * MOST_BYTES))


def outcomes(seeds: range, original: Path, processes: int) -> Iterator[Outcome]:
    """Yield what becomes of as many damaged days as there are seeds."""
    before = values_of(telemetry.analyse(telemetry.read_ride_day(original)))
    work = partial(one, original=original, before=before)
    if processes == 1:
        yield from map(work, seeds)
        return
    with multiprocessing.get_context("spawn").Pool(processes, initializer=_start) as pool:
        yield from pool.imap_unordered(work, seeds, chunksize=20)


def _row(name: str, numbers: list[int]) -> None:
    sys.stdout.write(f"{name:28s}" + "".join(f"{number:14d}" for number in numbers) + "\n")


def main() -> None:
    """Print the counts, and every bad outcome with its seed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    counts: Counter[tuple[str, str]] = Counter()
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as place:
        original = make_day(Path(place) / "day", ("a", "b"), seconds=SECONDS)
        for outcome in outcomes(range(asked.seed, asked.seed + asked.count), original, asked.processes):
            counts[outcome.damage, outcome.kind] += 1
            if outcome.kind in BAD:
                sys.stdout.write(f"{outcome.kind} {outcome.damage} (seed {outcome.seed}): {outcome.words}\n")
                sys.stdout.flush()
    kinds = ["refused", "kept back", "told", "unmoved", "another file", *BAD]
    sys.stdout.write(f"{'':28s}" + "".join(f"{kind:>14s}" for kind in kinds) + "\n")
    for name in [*BY_NAME, ""]:
        row = [
            sum(n for (damage, kind), n in counts.items() if kind == one_ and name in (damage, "")) for one_ in kinds
        ]
        sys.stdout.write(f"{name or 'all':28s}" + "".join(f"{number:14d}" for number in row) + "\n")
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_CHILDREN, resource.RUSAGE_SELF)) / 1e6
    sys.stdout.write(f"{asked.count} damaged days in {time.monotonic() - start:.0f} s, {peak:.2f} GB at most\n")


if __name__ == "__main__":
    main()
