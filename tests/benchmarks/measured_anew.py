"""Kept days measured anew: ``python -m tests.benchmarks.measured_anew [--days 12] [--rounds 3]``.

In one process, in two, and on a cluster of two workers that has loaded the program, in turns: days an hour by the
clock, seconds of a processor a day, the ratio to one process, and whether the numbers are the same to the last bit.
Prints what a day takes on disk too. Wanted: two at once 1.6 times as fast as one, where nothing else runs.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import psutil

from telemetry import open_library, read_ride_day
from telemetry.library import Kept
from telemetry.library.catalogue import writing
from telemetry.library.entering import enter
from telemetry.library.keeping import due, write_due
from telemetry.pipeline import Asked, Hands, keep, reanalyse
from tests.library.aged import records, results
from tests.library.cluster import cluster

SAMPLE = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"


def made(root: Path, days: int) -> Kept:
    """Make a library of the sample day, kept so many times under other dates and bikes."""
    keep(read_ride_day(SAMPLE), root)
    (kept,) = records(root)
    with writing(root) as catalogue:
        with catalogue.change():
            for number in range(1, days):
                other = replace(kept, id=f"2027-01-{number:02d}-{number:06x}", bike=f"Mule {number}")
                enter(catalogue, other)
                due(catalogue, other.stem, other.packed())
        write_due(catalogue)
    return kept


def busy_s() -> float:
    """Return the processor seconds of this process and all that it has started, ended ones and the cluster too."""
    whole = psutil.Process()
    times = [own.cpu_times() for own in (whole, *whole.children(recursive=True))]
    return sum(own.user + own.system + own.children_user + own.children_system for own in times)


def timed(work: Callable[[], object]) -> tuple[float, float, float]:
    """Return seconds by the clock; of a processor, all helpers included; and of one by this process alone."""
    start, busy, own = time.perf_counter(), busy_s(), time.process_time()
    work()
    return time.perf_counter() - start, busy_s() - busy, time.process_time() - own


def minutes_of(root: Path, kept: Kept) -> float:
    """Return how long the logs of a day's runs are together, by their travel."""
    with open_library(root) as days:
        return sum(float(days.travel(kept.id, run.name)["time_s"].iloc[-1]) for run in kept.runs) / 60


def size(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--days", type=int, default=12)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    place = Path(tempfile.mkdtemp())
    root = place / "days"
    kept = made(root, asked.days)
    sys.stdout.write(f"{asked.days} days of {len(kept.runs)} runs, {minutes_of(root, kept):.1f} minutes of log each\n")
    for name in ("originals", "travel"):
        sys.stdout.write(f"{name}: {size(root / name) / 1e6:.2f} MB a day\n")
    record = statistics.fmean(path.stat().st_size for path in (root / "days").iterdir())
    sys.stdout.write(f"record: {record / 1e3:.0f} kB a day\n")
    with cluster(place) as (address, _):
        ways = {
            "one process": Hands(at_once=1),
            "two processes": Hands(at_once=2),
            "two workers": Hands(scheduler=address),
        }
        reanalyse(root, Asked(anyway=True), ways["two workers"])  # loads the program there
        wanted = results(root)
        taken: dict[str, list[tuple[float, float, float]]] = {name: [] for name in ways}
        for _ in range(asked.rounds):
            for name, hands in ways.items():
                taken[name].append(timed(lambda hands=hands: reanalyse(root, Asked(anyway=True), hands)))
                assert results(root) == wanted, name
                sys.stdout.flush()
    one = statistics.median(wall for wall, *_ in taken["one process"])
    for name, times in taken.items():
        wall, busy, own = (statistics.median(column) for column in zip(*times, strict=True))
        sys.stdout.write(
            f"{name}: {3600 * asked.days / wall:.0f} days an hour, {busy / asked.days:.2f} s of a processor a day, "
            f"{own / asked.days:.3f} s of it by the process that enters; "
            f"{one / wall:.2f} times one process; the same bits\n"
        )
    shutil.rmtree(place)


if __name__ == "__main__":
    main()
