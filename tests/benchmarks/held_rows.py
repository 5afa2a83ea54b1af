"""Which expected rows hold the truth: what benchmarks of rides on paper count, whatever made their days."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from telemetry import pipeline
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import Predicted, Prediction
from telemetry.pipeline.studied import RunStudy
from telemetry.pipeline.valuing import Valued, rows_of, valued
from telemetry.ride_day import read_ride_day

HELD = (0.85, 0.95)
WIDEST = 2.0
"""Of an interval, in smallest changes, where springs, pressure or oil volume alone differ."""
WIDTH_ROWS = ("dynamic_sag", "travel_p95", "hit_depth_10_per_min")
BACK = 0.03
TOLD = 0.8
"""Of days with wrong parts: disagrees, or the model doesn't hold."""
SAYS_WRONG = frozenset({"not_ridden_back", "not_as_expected"})

Truth = Mapping[MeasureAt, tuple[float, float]]
"""Baseline and candidate of every row: means over runs, of counts their sums."""


@dataclass(slots=True)
class Count:
    """How many rows hold, of how many, a day each."""

    held: list[int] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)

    @property
    def share(self) -> float:
        return sum(self.held) / sum(self.rows) if self.rows else math.nan

    @property
    def error(self) -> float:
        """Return the share's standard error over days, of a ratio of sums; nan of a single day."""
        off = np.array(self.held) - self.share * np.array(self.rows)
        return float(off.std(ddof=1) * math.sqrt(len(off)) / sum(self.rows)) if len(off) > 1 else math.nan


@dataclass(slots=True)
class Found:
    """What days whose parts are stated rightly give."""

    held: dict[str, Count] = field(default_factory=lambda: defaultdict(Count))
    widths: list[float] = field(default_factory=list)
    back: list[float] = field(default_factory=list)
    unheld: int = 0
    refused: int = 0

    def add_back(self, predicted: Predicted, day: str) -> None:
        """Add how a day's baseline rode back, and whether its right parts were refused."""
        back = predicted.rides_back
        self.back += [row.off for row in back.rows]
        if not back.holds:
            self.unheld += 1
            print(f"  {day}: {back.reason}")
        self.refused += any(one.code == "not_as_expected" for one in predicted.findings)

    def add_rows(self, rows: Iterable[Prediction], truth: Truth, names: Callable[[Prediction], Iterable[str]]) -> None:
        """Add a day's rows that have a truth, each under the names it counts by."""
        held: dict[str, list[bool]] = defaultdict(list)
        for row in rows:
            true = true_change(row, *truth[row.measure, row.end]) if (row.measure, row.end) in truth else None
            if true is not None:
                for name in names(row):
                    held[name].append(abs(true - row.axis) <= row.axis_half)
        for name, own in held.items():
            self.held[name].held.append(sum(own))
            self.held[name].rows.append(len(own))

    def add_widths(self, rows: Iterable[Prediction], truth: Truth) -> None:
        """Add how wide a day's intervals are, of the rows whose width counts."""
        self.widths += [
            2 * row.axis_half
            for row in rows
            if row.measure in WIDTH_ROWS
            and (row.measure, row.end) in truth
            and true_change(row, *truth[row.measure, row.end]) is not None
        ]

    @property
    def wide(self) -> int:
        """How many intervals are too wide."""
        return sum(width > WIDEST for width in self.widths)

    @property
    def worst_back(self) -> float:
        """How far off a measure of a baseline that rode back was at most; nan where none was ridden."""
        return max(self.back, default=math.nan)

    @property
    def holds(self) -> bool:
        """Whether the share of rows that hold, and how close baselines ride back, keep their limits."""
        return HELD[0] <= self.held["all rows"].share <= HELD[1] and self.worst_back <= BACK

    def tell(self) -> None:
        """Print it."""
        for name, count in sorted(self.held.items()):
            print(
                f"{name:36} {sum(count.held):5} of {sum(count.rows):5} rows hold the true change: "
                f"{100 * count.share:5.1f} % ± {100 * count.error:.1f}"
            )
        print(f"springs alone: {self.wide} of {len(self.widths)} intervals wider than {WIDEST:g} smallest changes")
        print(f"ridden back: at most {100 * self.worst_back:.1f} % off; {self.unheld} days don't hold")
        print(f"right parts refused on {self.refused} days")


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


def measured(folder: Path) -> Valued:
    """Return a folder's usable runs with their values."""
    done = pipeline.study(read_ride_day(folder))
    return valued(done, tuple(run for run in done.runs if run.usable), None)


def over_runs(found: Valued, wanted: Callable[[RunStudy], bool]) -> dict[MeasureAt, float]:
    """Return every row over the runs that are wanted: means, of counts sums; those that every such run has."""
    values: dict[MeasureAt, float] = {}
    for spec, end in rows_of(found.done.day):
        own = [found.values[run.entry.name][spec.name, end] for run in found.runs if wanted(run)]
        if spec.scale == "count":
            values[spec.name, end] = float(sum(one.count or 0 for one in own))
        elif all(one.value is not None for one in own):
            values[spec.name, end] = float(np.mean([one.value for one in own if one.value is not None]))
    return values
