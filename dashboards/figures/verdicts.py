"""The decision rule, drawn: each measure's interval in times the smallest change that matters.

Drawn as plain vector shapes in percent of the panel's width, so that a row can stand beside its name on a wide page
and beneath it on a phone, and follows the reader's light or dark.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.catalogue import SPECS, in_mm
from telemetry.model.comparison import Axis, Result
from telemetry.model.finding import Place
from telemetry.telling.results import difference_in_words, sign_of
from telemetry.words import figure as number

LEAST_REACH, MOST_REACH = 2.0, 4.0
SHAPES = {"changed": "disc", "unchanged": "block", "undecided": "ring"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One interval in percent of the panel's width; None where there is nothing to draw.

    Attributes
    ----------
    at : float
        Centre of the mark.
    shape : {"disc", "block", "ring", "stroke"}
        Changed, unchanged, undecided, no verdict.
    thin, thick : (start, end) or None
    more_left, more_right : bool
        Whether the thin line leaves the panel there.
    """

    at: float
    shape: str
    thin: tuple[float, float] | None
    thick: tuple[float, float] | None
    more_left: bool
    more_right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One end of a row: sign and number, whether bold, the mark, and the whole sentence."""

    sign: str
    number: str
    bold: bool
    mark: Mark | None
    sentence: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One measure: its name, what 1 on the axis is, and its cells by place."""

    label: str
    one_is: str
    cells: dict[Place, Cell]


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictFigure:
    """All rows of one candidate.

    Attributes
    ----------
    ends, both : tuple of Row
        Measures of each end, and those that compare the ends.
    empty : tuple of str
        Why rows have nothing at one end, each reason once.
    reach : float
        The axis runs from -reach to +reach.
    band : (start, end)
        Where "too small to matter" lies, in percent of the width.
    ticks : tuple of (percent, word)
    """

    ends: tuple[Row, ...]
    both: tuple[Row, ...]
    empty: tuple[str, ...]
    reach: float
    band: tuple[float, float]
    ticks: tuple[tuple[float, str], ...]


def _inner(axis: Axis) -> float:
    """Return how far from zero the thick bar reaches, or the difference where there is none."""
    ends = [end for end in (axis.inner_low, axis.inner_high) if end is not None]
    return max((abs(end) for end in ends), default=abs(axis.difference))


def reach_of(results: Sequence[Result]) -> float:
    """Return the axis' reach, in times the smallest change: most thick bars fit, none squeezes the band."""
    sizes = sorted(_inner(result.axis) for result in results if result.axis is not None)
    if not sizes:
        return LEAST_REACH
    usual = sizes[int(0.8 * (len(sizes) - 1))]
    return min(MOST_REACH, max(LEAST_REACH, math.ceil(2 * usual) / 2))


def _percent(value: float, reach: float) -> float:
    return 50 * (1 + max(-reach, min(reach, value)) / reach)


def _span(low: float | None, high: float | None, reach: float) -> tuple[float, float] | None:
    if low is None or high is None:
        return None
    return _percent(low, reach), _percent(high, reach)


def tells(result: Result) -> bool:
    """Tell whether there is something to draw: a difference that so many events can tell."""
    return bool(difference_in_words(result, interval=False))


def mark_of(result: Result, reach: float) -> Mark | None:
    """Return what is drawn of a result; None where there is no difference or no verdict."""
    axis = result.axis
    if axis is None or not tells(result):
        return None
    return Mark(
        at=_percent(axis.difference, reach),
        shape="stroke" if result.verdict is None else SHAPES[result.verdict],
        thin=_span(axis.low, axis.high, reach),
        thick=_span(axis.inner_low, axis.inner_high, reach),
        more_left=min(axis.difference, axis.low if axis.low is not None else axis.difference) < -reach,
        more_right=max(axis.difference, axis.high if axis.high is not None else axis.difference) > reach,
    )


def _one_is(result: Result) -> str:
    if result.percent is not None:
        low, high = result.percent.smallest_change_low, result.percent.smallest_change_high
        return f"1 = {number(high, 0)} %" if abs(abs(low) - high) < 3 else f"1 = +{number(high, 0)} %"
    if result.smallest_change_high is None:
        return ""
    unit = "pt" if result.unit.startswith("%") else "mm" if result.unit.startswith("mm") else result.unit
    text = f"{result.smallest_change_high:.2f}".rstrip("0").rstrip(".")
    return f"1 = {text} {unit}"


def _why_nothing(result: Result) -> str:
    if result.verdict is None:
        return "no verdict"
    return "no value" if result.difference is None else "too few events"


def _measured(result: Result) -> bool:
    return result.baseline_value is not None or result.candidate_value is not None


def _cell(result: Result, reach: float) -> Cell:
    mark = mark_of(result, reach)
    drawn = tells(result)
    return Cell(
        sign=sign_of(result) if drawn else "",
        number=difference_in_words(result, interval=False).replace(" points", " pt").replace(" a hit", "")
        if drawn
        else "",
        bold=result.verdict == "changed",
        mark=mark,
        sentence=result.sentence,
        note="" if mark is not None else _why_nothing(result),
    )


def verdict_figure(results: Sequence[Result]) -> VerdictFigure:
    """Return the verdict figure of one candidate.

    Parameters
    ----------
    results : sequence of Result
        Of one candidate; rows that have nothing to draw at either end are left to the sentences.

    Returns
    -------
    VerdictFigure
    """
    reach = reach_of(results)
    grouped: dict[str, list[Result]] = {}
    measures = {result.measure for result in results}
    for result in results:
        mm = in_mm(result.measure)
        if mm is not None and mm.name in measures:  # millimetres are read first, whichever end has them
            grouped.setdefault(mm.name, [])
        grouped.setdefault(result.measure, []).append(result)
    rows: dict[bool, list[Row]] = {True: [], False: []}
    empty: dict[str, None] = {}
    for name, parts in grouped.items():
        if not any(map(tells, parts)):
            continue
        row = Row(
            label=SPECS[name].label,
            one_is=next((text for text in map(_one_is, parts) if text), ""),
            cells={part.end: _cell(part, reach) for part in parts if _measured(part)},
        )
        empty.update(dict.fromkeys(part.reason for part in parts if not _measured(part)))
        rows["both" in row.cells].append(row)
    whole = range(-int(reach), int(reach) + 1)
    return VerdictFigure(
        ends=tuple(rows[False]),
        both=tuple(rows[True]),
        empty=tuple(empty),
        reach=reach,
        band=(_percent(-1, reach), _percent(1, reach)),
        ticks=tuple(
            (_percent(value, reach), "same" if value == 0 else number(value, 0, signed=True)) for value in whole
        ),
    )
