"""How often the verdicts are wrong: 1000 simulated days a scenario beside every limit of the contract.

    python -m tests.benchmarks.error_rates                    # 1000 days a kind, fixed seed; some ten seconds
    python -m tests.benchmarks.error_rates --days 200

Generator: tests/comparison/made_days.py. A rate that breaks its limit by more than luck (two binomial standard
deviations) is marked with !. Judges nothing: `tests/comparison/test_error_rates.py` does, on 100 days.
"""

from __future__ import annotations

import argparse
import time
from itertools import groupby

from tests.comparison.error_rates import Rate, rates

SEED = 2026
COLUMNS = {
    "coverage, the worst measure": "interval holds the truth, worst measure: ≥ 93",
    "coverage without the section floor, mean": "same without section floor, mean: ≤ 97",
    'A/A days with any "changed"': 'nothing changed, any "changed": ≤ 5',
    "false discovery": "false among found: ≤ 5",
    'focus measure that didn\'t change called "changed"': "focus that didn't change, found: ≤ 6",
    'false "unchanged" at the margin, mean': 'false "unchanged", mean: ≤ 5',
    'false "unchanged" at the margin, the worst measure': "worst measure: ≤ 7",
    '4 mm of sag in the focus called "changed"': "4 mm of sag found: ≥ 50, 4 + 4: ≥ 75",
}


def shown(found: dict[str, Rate], name: str) -> str:
    """Return one cell."""
    rate = found.get(name)
    if rate is None:
        return "–"
    if not rate.limit:
        return f"{rate.value:.1f} (not asked)"
    return f"{rate.value:.1f}" if rate.holds else f"{rate.value:.1f} !"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=1000)
    days = parser.parse_args().days
    begun = time.perf_counter()
    every = list(rates(days, SEED))
    print(f"| {days} days each, % | {' | '.join(COLUMNS.values())} |")
    print("| --- |" + " --- |" * len(COLUMNS))
    for (scenario, runs), group in groupby(every, key=lambda rate: (rate.scenario, rate.runs)):
        found = {rate.name: rate for rate in group}
        print(f"| {scenario}, {runs} + {runs} | {' | '.join(shown(found, name) for name in COLUMNS)} |")
    print()
    for rate in every:
        if rate.name not in COLUMNS:
            print(
                f"- {rate.scenario}, {rate.runs} + {rate.runs}: {rate.name} {rate.value:.0f} % (over {rate.limit:g} %)"
            )
    print(f"\n{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
