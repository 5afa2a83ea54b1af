"""How well the program finds what truly happened: its measures of simulated logs beside their truth.

    python -m tests.benchmarks.recovered_truth                # the sample days, and a day of jumps
    python -m tests.benchmarks.recovered_truth FOLDER ...     # any days `telemetry simulate` wrote

Prints, a line a truth and end, the mean and the largest error over all runs, and the limit asked for; judges nothing.
A truth without a limit is one that the measure nearest to it isn't defined to tell.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import telemetry
from telemetry.model.sensor import InertialSensor
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario

SAMPLES = Path(__file__).parent.parent.parent / "sample_runs"
JUMP_LINE = Path(__file__).parent / "jump_line.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How a truth is compared: with which measure, in which unit, how near it has to come."""

    measure: str
    unit: Literal["%", "points", "events"]
    limit: float | None


ASKED = {
    "dynamic_sag": Asked(measure="dynamic_sag", unit="points", limit=0.3),
    "dynamic_sag_on_the_ground": Asked(measure="dynamic_sag", unit="points", limit=None),
    "travel_p95": Asked(measure="travel_p95", unit="%", limit=0.7),
    "hit_depth_p95": Asked(measure="hit_depth_p95", unit="%", limit=None),
    "hits_per_min": Asked(measure="hits_per_min", unit="%", limit=None),
    "strokes_per_min": Asked(measure="strokes_per_min", unit="%", limit=None),
    "compression_speed_p50": Asked(measure="compression_speed_p50", unit="%", limit=4.0),
    "compression_speed_p95": Asked(measure="compression_speed_p95", unit="%", limit=4.0),
    "rebound_speed_p50": Asked(measure="rebound_speed_p50", unit="%", limit=4.0),
    "rebound_speed_p95": Asked(measure="rebound_speed_p95", unit="%", limit=4.0),
    "bottom_outs": Asked(measure="bottom_outs", unit="events", limit=0.0),
    "airborne_time": Asked(measure="airborne_time", unit="%", limit=15.0),
    "flown_time": Asked(measure="airborne_time", unit="%", limit=None),
    "ground_speed_median": Asked(measure="ground_speed", unit="%", limit=4.0),
    "ground_speed": Asked(measure="ground_speed", unit="%", limit=None),
}
BY_LEGS = {"dynamic_sag", "airborne_time"}
"""Truths that go by flight as legs show it: not what a day tells whose inertial sensor shows flight."""
Errors = dict[tuple[str, str], list[float]]


def add_errors(folder: Path, found: Errors) -> None:
    """Add every run's errors of one day."""
    day = telemetry.read_ride_day(folder)
    left_out = BY_LEGS if any(isinstance(sensor, InertialSensor) for sensor in day.sensors.values()) else set()
    analysis = telemetry.analyse(day)
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    for run, true in zip(analysis.runs, truth["runs"], strict=True):
        for row in true["measures"]:
            asked, value = ASKED.get(row["measure"]), row["value"]
            measured = None if asked is None else run.value(asked.measure, row["end"])
            if asked is None or measured is None or row["measure"] in left_out:
                continue
            if asked.unit != "%":
                found[row["measure"], row["end"]].append(measured - value)
            elif value:
                found[row["measure"], row["end"]].append(100 * (measured / value - 1))


def print_table(title: str, found: Errors) -> None:
    """Print a line a truth and end: mean and largest error of any run, and what was asked."""
    print(f"\n{title}")
    print(f"{'truth':26} {'end':6} {'runs':>4} {'mean':>8} {'largest':>8} {'limit':>7}  unit")
    for (truth, end), values in sorted(found.items()):
        asked = ASKED[truth]
        largest, mean = max(values, key=abs), sum(values) / len(values)
        shown = "-" if asked.limit is None else f"{asked.limit:g}"
        print(f"{truth:26} {end:6} {len(values):4d} {mean:+8.2f} {largest:+8.2f} {shown:>7}  {asked.unit}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="*", type=Path)
    folders = parser.parse_args().folders
    if folders:
        found: Errors = defaultdict(list)
        for folder in folders:
            add_errors(folder, found)
        print_table("the days named", found)
        return
    samples: Errors = defaultdict(list)
    for folder in sorted(path.parent for path in SAMPLES.glob("*/truth.json")):
        add_errors(folder, samples)
    print_table("sample days", samples)
    jumps: Errors = defaultdict(list)
    with tempfile.TemporaryDirectory() as place:
        make_day(read_scenario(JUMP_LINE), Path(place) / "day")
        add_errors(Path(place) / "day", jumps)
    print_table(f"{JUMP_LINE.name}: jumps long enough for the legs to extend", jumps)


if __name__ == "__main__":
    main()
