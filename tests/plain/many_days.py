"""Many invented days against the plain code: ``python -m tests.plain.many_days --days 150 --seed 0``."""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from pathlib import Path

import telemetry
from tests.plain.agreement import Disagreement, disagreements
from tests.plain.made_days import made_day


def shown(value: float | None) -> str:
    return "absent" if value is None else f"{value:.4g}"


def row(seed: int, found: Disagreement) -> str:
    figures = f"{shown(found.plain):>10} {shown(found.product):>10} {shown(found.allowed):>10}"
    return f"{seed:>6} {found.run:6} {found.measure:30} {found.end:6} {figures}  {found.reason}"


def compare_day(folder: Path, seed: int) -> tuple[list[str], Counter[str]]:
    """Return the lines of one day's disagreements, and their measures counted."""
    day = made_day(folder, seed)
    try:
        answer = telemetry.analyse(telemetry.read_ride_day(folder)).to_dict()
    except telemetry.TelemetryError as error:
        return [f"{seed:>6} refused: {error}", f"       {day.words}"], Counter(["refused"])
    found = list(disagreements(answer, day.expected))
    errors = [f["code"] for run in answer["runs"] for f in run["findings"] if f["severity"] == "error"]
    lines = [row(seed, each) for each in found]
    if lines:
        lines.append(f"       {day.words}; errors: {errors}")
    return lines, Counter(each.measure for each in found)


def main() -> None:
    """Print a table of every disagreement."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=20)
    parser.add_argument("--seed", type=int, default=0, help="the first day's seed")
    chosen = parser.parse_args()
    print(f"{'seed':>6} {'run':6} {'measure':30} {'end':6} {'plain':>10} {'product':>10} {'allowed':>10}  reason")
    total: Counter[str] = Counter()
    bad_days = 0
    for seed in range(chosen.seed, chosen.seed + chosen.days):
        with tempfile.TemporaryDirectory() as folder:
            lines, counted = compare_day(Path(folder), seed)
        bad_days += bool(lines)
        total += counted
        if lines:
            print("\n".join(lines), flush=True)
    print(f"{chosen.days} days, {bad_days} with disagreements; by measure: {dict(total.most_common())}")


if __name__ == "__main__":
    main()
