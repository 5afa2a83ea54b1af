"""How long a simulated bike takes: two minutes of trail at 4 kHz, and a whole day with its logs written.

    python -m tests.benchmarks.simulation

Prints seconds; judges nothing. What is compiled is compiled, or read from where numba keeps it, before the clock
starts; how long that took is printed too.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from telemetry.dynamics.half_car import ride
from telemetry.simulation.day_made import make_day
from telemetry.simulation.runs_made import RATE_HZ, _course, made_run
from tests.simulation.made_bike import scenario


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=5)
    parser.add_argument("--runs", type=int, default=8)
    asked = parser.parse_args()
    print(f"{os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        short = scenario(folder)
        setup = short.setups["a"]
        print(f"compiling or loading:      {seconds(lambda: made_run(short, setup, np.random.default_rng(0))):.3f} s")
        two_minutes = scenario(folder, rough_m=690.0)
        course = _course(two_minutes, setup, np.random.default_rng(1))
        steps = round(120 * RATE_HZ)
        bike, roads = setup.bike.riding(), course.roads_m[:steps]
        if roads.shape[0] < steps:
            raise SystemExit(f"the trail takes only {roads.shape[0] / RATE_HZ:.1f} s")
        took = [seconds(lambda: ride(bike, roads, RATE_HZ)) for _ in range(asked.repeats)]
        print(
            f"120 s of trail at 4 kHz:   {statistics.median(took):.3f} s (median), {min(took):.3f} to {max(took):.3f}"
        )
        day = scenario(folder, runs=asked.runs, rough_m=1065.0)
        took_day = seconds(lambda: make_day(day, folder / "day"))
        logs = sorted((folder / "day").glob("run_*.csv"))
        size = sum(log.stat().st_size for log in logs) / 1e6
        print(f"a day of {len(logs)} runs x 3 min:  {took_day:.1f} s with {size:.0f} MB of logs written")


if __name__ == "__main__":
    main()
