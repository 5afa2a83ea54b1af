"""How long a large log of inertial sensors takes from disk to all measures, against a bare read of the same file.

    python -m tests.benchmarks.inertial_path              # 1.2 million rows x 6 channels, and x 12

Prints ratios; judges nothing. The floor is ``pyarrow.csv.read_csv`` with one thread on all columns, the clock's among
them. The 6-channel figure is the one of `one sensor`: three axes of acceleration and three of rotation on the chassis.
"""

from __future__ import annotations

import argparse
import gzip
import resource
import statistics
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.signal import resample_poly

from tests.benchmarks.csv_to_measures import compared, timed

RATE_HZ, RIDDEN_HZ = 1000, 320
RIDDEN = Path(__file__).parent.parent.parent / "sample_runs" / "lighter_shims" / "run_1.csv.gz"
"""Half a minute of a natural trail, standing before and after; ridden again and again here."""
AXES = ("ax", "ay", "az", "gx", "gy", "gz")
TOML = """
[ride_day]
date = 2026-05-16
[bike]
wheelbase_mm = 1240
[bike.front]
travel_mm = 160
[log]
time = { column = "t_ms", unit = "ms" }
[setups.a]
[[runs]]
log = "run.csv"
setup = "a"
"""
SENSOR = """
[sensors.{name}]
kind = "inertial"
end = "front"
on = "{on}"
columns = {{ {columns} }}
acceleration_unit = "counts"
counts_per_g = {per_g}
rotation_unit = "counts"
counts_per_deg_s = 16.384
"""


def ridden() -> dict[str, np.ndarray]:
    """Return a sample run's readings at the higher rate; the axle turns as the chassis does."""
    with gzip.open(RIDDEN, "rt", encoding="ascii") as file:
        names = file.readline().strip().split(",")
        table = np.loadtxt(file, delimiter=",", dtype=float)
    rng = np.random.default_rng(7)
    smooth = {
        name: resample_poly(column, RATE_HZ, RIDDEN_HZ, padtype="line")
        for name, column in zip(names, table.T, strict=True)
    }
    turns = {f"axle_{axis}": smooth[f"crown_{axis}"] for axis in AXES[3:]}
    return {name: np.round(column + rng.normal(0, 2, column.shape)) for name, column in (smooth | turns).items()}


def make(folder: Path, rows: int, places: dict[str, tuple[str, float]]) -> Path:
    """Write a log of one or two sensors of six axes and its ride day."""
    readings = ridden()
    columns = [f"{place}_{axis}" for place in places for axis in AXES]
    table = np.column_stack([np.arange(rows), *(np.resize(readings[name], rows) for name in columns)])
    header = ",".join(["t_ms", *columns])
    np.savetxt(folder / "run.csv", table, ",".join(["%d"] * table.shape[1]), header=header, comments="")
    sensors = [
        SENSOR.format(name=place, on=on, per_g=per_g, columns=", ".join(f'{axis} = "{place}_{axis}"' for axis in AXES))
        for place, (on, per_g) in places.items()
    ]
    (folder / "ride_day.toml").write_text(TOML + "".join(sensors), encoding="ascii")
    return folder / "run.csv"


def processor_s(words: list[str]) -> float:
    """Return how much processor time a command takes, start-up and all."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    timed([sys.executable, "-c", f"from telemetry.cli import main; main({words!r})"])
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=1_200_000)
    parser.add_argument("--repeats", type=int, default=5)
    asked = parser.parse_args()
    chassis, wheel = {"crown": ("chassis", 1024.0)}, {"axle": ("wheel", 512.0)}
    for name, places in (("one sensor", chassis), ("two sensors", chassis | wheel)):
        with tempfile.TemporaryDirectory() as folder:
            log = make(Path(folder), asked.rows, places)
            channels = 6 * len(places)
            print(f"{name}: {asked.rows} rows x {channels} channels and a clock, {log.stat().st_size / 1e6:.1f} MB")
            compared(log, asked.rows, asked.repeats, 3)
            took = statistics.median(processor_s(["analyse", folder]) for _ in range(min(3, asked.repeats)))
            print(f"telemetry analyse:       {took:.2f} s of processor time, whole process")


if __name__ == "__main__":
    main()
