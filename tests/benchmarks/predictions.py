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
import math
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import cycle
from pathlib import Path
from typing import Any

import numpy as np

import telemetry
from telemetry.model.prediction import Predicted, Prediction
from tests.benchmarks.predicted_days import CHANGES, Change, MadeDay, made_day, stated_day

HELD = (0.85, 0.95)
WIDEST = 2.0
"""Of an interval, in smallest changes, where springs, pressure or oil volume alone differ."""
WIDTH_ROWS = ("dynamic_sag", "travel_p95", "hit_depth_10_per_min")
BACK = 0.03
TOLD = 0.8
"""Of days with wrong parts: disagrees, or the model doesn't hold."""
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


@dataclass(slots=True)
class _Count:
    """How many rows hold, of how many, a day each."""

    held: list[int] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)

    @property
    def share(self) -> float:
        return sum(self.held) / sum(self.rows)

    @property
    def error(self) -> float:
        """Return the share's standard error over days, of a ratio of sums; nan of a single day."""
        off = np.array(self.held) - self.share * np.array(self.rows)
        return float(off.std(ddof=1) * math.sqrt(len(off)) / sum(self.rows)) if len(off) > 1 else math.nan


@dataclass(slots=True)
class _Found:
    held: dict[str, _Count] = field(default_factory=lambda: defaultdict(_Count))
    widths: list[float] = field(default_factory=list)
    back: list[float] = field(default_factory=list)
    unheld: int = 0
    refused: int = 0


def true_change(row: Prediction, before: float, after: float) -> float | None:
    """Return a row's true change in times its smallest change; None where it has none."""
    if row.scale == "raw":
        return (after - before) / row.smallest_change
    if row.percent is None or row.axis == 0:
        return None
    least = math.log1p(row.percent[0] / 100) / row.axis
    if row.scale == "count":
        return math.log((after + 0.5) / (before + 0.5)) / least
    return math.log(after / before) / least if min(before, after) > 0 else None


def _add(found: _Found, made: MadeDay, predicted: Predicted) -> None:
    back = predicted.rides_back
    found.back += [row.off for row in back.rows]
    if not back.holds:
        found.unheld += 1
        print(f"  {made.change.name}: {back.reason}")
    found.refused += any(one.code == "not_as_expected" for one in predicted.findings)
    held: dict[str, list[bool]] = defaultdict(list)
    for row in predicted.predictions:
        if (row.measure, row.end) not in made.truth:
            continue
        true = true_change(row, *made.truth[row.measure, row.end])
        if true is None:
            continue
        for name in ("all rows", row.measure, f"change: {made.change.name}"):
            held[name].append(abs(true - row.axis) <= row.axis_half)
        if made.change.springs_only and row.measure in WIDTH_ROWS:
            found.widths.append(2 * row.axis_half)
    for name, own in held.items():
        found.held[name].held.append(sum(own))
        found.held[name].rows.append(len(own))


def _days(days: int, first: int) -> Iterator[tuple[MadeDay, Predicted]]:
    for seed, change in zip(range(first, first + days), cycle(CHANGES), strict=False):
        with tempfile.TemporaryDirectory() as folder:
            made = made_day(Path(folder), seed, change)
            yield made, telemetry.predict(telemetry.read_ride_day(made.folder))


def known_parts(days: int, first: int) -> bool:
    """Print how days with known parts come out; tell whether every limit holds."""
    found = _Found()
    for number, (made, predicted) in enumerate(_days(days, first), 1):
        print(f"{number}: {made.change.name}", file=sys.stderr)
        _add(found, made, predicted)
    for name, count in sorted(found.held.items()):
        print(
            f"{name:36} {sum(count.held):5} of {sum(count.rows):5} rows hold the true change: "
            f"{100 * count.share:5.1f} % ± {100 * count.error:.1f}"
        )
    wide = sum(width > WIDEST for width in found.widths)
    print(f"springs alone: {wide} of {len(found.widths)} intervals wider than {WIDEST:g} smallest changes")
    print(f"ridden back: at most {100 * max(found.back):.1f} % off; {found.unheld} days don't hold")
    print(f"right parts refused on {found.refused} days")
    share = found.held["all rows"].share
    return HELD[0] <= share <= HELD[1] and wide == 0 and max(found.back) <= BACK


def wrong_parts(days: int, first: int) -> bool:
    """Print what is said of days whose parts are stated wrong; tell whether it is said often enough."""
    told = total = 0
    for name, change, wrong in WRONG:
        own = 0
        for seed in range(first, first + days):
            with tempfile.TemporaryDirectory() as folder:
                stated_day(Path(folder) / "day", seed, change, wrong=wrong)
                predicted = telemetry.predict(telemetry.read_ride_day(Path(folder) / "day"))
            own += bool({"not_ridden_back", "not_as_expected"} & {one.code for one in predicted.findings})
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
