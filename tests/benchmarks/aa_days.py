"""How often a change is seen where nothing was changed: ride days of the simulated bike, logs and all.

    python -m tests.benchmarks.aa_days                        # 200 days of 3 + 3 runs; some minutes
    python -m tests.benchmarks.aa_days --days 20 --seed 7

Every day is simulated anew (the rider's line, pace and stance differ from run to run), logged at 500 Hz and 12 bits,
read and compared as a tuner's would be. Prints the days with any "changed" beside what 5 % allows by luck.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from scipy import stats

import telemetry
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario

SCENARIO = Path(__file__).parent / "aa_day.toml"
ALLOWED = 0.05
WORKERS = 2


def changed_rows(seed: int) -> list[str]:
    """Return the rows called "changed" on one day."""
    with tempfile.TemporaryDirectory() as place:
        scenario = Path(place) / "scenario.toml"
        text = SCENARIO.read_text(encoding="utf-8")
        if "\nseed = 1\n" not in text:
            raise ValueError("the scenario's seed is not where it is looked for")
        scenario.write_text(text.replace("\nseed = 1\n", f"\nseed = {seed}\n"), encoding="utf-8")
        make_day(read_scenario(scenario), Path(place) / "day")
        day = telemetry.with_kept_days(telemetry.read_ride_day(Path(place) / "day"), None)
        found = telemetry.compare(day).to_dict()["results"]
    return [f"{row['measure']}:{row['end']}" for row in found if row["verdict"] == "changed"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1000)
    asked = parser.parse_args()
    begun = time.perf_counter()
    with ProcessPoolExecutor(WORKERS) as pool:
        days = list(pool.map(changed_rows, range(asked.seed, asked.seed + asked.days)))
    wrong = [rows for rows in days if rows]
    for rows in wrong:
        print(f'"changed": {", ".join(rows)}')
    most = int(stats.binom.ppf(0.975, asked.days, ALLOWED))
    share = 100 * len(wrong) / asked.days
    print(f'{len(wrong)} of {asked.days} days with any "changed": {share:.1f} % (limit 5 %, by luck up to {most} days)')
    print(f"{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
