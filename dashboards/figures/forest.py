"""One measure over several days: each day's interval, beneath them the mean, and where a next one would lie.

Drawn as the verdicts are, in percent of the width: it follows the page from a desk to a phone and onto paper. Every
day's mark is of one size: how much of the mean it has stands in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

from telemetry.model.comparison import Axis
from telemetry.model.together import DaysTogether, OfDay, TogetherRow
from telemetry.telling.names import named
from telemetry.telling.together import amount, bikes_by_day, day_in_words, next_words, one_is_in_words

from .expected import Box
from .matters import MOST_REACH, SHAPES, Mark, band, percent, span, ticks, title, usual_reach, wide_reach

MOST_DRAWN = 40
"""Days: more fit no page. The mean is of all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ForestCell:
    """What the line of one day, or of the mean, shows; `note` where there is no mark."""

    mark: Mark | None
    sentence: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ForestRow:
    """One line: its name, what stands beneath it, its interval or box, and its number."""

    label: str
    beneath: str
    cell: ForestCell
    number: str
    box: Box | None = None
    bold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Forest:
    """One measure's figure; `reach`, `band`, `ticks` and `title` as of `ScaledRows`."""

    name: str
    one_is: str
    days: tuple[ForestRow, ...]
    undrawn: int
    together: tuple[ForestRow, ...]
    reach: float
    band: tuple[float, float]
    ticks: tuple[tuple[float, str], ...]
    title: str


def _farthest(axis: Axis) -> float:
    return max(abs(end) for end in (axis.difference, axis.low, axis.high) if end is not None)


def _reach(days: Sequence[OfDay], row: TogetherRow) -> float:
    axes = [own.axis for own in days] + [axis for axis in (row.axis,) if axis is not None]
    largest = max(abs(axis.difference) for axis in axes)
    if largest > MOST_REACH:
        return wide_reach(largest)
    return usual_reach([(abs(axis.difference), _farthest(axis)) for axis in axes])


def _mark(axis: Axis, shape: str, reach: float) -> Mark:
    low = axis.difference if axis.low is None else axis.low
    high = axis.difference if axis.high is None else axis.high
    return Mark(
        at=percent(axis.difference, reach),
        shape=shape,
        thin=span(axis.low, axis.high, reach),
        thick=span(axis.inner_low, axis.inner_high, reach),
        more_left=low < -reach,
        more_right=high > reach,
    )


def _box(axis: Axis, reach: float) -> Box | None:
    if axis.low is None or axis.high is None:
        return None
    start, end = percent(axis.low, reach), percent(axis.high, reach)
    more = {"more_left": axis.low < -reach, "more_right": axis.high > reach}
    return Box(start=start, width=end - start, at=percent(axis.difference, reach), **more)


def forest(found: DaysTogether, row: TogetherRow) -> Forest:
    """Return the figure of one row over its days.

    Parameters
    ----------
    found : DaysTogether
    row : TogetherRow
        One of its rows.
    """
    days = list(islice(row.of_days, MOST_DRAWN))
    reach, bikes = _reach(days, row), bikes_by_day(found)
    return Forest(
        name=named(row.measure, row.end),
        one_is=one_is_in_words(row),
        days=tuple(
            ForestRow(
                label=own.day,
                beneath=bikes.get(own.day, ""),
                cell=ForestCell(mark=_mark(own.axis, "stroke", reach), sentence=day_in_words(row, own)),
                number=amount(row, own.difference),
            )
            for own in days
        ),
        undrawn=len(row.of_days) - len(days),
        together=tuple(_together(found, row, reach)),
        reach=reach,
        band=band(reach),
        ticks=ticks(reach),
        title=title(reach),
    )


def _together(found: DaysTogether, row: TogetherRow, reach: float) -> Sequence[ForestRow]:
    if row.axis is None or row.next_axis is None or row.verdict is None:
        return ()
    mean = ForestRow(
        label="All together",
        beneath=row.verdict,
        cell=ForestCell(mark=_mark(row.axis, SHAPES[row.verdict], reach), sentence=row.sentence),
        number=amount(row, row.difference),
        bold=True,
    )
    words, where = next_words(found, row)
    following = ForestRow(
        label=words,
        beneath="95 %",
        cell=ForestCell(mark=None, sentence=f"{words}: {where or 'too few days to say'}"),
        number="",
        box=_box(row.next_axis, reach),
    )
    return mean, following
