"""How often three pushes are found, and how often some are invented, on simulated runs.

    python -m tests.benchmarks.found_pushes               # 500 runs with pushes and 500 sessions without, about 2 min
    python -m tests.benchmarks.found_pushes --runs 100 --seed 7 --seconds 40

Prints the shares with their exact 95 % bounds, how near the bounds were, and the runs that went wrong.
"""

from __future__ import annotations

import argparse
from collections import Counter

import numpy as np
from scipy.stats import beta

from telemetry.measures import find_motion
from tests.measures.made_pushes import MadePushes, with_pushes, without_pushes


def bounds_of(made: MadePushes) -> tuple[float | None, float | None]:
    """Return start and end as found by pushes, s; None where they aren't."""
    ride = find_motion(made.ride).ride
    return (
        ride.start_s if ride.start_from == "pushes" else None,
        ride.end_s if ride.end_from == "pushes" else None,
    )


def exact_bounds(hits: int, count: int) -> tuple[float, float]:
    """Return the 95 % bounds of a share by Clopper and Pearson (1934, from memory), in %."""
    low = beta.ppf(0.025, hits, count - hits + 1) if hits else 0.0
    high = beta.ppf(0.975, hits + 1, count - hits) if hits < count else 1.0
    return 100 * float(low), 100 * float(high)


def told(title: str, hits: int, count: int) -> str:
    """Return a line with a share and its bounds."""
    low, high = exact_bounds(hits, count)
    return f"{title:44} {hits:4d} of {count:4d}  {100 * hits / count:6.2f} %  (95 %: {low:.2f} to {high:.2f})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=500)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=20.0)
    asked = parser.parse_args()
    right, starts, ends, invented = 0, [], [], 0
    wrong: list[str] = []
    lone: Counter[str] = Counter()
    for seed in range(asked.seed, asked.seed + asked.runs):
        made = with_pushes(seed, asked.seconds)
        start_s, end_s = bounds_of(made)
        good = made.found(start_s, end_s)
        right += good
        if good:
            starts.append(start_s - made.start_s)
            ends.append(end_s - made.end_s)
        else:
            true = f"{made.start_s:.2f} and {made.end_s:.2f} s"
            wrong.append(f"seed {seed} with pushes ({made.words}): found {start_s} and {end_s}, true {true}")
        bare = without_pushes(seed, asked.seconds)
        motion = find_motion(bare.ride)
        invented += bool(motion.pushes.groups)
        lone["invented at one end only"] += bool(motion.pushes.lone)
        if motion.pushes.groups:
            places = ", ".join(f"{bare.ride.time_s[group.start]:.2f} s" for group in motion.pushes.groups)
            wrong.append(f"seed {seed} without pushes ({bare.words}): invented at {places}")
    print(told("with pushes: start and end found", right, asked.runs))
    print(told("without pushes: some invented", invented, asked.runs))
    print(told("without pushes: one end only, invented", lone["invented at one end only"], asked.runs))
    for title, errors in (("start", starts), ("end", ends)):
        if errors:
            low, mid, high = np.quantile(errors, [0.025, 0.5, 0.975])
            print(f"{title:5} found less true: median {mid:+.3f} s, 95 % within {low:+.3f} to {high:+.3f} s")
    for line in wrong:
        print(line)


if __name__ == "__main__":
    main()
