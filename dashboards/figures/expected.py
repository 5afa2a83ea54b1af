"""What a change should have done beside what it did: a box above a disc, on the axis of the verdicts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from telemetry.model.prediction import Predicted, Prediction
from telemetry.telling.prediction import place_words
from telemetry.words import figure as number

from .verdicts import LEAST_REACH, MOST_REACH, ScaledRows, percent_at, scaled, span

TELLING = (
    "dynamic_sag",
    "travel_p95",
    "hit_depth_10_per_min",
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
    "deep_hits_per_min",
)
"""Measures that are drawn whatever they do."""
MOVES = 0.25
"""In times the smallest change that matters: other rows are drawn from here on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedRow:
    """One row in percent of the panel's width.

    Attributes
    ----------
    box : (start, end)
        The expected change's 90 % interval; `middle` is the change.
    at, thin : float, (start, end), or None
        The measured change and its 90 % interval; None where nothing was measured.
    more_left, more_right : bool
        Whether what was measured goes on beyond the axis.
    word : str
        Agrees, disagrees, can't tell; bold where they disagree.
    """

    label: str
    one_is: str
    box: tuple[float, float]
    middle: float
    at: float | None
    thin: tuple[float, float] | None
    more_left: bool
    more_right: bool
    word: str
    bold: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedFigure:
    """All rows to one scale."""

    rows: tuple[ExpectedRow, ...]
    scale: ScaledRows


def _drawn(row: Prediction) -> bool:
    return row.measure in TELLING or row.agreement == "disagrees" or abs(row.axis) >= MOVES


def _reach(rows: tuple[Prediction, ...]) -> float:
    """Return an axis on which every expected change stands, and most of what was measured; at most 4."""
    sizes = [abs(row.axis) + row.axis_half for row in rows]
    sizes += [abs(row.measured_axis[0]) for row in rows if row.measured_axis is not None]
    return min(MOST_REACH, max(LEAST_REACH, math.ceil(2 * max(sizes, default=0.0)) / 2))


def _one_is(row: Prediction) -> str:
    if row.percent is not None:
        share = 100 * math.expm1(math.log1p(row.percent[0] / 100) / row.axis) if row.axis else 0.0
        return f"1 = {number(share, 0)} %" if share else ""
    unit = "pt" if row.unit.startswith("%") else "mm"
    return f"1 = {row.smallest_change:.2f}".rstrip("0").rstrip(".") + f" {unit}"


def _row(row: Prediction, reach: float) -> ExpectedRow:
    seen = row.measured_axis
    low, high = (None, None) if seen is None else (seen[0] - seen[1], seen[0] + seen[1])
    first, last = row.axis - row.axis_half, row.axis + row.axis_half
    return ExpectedRow(
        label=place_words(row),
        one_is=_one_is(row),
        box=(percent_at(first, reach), percent_at(last, reach)),
        middle=percent_at(row.axis, reach),
        at=None if seen is None else percent_at(seen[0], reach),
        thin=span(low, high, reach),
        more_left=low is not None and low < -reach,
        more_right=high is not None and high > reach,
        word=row.agreement or "not measured",
        bold=row.agreement == "disagrees",
        sentence=row.sentence,
    )


def expected_figure(predicted: Predicted) -> ExpectedFigure:
    """Return the figure of one candidate: the rows that tell, those that should move and those that disagree."""
    rows = tuple(row for row in predicted.predictions if _drawn(row))
    reach = _reach(rows)
    return ExpectedFigure(rows=tuple(_row(row, reach) for row in rows), scale=scaled(reach))
