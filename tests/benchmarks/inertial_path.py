"""How long a large log of inertial sensors takes from disk to all measures, against a bare read of the same file.

    python -m tests.benchmarks.inertial_path              # 1.2 million rows x 6 channels, and x 12

Prints ratios; judges nothing. The floor is ``pyarrow.csv.read_csv`` with one thread on all columns, the clock's among
them. The 6-channel figure is that of one sensor on the chassis, in g and deg/s as loggers mostly write them; the same
in a converter's counts is parsed in half the time, so that the floor lies lower and the same work is more of it.
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
"""
COUNTS = """acceleration_unit = "counts"
counts_per_g = {per_g}
rotation_unit = "counts"
counts_per_deg_s = {per_deg_s}
"""
UNITS = """acceleration_unit = "g"
rotation_unit = "deg/s"
"""
PER_DEG_S = 16.384


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


def make(folder: Path, rows: int, places: dict[str, tuple[str, float]], *, counts: bool) -> Path:
    """Write a log of one or two sensors of six axes and its ride day."""
    readings = ridden()
    header, table, formats, sensors = ["t_ms"], [np.arange(rows, dtype=float)], ["%d"], list[str]()
    for place, (on, per_g) in places.items():
        for axis in AXES:
            header.append(f"{place}_{axis}")
            step = 1.0 if counts else per_g if axis.startswith("a") else PER_DEG_S
            table.append(np.resize(readings[header[-1]] / step, rows))
            formats.append("%d" if counts else "%.5f" if axis.startswith("a") else "%.4f")
        columns = ", ".join(f'{axis} = "{place}_{axis}"' for axis in AXES)
        units = COUNTS.format(per_g=per_g, per_deg_s=PER_DEG_S) if counts else UNITS
        sensors.append(SENSOR.format(name=place, on=on, columns=columns) + units)
    np.savetxt(folder / "run.csv", np.column_stack(table), ",".join(formats), header=",".join(header), comments="")
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
    for places, counts in ((chassis, False), (chassis | wheel, False), (chassis, True)):
        with tempfile.TemporaryDirectory() as folder:
            log = make(Path(folder), asked.rows, places, counts=counts)
            what = f"{6 * len(places)} channels in {'counts' if counts else 'g and deg/s'}"
            print(f"{asked.rows} rows x {what} and a clock, {log.stat().st_size / 1e6:.1f} MB")
            compared(log, asked.rows, asked.repeats, 3)
            took = statistics.median(processor_s(["analyse", folder]) for _ in range(min(3, asked.repeats)))
            print(f"telemetry analyse:       {took:.2f} s of processor time, whole process")


if __name__ == "__main__":
    main()
