"""How well rides on paper tell what a change does on bikes that the program's own simulation didn't make.

    python -m tests.benchmarks.other_worlds                     # 27 days, every change in every family
    python -m tests.benchmarks.other_worlds --days 9 --first 301 --family legs
    python -m tests.benchmarks.other_worlds --wrong             # days whose parts are stated wrong

The days come from `tests.benchmarks.other_world`, which shares nothing with the product but how a log is read and what
its measures are: never what moves, simulates or knows a part (`telemetry.dynamics`, `simulation`, `mechanics`,
`bench`); a test holds it to that. Three families of bikes: two quarter-cars, a rigid one that pitches, a frame with the
rider on feet and hands; each day has a bike, a trail, a change and draws of its own.

Prints how often an interval holds the true change, in all, by family, change and row, at the end that was changed and
the other; how wide intervals are where springs alone differ; how close baselines ride back; and what is said of days
whose parts are stated wrong. Ends with 1 where a limit of `tests.benchmarks.predictions` fails: on rows that hold, on
baselines ridden back, on wrong parts told. Widths aren't judged: figures are known less well here than there.

The truth is that of all six lines of a day, so that an interval needs its runs' share; beside it stands that of the
baseline's own lines.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

import telemetry
from telemetry.model.prediction import Predicted, Prediction
from tests.benchmarks.held_rows import SAYS_WRONG, TOLD, Found
from tests.benchmarks.other_world.changes import CHANGES, WRONG
from tests.benchmarks.other_world.days import Day, made_day
from tests.benchmarks.other_world.motion import FAMILIES, Family


def _days(days: int, first: int, families: Sequence[Family], changes: Sequence[str]) -> Iterator[tuple[Day, Predicted]]:
    """Make and ride days: every change in turn, each time round in the next family."""
    for number in range(days):
        round_, turn = divmod(number, len(changes))
        family = families[(round_ + turn) % len(families)]
        with tempfile.TemporaryDirectory() as folder:
            made = made_day(Path(folder), first + number, family, changes[turn])
            predicted = telemetry.predict(telemetry.read_ride_day(made.folder))
            print(
                f"{number + 1}: {made.change}, {family}, {made.changed.base.kind}, "
                f"tyres off the ground {100 * made.unloaded:.0f} % of the time",
                file=sys.stderr,
            )
            yield made, predicted


def _add(found: Found, made: Day, predicted: Predicted) -> None:
    place = made.changed.place

    def names(row: Prediction) -> list[str]:
        end = "both" if row.end == "both" else "changed" if row.end == place else "other"
        return ["all rows", row.measure, f"change: {made.change}", f"family: {made.family}", f"end: {end}"]

    found.add_back(predicted, f"{made.change}, {made.family}")
    found.add_rows(predicted.predictions, made.truth, names)
    found.add_rows(predicted.predictions, made.truth_own, lambda _row: ["lines: the baseline's"])
    if made.changed.springs_only:
        found.add_widths(predicted.predictions, made.truth)


def known_parts(days: int, first: int, families: Sequence[Family]) -> bool:
    """Print how days with known parts come out; tell whether the limits hold."""
    found = Found()
    for made, predicted in _days(days, first, families, tuple(CHANGES)):
        _add(found, made, predicted)
    found.tell()
    return found.holds


def wrong_parts(days: int, first: int, families: Sequence[Family]) -> bool:
    """Print what is said of days whose parts are stated wrong; tell whether it is said often enough."""
    told = 0
    for made, predicted in _days(days, first, families, tuple(WRONG)):
        says = sorted(SAYS_WRONG & {one.code for one in predicted.findings})
        print(f"{made.change}, {made.family}: {', '.join(says) or 'nothing'}")
        told += bool(says)
    print(f"wrong parts are told on {told} of {days} days")
    return told >= TOLD * days


def main() -> int:
    """Run what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, help="27, or 6 whose parts are stated wrong")
    parser.add_argument("--first", type=int, default=1, help="seed of the first day")
    parser.add_argument("--family", choices=FAMILIES, help="one of them only")
    parser.add_argument("--wrong", action="store_true", help="days whose parts are stated wrong")
    asked = parser.parse_args()
    families = (asked.family,) if asked.family else FAMILIES
    tell, usual = (wrong_parts, 6) if asked.wrong else (known_parts, len(CHANGES) * len(FAMILIES))
    return 0 if tell(asked.days or usual, asked.first, families) else 1


if __name__ == "__main__":
    sys.exit(main())
