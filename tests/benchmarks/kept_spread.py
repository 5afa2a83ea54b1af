"""What the spread of three kept days gives a day of three runs of each: whole days, kept and compared.

    python -m tests.benchmarks.kept_spread                 # 40 shops; some five minutes
    python -m tests.benchmarks.kept_spread --shops 10 --seed 7

Every shop keeps three days of one bike on one trail, 3 + 3 runs each, logs and all, then rides a fourth twice: once
with nothing changed, once with the fork deeper by three run-to-run standard deviations, which is the smallest change
that matters in the one row in focus. Prints how often that is found, with the library and by the day alone, and how
often anything is called "changed" where nothing was, beside the contract's 80 and 5 %. The same on many thousand days
drawn as arrays: tests/benchmarks/error_rates.py, "three earlier days". The exit code is 1 where a limit is broken by
more than two binomial standard deviations.
"""

from __future__ import annotations

import argparse
import math
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

import telemetry
from telemetry.pipeline import keep, with_kept_days
from tests.pipeline.small_days import FRONT_MM, make_day, trail, write_log

ORDER = "abbaab"
SECONDS = 100.0
"""A lap of as many sections as a trail is shared into."""
EARLIER = 3
RATIO = 3.0
DRAWN = 1000
FOUND, FALSE = 80.0, 5.0
WORKERS = 2
AHEAD = "2099-05-16"
"""Later than anything is kept here."""
ROW = ("dynamic_sag", "front")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was said in one shop: whether the change was found, with its kept days and alone; what was wrong."""

    found: bool
    found_alone: bool
    unchanged: bool
    wrong: bool
    lent: bool


def ridden(folder: Path, date: str, chance: np.random.Generator, deeper_mm: float = 0.0, named: str = "") -> Path:
    """Write a day whose runs differ as the draws have it."""
    day = make_day(folder, ORDER, seconds=SECONDS, extra=named)
    for place, setup in enumerate(ORDER, 1):
        seed = int(chance.integers(2**31))
        write_log(day / f"run_{place}.csv", *trail(SECONDS, seed, deeper_mm if setup == "b" else 0.0))
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("date = 2026-05-16", f'date = {date}\ntrail = "Quarry loop"')
    file.write_text(text, encoding="utf-8")
    return day


def kept_days(place: Path, chance: np.random.Generator) -> Path:
    root = place / "library"
    for number in range(1, EARLIER + 1):
        keep(telemetry.read_ride_day(ridden(place / f"day_{number}", f"2099-03-{number:02d}", chance)), root)
    return root


def run_to_run() -> float:
    """Return the standard deviation of a run's sag, points, by the generator alone: many runs' mean travel."""
    means = [float(trail(SECONDS, seed)[0].mean()) for seed in range(DRAWN)]
    return float(np.std(means, ddof=1)) / FRONT_MM * 100


def shop(seed: int, sd: float) -> Told:
    """Return what is said in one shop, where the row's runs have this standard deviation, points."""
    chance, matters = np.random.default_rng([seed, 2]), RATIO * sd
    wish = (
        f'[comparison]\nfocus = ["dynamic_sag:front"]\nnamed_at = {AHEAD}T08:00:00\n'
        f'smallest_change = {{ "dynamic_sag:front" = "{matters:.4f} points" }}\n'
    )
    with tempfile.TemporaryDirectory() as made:
        place = Path(made)
        root = kept_days(place, chance)
        deeper = telemetry.read_ride_day(ridden(place / "deeper", AHEAD, chance, matters * FRONT_MM / 100, wish))
        same = telemetry.read_ride_day(ridden(place / "same", AHEAD, chance, 0.0, wish))
        lent, alone = telemetry.compare(with_kept_days(deeper, root)), telemetry.compare(with_kept_days(deeper, None))
        still = telemetry.compare(with_kept_days(same, root))
    return Told(
        found=verdict_of(lent) == "changed",
        found_alone=verdict_of(alone) == "changed",
        unchanged=verdict_of(still) == "unchanged",
        wrong=any(row.verdict == "changed" for row in still.verdicts.results),
        lent=len(lent.earlier.days) == EARLIER,
    )


def verdict_of(found: telemetry.Comparison) -> str | None:
    return next(row.verdict for row in found.verdicts.results if (row.measure, row.end) == ROW)


def luck(limit: float, cases: int) -> float:
    """Return two binomial standard deviations at a limit, %."""
    share = limit / 100
    return 200 * math.sqrt(share * (1 - share) / cases)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the rates; return 1 where one breaks its limit."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--shops", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1000)
    asked = parser.parse_args(arguments)
    begun = time.perf_counter()
    sd = run_to_run()
    with ProcessPoolExecutor(WORKERS) as pool:
        told = list(pool.map(partial(shop, sd=sd), range(asked.seed, asked.seed + asked.shops)))
    found, false = (100 * float(np.mean([getattr(own, name) for own in told])) for name in ("found", "wrong"))
    alone, same = (100 * float(np.mean([getattr(own, name) for own in told])) for name in ("found_alone", "unchanged"))
    lent = sum(own.lent for own in told)
    print(f"run to run {sd:.2f} points; {EARLIER} kept days lent in {lent} of {len(told)} shops")
    print(f'D/s = {RATIO:g}, 3 + 3: "changed" in {found:.0f} % (80 or more), by the day alone in {alone:.0f} %')
    print(f'nothing changed: any "changed" in {false:.1f} % (5 or less), the focus "unchanged" in {same:.0f} %')
    print(f"{time.perf_counter() - begun:.0f} s")
    holds = found >= FOUND - luck(FOUND, len(told)) and false <= FALSE + luck(FALSE, len(told))
    return int(not holds or lent < len(told))


if __name__ == "__main__":
    sys.exit(main())
