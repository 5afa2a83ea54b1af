"""How well the program finds what truly happened: its measures of simulated logs beside their truth.

    python -m tests.benchmarks.recovered_truth                # the sample days
    python -m tests.benchmarks.recovered_truth FOLDER ...     # any days `telemetry simulate` wrote

Prints, a line a measure and end, the mean and the largest error over all runs, and the limit asked for; judges nothing.
"""

from __future__ import annotations

import argparse
import json
from collections import defaultdict
from pathlib import Path

import telemetry

SAMPLES = Path(__file__).parent.parent.parent / "sample_runs"
POINTS = {"dynamic_sag": 0.3}
PERCENT = {
    "travel_p95": 0.7,
    "compression_speed_p50": 4.0,
    "compression_speed_p95": 4.0,
    "rebound_speed_p50": 4.0,
    "rebound_speed_p95": 4.0,
    "airborne_time": 15.0,
    "ground_speed": 4.0,
    "hit_depth_p95": None,
    "hits_per_min": None,
    "strokes_per_min": None,
}
COUNTS = {"bottom_outs": 0.0}


def errors(folder: Path, found: dict[tuple[str, str], list[float]]) -> None:
    """Add every run's errors of one day: points, percent or counts."""
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    for run, true in zip(analysis.runs, truth["runs"], strict=True):
        for row in true["measures"]:
            measure, end, value = row["measure"], row["end"], row["value"]
            measured = run.value(measure, end)
            if measured is None:
                continue
            if measure in PERCENT and value:
                found[measure, end].append(100 * (measured / value - 1))
            elif measure in POINTS or measure in COUNTS:
                found[measure, end].append(measured - value)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="*", type=Path)
    asked = parser.parse_args()
    folders = asked.folders or sorted(path.parent for path in SAMPLES.glob("*/truth.json"))
    found: dict[tuple[str, str], list[float]] = defaultdict(list)
    for folder in folders:
        errors(folder, found)
    print(f"{'measure':26} {'end':6} {'runs':>4} {'mean':>8} {'largest':>8} {'limit':>7}  unit")
    for (measure, end), values in sorted(found.items()):
        limit = {**POINTS, **PERCENT, **COUNTS}[measure]
        unit = "%" if measure in PERCENT else "points" if measure in POINTS else "events"
        largest = max(values, key=abs)
        mean, shown = sum(values) / len(values), "-" if limit is None else f"{limit:g}"
        print(f"{measure:26} {end:6} {len(values):4d} {mean:+8.2f} {largest:+8.2f} {shown:>7}  {unit}")


if __name__ == "__main__":
    main()
