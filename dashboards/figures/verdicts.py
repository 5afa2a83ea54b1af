"""The decision rule, drawn: each measure's interval in times the smallest change that matters.

Drawn as plain vector shapes in percent of the panel's width, so that a row can stand beside its name on a wide page
and beneath it on a phone, and follows the reader's light or dark.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from telemetry.languages import ENGLISH, Language
from telemetry.model.catalogue import SPECS, in_mm, share_of
from telemetry.model.comparison import Axis, Result
from telemetry.model.finding import Place
from telemetry.telling.names import named
from telemetry.telling.results import difference_in_words, sign_of
from telemetry.telling.riders_words import row_in_words

from .matters import MOST_REACH, SHAPES, Mark, band, percent, span, ticks, title, usual_reach, wide_reach


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
class ScaledRows:
    """Rows drawn to one scale.

    Attributes
    ----------
    ends, both : tuple of Row
        Measures of each end, and those that compare the ends.
    reach : float
        The axis runs from -reach to +reach.
    band : (start, end)
        Where "too small to matter" lies, in percent of the width.
    ticks : tuple of (percent, word)
    title : str
        What marks a scale other than the usual one; else empty.
    """

    ends: tuple[Row, ...]
    both: tuple[Row, ...]
    reach: float
    band: tuple[float, float]
    ticks: tuple[tuple[float, str], ...]
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictFigure:
    """All rows of one candidate: to the usual scale, then to a wider one what lies beyond it.

    Attributes
    ----------
    scales : tuple of ScaledRows
    empty : tuple of str
        Why rows have nothing at one end, each reason once.
    """

    scales: tuple[ScaledRows, ...]
    empty: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryingRow:
    """One row of the report's first page: the interval between its name and its difference, to a scale of its own."""

    label: str
    one_is: str
    cell: Cell
    verdict: str
    scale: ScaledRows


def _inner(axis: Axis) -> float:
    """Return how far from zero the thick bar reaches, or the difference where there is none."""
    ends = [end for end in (axis.inner_low, axis.inner_high) if end is not None]
    return max((abs(end) for end in ends), default=abs(axis.difference))


def _size(result: Result) -> float:
    return 0.0 if result.axis is None or not tells(result) else abs(result.axis.difference)


def reach_of(results: Sequence[Result]) -> float:
    """Return the usual axis' reach, in times the smallest change."""
    return usual_reach([(_size(result), _inner(result.axis)) for result in results if result.axis is not None])


def _scaled(reach: float, rows: Sequence[Row] = (), language: Language = ENGLISH) -> ScaledRows:
    return ScaledRows(
        ends=tuple(row for row in rows if "both" not in row.cells),
        both=tuple(row for row in rows if "both" in row.cells),
        reach=reach,
        band=band(reach),
        ticks=ticks(reach, language),
        title=title(reach, language),
    )


def tells(result: Result) -> bool:
    """Tell whether there is something to draw: a difference that so many events can tell."""
    return bool(difference_in_words(result, interval=False))


def mark_of(result: Result, reach: float) -> Mark | None:
    """Return what is drawn of a result; None where there is no difference or no verdict."""
    axis = result.axis
    if axis is None or not tells(result):
        return None
    return Mark(
        at=percent(axis.difference, reach),
        shape="stroke" if result.verdict is None else SHAPES[result.verdict],
        thin=span(axis.low, axis.high, reach),
        thick=span(axis.inner_low, axis.inner_high, reach),
        more_left=min(axis.difference, axis.low if axis.low is not None else axis.difference) < -reach,
        more_right=max(axis.difference, axis.high if axis.high is not None else axis.difference) > reach,
    )


def _one_is(result: Result, language: Language = ENGLISH) -> str:
    if result.percent is not None:
        low, high = result.percent.smallest_change_low, result.percent.smallest_change_high
        figure = language.figure(high, 0)
        return f"1 = {figure} %" if abs(abs(low) - high) < 3 else f"1 = +{figure} %"
    if result.smallest_change_high is None:
        return ""
    own = "mm" if result.unit.startswith("mm") else result.unit
    unit = language.unit("points_short" if result.unit.startswith("%") else own)
    text = f"{result.smallest_change_high:.2f}".rstrip("0").rstrip(".")
    return f"1 = {language.number(text)} {unit}"


def _why_nothing(result: Result, language: Language) -> str:
    if result.verdict is None:
        return language.say("axis.no_verdict")
    return language.say("axis.no_value" if result.difference is None else "axis.few_events")


def _measured(result: Result) -> bool:
    return result.baseline_value is not None or result.candidate_value is not None


def _cell(result: Result, reach: float, language: Language = ENGLISH) -> Cell:
    mark = mark_of(result, reach)
    drawn = tells(result)
    points = language.unit("points"), language.unit("points_short")
    a_hit = language.unit("mm per hit").removeprefix("mm")
    number = difference_in_words(result, interval=False, language=language)
    return Cell(
        sign=sign_of(result) if drawn else "",
        number=number.replace(*points).replace(a_hit, "") if drawn else "",
        bold=result.verdict == "changed",
        mark=mark,
        sentence=result.sentence,
        note="" if mark is not None else _why_nothing(result, language),
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
    usual = reach_of(results)
    sizes = [size for size in map(_size, results) if size > MOST_REACH]
    wide = wide_reach(max(sizes)) if sizes else usual
    grouped: dict[str, list[Result]] = {}
    measures = {result.measure for result in results}
    for result in results:
        mm = in_mm(result.measure)
        if mm is not None and mm.name in measures:  # millimetres are read first, whichever end has them
            grouped.setdefault(mm.name, [])
        grouped.setdefault(result.measure, []).append(result)
    largest: dict[str, float] = {}
    for result in results:  # a share and its millimetres stand together
        pair = share_of(result.measure) or result.measure
        largest[pair] = max(largest.get(pair, 0.0), _size(result))
    rows: dict[float, list[Row]] = {usual: [], wide: []}
    empty: dict[str, None] = {}
    for name, parts in grouped.items():
        if not any(map(tells, parts)):
            continue
        reach = wide if largest[share_of(name) or name] > MOST_REACH else usual
        row = Row(
            label=SPECS[name].label,
            one_is=next((text for text in map(_one_is, parts) if text), ""),
            cells={part.end: _cell(part, reach) for part in parts if _measured(part)},
        )
        empty.update(dict.fromkeys(part.reason for part in parts if not _measured(part)))
        rows[reach].append(row)
    return VerdictFigure(
        scales=tuple(_scaled(reach, own) for reach, own in rows.items() if own),
        empty=tuple(empty),
    )


def carrying_rows(results: Sequence[Result], language: Language = ENGLISH) -> tuple[CarryingRow, ...]:
    """Return these rows as the report's first page draws them, what lies beyond the usual scale last.

    Parameters
    ----------
    results : sequence of Result
        Of one candidate: those that carry the finding.
    language : Language, optional
    """
    told = [result for result in results if tells(result)]
    usual = reach_of(told)
    sizes = [size for size in map(_size, told) if size > MOST_REACH]
    near = _scaled(usual, language=language)
    scales = {False: near, True: _scaled(wide_reach(max(sizes)), language=language) if sizes else near}
    rows = []
    for result in sorted(told, key=lambda item: _size(item) > MOST_REACH):
        scale = scales[_size(result) > MOST_REACH]
        rows.append(
            CarryingRow(
                label=named(result.measure, result.end, language),
                one_is=_one_is(result, language),
                cell=replace(_cell(result, scale.reach, language), sentence=row_in_words(result, language)),
                verdict=language.say(f"axis.{result.verdict or 'no_verdict'}"),
                scale=scale,
            )
        )
    return tuple(rows)
