"""How long a large log takes from disk to all measures, against a bare read of the same file in the same run.

    python tests/benchmarks/csv_to_measures.py            # 1.8 million rows x 6 columns

Prints ratios; judges nothing. The floor is ``pyarrow.csv.read_csv`` with one thread on all columns.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from scipy.signal import butter, sosfilt

RATE_HZ = 1000
TOML = """
[ride_day]
date = 2026-05-16
[bike]
wheelbase_mm = 1250
head_angle_deg = 64
[bike.front]
travel_mm = 170
[bike.rear]
stroke_mm = 62.5
leverage = "leverage.csv"
[log]
time = { column = "t_ms", unit = "ms" }
[sensors.fork]
kind = "displacement"
end = "front"
column = "A0"
points = [[212, 0.0], [3770, 170.0]]
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = "A1"
points = [[305, 0.0], [3601, 62.5]]
[setups.a]
[[runs]]
log = "run.csv"
setup = "a"
"""
INSIDE = """
import sys, time
import numpy, scipy.signal, scipy.stats, pandas, pyarrow.csv, telemetry
from telemetry import pipeline, read_ride_day
def peak_kib():  # of this process alone: what resource reports is inherited from the one that started it
    with open("/proc/self/status") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmHWM"))
before = peak_kib()
start, start_cpu = time.perf_counter(), time.process_time()
day = read_ride_day(sys.argv[1])
analysis = pipeline.analyse(day)
took, took_cpu = time.perf_counter() - start, time.process_time() - start_cpu
peak = peak_kib()
assert len(analysis.runs[0].measures) > int(sys.argv[2])
print(took, took_cpu, (peak - before) * 1024)
"""
BARE = """
import sys, time
from pyarrow import csv
start, start_cpu = time.perf_counter(), time.process_time()
csv.read_csv(sys.argv[1], read_options=csv.ReadOptions(use_threads=False))
print(time.perf_counter() - start, time.process_time() - start_cpu)
"""


def signal(rng: np.random.Generator, rows: int) -> np.ndarray:
    moves = sosfilt(butter(2, [0.6, 9.0], "bandpass", fs=RATE_HZ, output="sos"), rng.standard_normal(rows))
    return np.clip(47 + 17 * moves / moves.std(), 0.0, 168.0)


def make(folder: Path, rows: int) -> Path:
    """Write a log of six columns and its ride day."""
    rng = np.random.default_rng(7)
    front = signal(rng, rows)
    stroke = np.roll(front, 200) / 2.7
    noise = [rng.normal(0, 2, rows) for _ in range(3)]
    table = np.column_stack(
        [
            np.arange(rows),
            np.round(212 + front / 170 * 3558 + rng.normal(0, 0.7, rows)),
            np.round(305 + stroke / 62.5 * 3296 + rng.normal(0, 0.7, rows)),
            *noise,
        ]
    )
    np.savetxt(folder / "run.csv", table, "%d,%d,%d,%.4f,%.4f,%.4f", header="t_ms,A0,A1,ax,ay,az", comments="")
    (folder / "leverage.csv").write_text("stroke_mm,travel_mm\n0,0\n20,58\n40,113\n62.5,165\n", encoding="ascii")
    (folder / "ride_day.toml").write_text(TOML, encoding="ascii")
    return folder / "run.csv"


def run(code: str, *arguments: str) -> list[float]:
    done = subprocess.run([sys.executable, "-c", code, *arguments], check=True, capture_output=True, text=True)
    return [float(word) for word in done.stdout.split()]


def compared(log: Path, rows: int, repeats: int, least_measures: int) -> None:
    """Print how long the day beside a log takes from disk to all measures, against bare reads of that log by turns."""
    run(BARE, str(log))
    arguments = (INSIDE, str(log.parent), str(least_measures))
    pairs = [(run(*arguments), run(BARE, str(log))) for _ in range(repeats)]
    for place, name in enumerate(("wall", "processor")):
        bare, ours = (statistics.median(pair[of][place] for pair in pairs) for of in (1, 0))
        ratios = [ours[place] / bare[place] for ours, bare in pairs]
        spread = f"{min(ratios):.2f} to {max(ratios):.2f}"
        print(f"{name} time: bare read, one thread {bare:.3f} s (median); disk to all measures {ours:.3f} s (median)")
        print(f"{name} time, ratio:  {statistics.median(ratios):.2f} (median), {spread}")
    print(f"memory beyond imports:   {max(ours[2] for ours, _ in pairs) / rows:.0f} bytes a row (peak)")


def timed(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=1_800_000)
    parser.add_argument("--repeats", type=int, default=5)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        log = make(folder, asked.rows)
        print(f"{asked.rows} rows x 6 columns, {log.stat().st_size / 1e6:.1f} MB")
        compared(log, asked.rows, asked.repeats, 40)
    python = sys.executable
    bare_start = statistics.median(timed([python, "-c", "pass"]) for _ in range(5))
    bare_import = statistics.median(timed([python, "-c", "import telemetry"]) for _ in range(5))
    help_text = [python, "-c", "from telemetry.cli import main; main(['--help'])"]
    print(f"import telemetry:        {bare_import - bare_start:.3f} s beyond the bare interpreter")
    print(f"--help:                  {statistics.median(timed(help_text) for _ in range(5)):.3f} s, whole process")
    day = Path(__file__).parent.parent.parent / "sample_runs" / "lower_leg_oil"
    with tempfile.TemporaryDirectory() as name:
        words = f"from telemetry.cli import main; main(['report', {str(day)!r}, '--out', {name + '/r.html'!r}])"
        took = statistics.median(timed([python, "-c", words]) for _ in range(3))
    print(f"report of the sample day: {took:.2f} s, whole process")


if __name__ == "__main__":
    main()
