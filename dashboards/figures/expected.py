"""Expected above measured, a row each, in times the smallest change that matters."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from telemetry.model.comparison import Verdict
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import Prediction
from telemetry.telling.expected import disagreement, expected_sentence
from telemetry.telling.names import named
from telemetry.telling.paper_figures import FEW_RUNS, agreement_word
from telemetry.words import difference_unit
from telemetry.words import figure as number

from .matters import MOST_REACH, SHAPES, Mark, band, percent, span, ticks, title, usual_reach, wide_reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An expected change in percent of the width: its ends, its middle, and whether it leaves the panel."""

    start: float
    width: float
    at: float
    more_left: bool
    more_right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedRow:
    """One row: its name, what 1 on the axis is, expected, measured, and the word at its end.

    `mark` is None where nothing was measured; `mark.thick` is the 90 % interval.
    """

    label: str
    one_is: str
    box: Box
    mark: Mark | None
    word: str
    bold: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedScale:
    """Rows drawn to one scale; as `ScaledRows` of the verdicts."""

    rows: tuple[ExpectedRow, ...]
    reach: float
    band: tuple[float, float]
    ticks: tuple[tuple[float, str], ...]
    title: str


def _size(row: Prediction) -> float:
    return max(abs(row.axis), 0.0 if row.measured_axis is None else abs(row.measured_axis[0]))


def _farthest(row: Prediction) -> float:
    ends = [abs(row.axis) + row.axis_half]
    if row.measured_axis is not None:
        ends.append(abs(row.measured_axis[0]) + row.measured_axis[1])
    return max(ends)


def _box(row: Prediction, reach: float) -> Box:
    low, high = row.axis - row.axis_half, row.axis + row.axis_half
    start, end = percent(low, reach), percent(high, reach)
    return Box(
        start=start, width=end - start, at=percent(row.axis, reach), more_left=low < -reach, more_right=high > reach
    )


def _mark(row: Prediction, verdict: Verdict | None, reach: float) -> Mark | None:
    if row.measured_axis is None:
        return None
    at, half = row.measured_axis
    return Mark(
        at=percent(at, reach),
        shape="stroke" if verdict is None else SHAPES[verdict],
        thin=None,
        thick=span(at - half, at + half, reach),
        more_left=at - half < -reach,
        more_right=at + half > reach,
    )


def one_is(row: Prediction) -> str:
    """Return what 1 on the axis is: "1 = 2 points"."""
    if row.percent is None:
        text = f"{row.smallest_change:.2f}".rstrip("0").rstrip(".")
        unit = difference_unit(row.unit)
        return f"1 = {text} {'point' if (text, unit) == ('1', 'points') else unit}"
    share = (row.percent[2] - row.percent[1]) / (row.high - row.low or 1.0)
    return f"1 = {number(share * row.smallest_change, 0)} %"


def expected_figure(
    rows: Sequence[Prediction],
    verdicts: Mapping[MeasureAt, Verdict | None],
    *,
    among: Sequence[Prediction] = (),
    head: str = "",
) -> tuple[ExpectedScale, ...]:
    """Return all rows to the usual scale, then to a wider one what lies beyond it.

    Parameters
    ----------
    rows : sequence of Prediction
    verdicts : mapping of (measure, end) to verdict
        Of the comparison: the mark's shape tells it, as in the verdicts' own figure.
    among : sequence of Prediction, optional
        Rows of other groups that share the usual scale.
    head : str, optional
        What these rows are, to stand above them.
    """
    usual = usual_reach([(_size(row), _farthest(row)) for row in (*rows, *among)])
    far = [size for size in map(_size, rows) if size > MOST_REACH]
    groups = [(usual, [row for row in rows if _size(row) <= MOST_REACH])]
    groups += [(wide_reach(max(far)), [row for row in rows if _size(row) > MOST_REACH])] if far else []
    return tuple(
        ExpectedScale(
            rows=tuple(_row(row, verdicts.get((row.measure, row.end)), reach) for row in own),
            reach=reach,
            band=band(reach),
            ticks=ticks(reach),
            title=". ".join(words for words in (head if place == 0 else "", title(reach)) if words),
        )
        for place, (reach, own) in enumerate((reach, own) for reach, own in groups if own)
        if own
    )


def _word(row: Prediction) -> str:
    """Return the word at a row's end; where no measured interval is drawn, why."""
    if row.measured is not None and row.measured_axis is None:
        return FEW_RUNS
    return agreement_word(row) or "not measured"


def _row(row: Prediction, verdict: Verdict | None, reach: float) -> ExpectedRow:
    return ExpectedRow(
        label=named(row.measure, row.end),
        one_is=one_is(row),
        box=_box(row, reach),
        mark=_mark(row, verdict, reach),
        word=_word(row),
        bold=row.agreement == "disagrees",
        sentence=disagreement(row) if row.agreement == "disagrees" else expected_sentence(row),
    )
