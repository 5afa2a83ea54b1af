"""What commands take from the shell's call to their end, against an import of the libraries in the same run.

    python tests/benchmarks/start_up.py            # --times 9: how often each is run, in turns

The floor is ``python -c "import numpy, scipy.signal, pandas"`` as a process of its own. Wanted are at most 1.1 of it
for `check` of a day with one new log and 2.5 for a report of a sample day. Prints ratios; judges nothing: on a busy
machine only what was run in turns can be compared.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

FLOOR = "import numpy, scipy.signal, pandas"
COMMAND = "from telemetry.cli import main; main()"
HOME = Path(__file__).parents[2]
SAMPLE = HOME / "sample_runs" / "lower_leg_oil"


def seconds(words: Sequence[str], compiled: Path) -> float:
    """Return what a process takes, as a whole, with its modules compiled as they are for who uses it every day."""
    own = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    environment = own | {"PYTHONPYCACHEPREFIX": str(compiled)}
    started = time.perf_counter()
    subprocess.run([sys.executable, "-c", *words], check=True, stdout=subprocess.DEVNULL, cwd=HOME, env=environment)
    return time.perf_counter() - started


def main() -> None:
    sys.path.insert(0, str(HOME))
    from tests.pipeline.small_days import make_day

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, default=9)
    times = parser.parse_args().times
    with tempfile.TemporaryDirectory() as folder:
        day = make_day(Path(folder) / "day", ("a",), seconds=60.0)
        asked = {
            "floor": [FLOOR],
            "telemetry --version": [COMMAND, "--version"],
            "check, one new log of a minute": [COMMAND, "check", str(day)],
            f"report, {SAMPLE.name}": [
                COMMAND,
                "report",
                str(SAMPLE),
                "--no-predict",
                "--out",
                str(Path(folder) / "report.html"),
            ],
        }
        taken: dict[str, list[float]] = {what: [] for what in asked}
        for turn in range(times + 1):
            for what, words in asked.items():
                spent = seconds(words, Path(folder) / "compiled")
                if turn:  # the first compiles, and finds files that aren't in memory yet
                    taken[what].append(spent)
    floor = taken.pop("floor")
    print(f"floor, {FLOOR}: {statistics.median(floor):.2f} s")
    for what, spent in taken.items():
        ratio = statistics.median(own / bare for own, bare in zip(spent, floor, strict=True))
        print(f"{what}: {statistics.median(spent):.2f} s, {ratio:.2f} x the floor")


if __name__ == "__main__":
    main()
