"""How well rides on paper tell what a change does: simulated days whose parts are known as a tuner knows them.

    python -m tests.benchmarks.predictions                    # 28 days, four of every change
    python -m tests.benchmarks.predictions --days 105         # half an hour
    python -m tests.benchmarks.predictions --wrong            # days whose parts are stated wrong

Each day has a trail, a bike and figures of its own, so that as many scenarios are met as there are days: a day's rows
hold or fail together. Prints how often an interval holds the true change, how wide it is where springs alone differ,
how close the baseline rides back, and what is said of days whose parts are stated wrong; ends with 1 where a limit
fails.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path
from typing import Any

import telemetry
from telemetry.model.prediction import Predicted
from tests.benchmarks.held_rows import SAYS_WRONG, TOLD, Found
from tests.benchmarks.predicted_days import CHANGES, Change, MadeDay, made_day, stated_day

OIL_HALF = Change(name="oil stated half", front={"lower_leg_oil_each_ml": 55}, springs_only=True)
WRONG: tuple[tuple[str, Change, dict[str, Any]], ...] = (
    ("the oil of the candidate half as much", OIL_HALF, {"other": {"front": {"lower_leg_oil_each_ml": 0.5}}}),
    (
        "rear spring 20 % too stiff, both setups",
        CHANGES[0],
        {name: {"rear": {"spring_rate_n_mm": 1.2}} for name in ("own", "other")},
    ),
    (
        "rear spring 20 % too soft, both setups",
        CHANGES[0],
        {name: {"rear": {"spring_rate_n_mm": 0.8}} for name in ("own", "other")},
    ),
    ("rear spring 20 % too stiff, the candidate", CHANGES[0], {"other": {"rear": {"spring_rate_n_mm": 1.2}}}),
)


def _add(found: Found, made: MadeDay, predicted: Predicted) -> None:
    found.add_back(predicted, made.change.name)
    found.add_rows(
        predicted.predictions, made.truth, lambda row: ("all rows", row.measure, f"change: {made.change.name}")
    )
    if made.change.springs_only:
        found.add_widths(predicted.predictions, made.truth)


def _days(days: int, first: int) -> Iterator[tuple[MadeDay, Predicted]]:
    for seed, change in zip(range(first, first + days), cycle(CHANGES), strict=False):
        with tempfile.TemporaryDirectory() as folder:
            made = made_day(Path(folder), seed, change)
            yield made, telemetry.predict(telemetry.read_ride_day(made.folder))


def known_parts(days: int, first: int) -> bool:
    """Print how days with known parts come out; tell whether every limit holds."""
    found = Found()
    for number, (made, predicted) in enumerate(_days(days, first), 1):
        print(f"{number}: {made.change.name}", file=sys.stderr)
        _add(found, made, predicted)
    found.tell()
    return found.holds and found.wide == 0


def wrong_parts(days: int, first: int) -> bool:
    """Print what is said of days whose parts are stated wrong; tell whether it is said often enough."""
    told = total = 0
    for name, change, wrong in WRONG:
        own = 0
        for seed in range(first, first + days):
            with tempfile.TemporaryDirectory() as folder:
                stated_day(Path(folder) / "day", seed, change, wrong=wrong)
                predicted = telemetry.predict(telemetry.read_ride_day(Path(folder) / "day"))
            own += bool(SAYS_WRONG & {one.code for one in predicted.findings})
        print(f"{name}: said on {own} of {days} days")
        told, total = told + own, total + days
    print(f"wrong parts are told on {told} of {total} days")
    return told >= TOLD * total


def main() -> int:
    """Run what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, help="28, or 4 of each kind of wrong parts")
    parser.add_argument("--first", type=int, default=1, help="seed of the first day")
    parser.add_argument("--wrong", action="store_true", help="days whose parts are stated wrong")
    asked = parser.parse_args()
    tell, usual = (wrong_parts, 4) if asked.wrong else (known_parts, 4 * len(CHANGES))
    return 0 if tell(asked.days or usual, asked.first) else 1


if __name__ == "__main__":
    sys.exit(main())
