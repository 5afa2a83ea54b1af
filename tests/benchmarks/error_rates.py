"""How often the product's verdicts are wrong: 1000 simulated days a scenario beside every limit of the contract.

    python -m tests.benchmarks.error_rates                    # 1000 days a kind, fixed seed; some ten minutes
    python -m tests.benchmarks.error_rates --days 200 --scenarios "quiet" "power"

Generator: tests/comparison/made_days.py; rates and limits: tests/comparison/error_rates.py. A rate that breaks its
limit by more than luck (two binomial standard deviations) is marked with !, and the exit code is 1 then.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from itertools import groupby

from tests.comparison.error_rates import EVERY, NAMED, Rate, rates

SEED = 2026
COLUMNS = {
    "interval holds the truth, the worst measure": "interval holds the truth, worst measure: ≥ 93",
    "counts: interval holds the truth, the worst": "worst count: ≥ 94",
    "interval holds the truth without the section floor, mean": "without section floor, mean: ≤ 97",
    'nothing changed, any "changed"': 'nothing changed, any "changed": ≤ 5',
    'nothing changed, one focus row, any "changed"': "with one focus row: ≤ 6",
    "false among changes found": "false among found: ≤ 5",
    'false "unchanged" at the smallest change, mean': 'false "unchanged", mean: ≤ 5',
    'false "unchanged" at the smallest change, the worst measure': "worst measure: ≤ 7",
}


def shown(rate: Rate | None) -> str:
    """Return one cell."""
    if rate is None:
        return "–"
    return f"{rate.value:.1f}{' (no limit)' if rate.limit is None else '' if rate.holds else ' !'}"


def line(rate: Rate) -> str:
    """Return a rate that has no column."""
    asked = "" if rate.limit is None else f" ({'≥' if rate.at_least else '≤'} {rate.limit:g})"
    return f"- {rate.scenario}, {rate.ridden}: {rate.name} {rate.value:.1f} %{asked}{'' if rate.holds else ' !'}"


def printed(every: Sequence[Rate], days: int) -> list[str]:
    """Return the table and the lines beneath it."""
    lines = [f"| {days} days each, % | {' | '.join(COLUMNS.values())} |", "| --- |" + " --- |" * len(COLUMNS)]
    for (scenario, ridden), group in groupby(every, key=lambda rate: (rate.scenario, rate.ridden)):
        found = {rate.name: rate for rate in group}
        if not COLUMNS.keys().isdisjoint(found):
            lines.append(f"| {scenario}, {ridden} | {' | '.join(shown(found.get(name)) for name in COLUMNS)} |")
    return [*lines, "", *(line(rate) for rate in every if rate.name not in COLUMNS)]


def main(arguments: Sequence[str] | None = None) -> int:
    """Print every rate; return 1 where one breaks its limit."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=1000)
    parser.add_argument("--scenarios", nargs="+", choices=EVERY, default=EVERY, metavar="NAME", help=", ".join(NAMED))
    asked = parser.parse_args(arguments)
    begun = time.perf_counter()
    every = list(rates(asked.days, SEED, thorough=True, scenarios=asked.scenarios))
    print("\n".join(printed(every, asked.days)))
    broken = sum(not rate.holds for rate in every)
    print(f"\n{len(every)} rates, {broken} over their limit; {time.perf_counter() - begun:.0f} s")
    return int(broken > 0)


if __name__ == "__main__":
    sys.exit(main())
