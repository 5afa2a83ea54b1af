"""Where bikes of a kind lie, in words: what is told of them, never what one should be."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from telemetry.model.catalogue import SPECS
from telemetry.model.kind_ranges import KindRanges, KindRow, Quantile
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import counted, figure, shown_unit, titled

from .names import PLACES, TITLES, short_name
from .values import places_of

MOST_LEFT_TOLD = 8


def kind_headline(found: KindRanges) -> str:
    """Return what it is of: ``enduro: 12 bikes, each as left on its last kept day``."""
    days = f"each as left on the last of its kept days ({found.n_days} in all)"
    return f"{found.kind}: {counted(found.n_bikes, 'bike')}, {days}"


def kind_table(found: KindRanges, measures: Collection[str]) -> Table:
    """Return these measures' rows; each quantile with what bounds it."""
    rows = [row for row in found.rows if row.measure in measures]
    beside = [found.beside] if found.beside else []
    columns = ["measure", "a tenth below", "half below", "nine tenths below", "bikes", *beside]
    cells: list[list[str]] = []
    for end in PLACES:
        own = [_cells(row, with_beside=bool(beside)) for row in rows if row.end == end]
        cells.extend([[f"{TITLES[end]}:", *[""] * (len(columns) - 1)], *own] if own else [])
    return table(columns, cells)


def _cells(row: KindRow, *, with_beside: bool) -> list[str]:
    places = places_of(row.measure)
    name = titled(SPECS[row.measure].label, row.unit)
    own = [ABSENT if row.beside is None else figure(row.beside, places)] if with_beside else []
    return [name, *(_quantile(one, places) for one in (row.least, row.median, row.most)), str(row.n_bikes), *own]


def _quantile(own: Quantile, places: int) -> str:
    low, high = ("?" if end is None else figure(end, places) for end in (own.low, own.high))
    return f"{figure(own.value, places)} ({low} to {high})"


def kind_line(found: KindRanges, measure: str) -> str:
    """Return where most of the bikes lie in one measure: a line for beside its figure; empty where too few tell it.

    ``The middle 80 % of the other enduro bikes kept here, as left: front 24.1 to 29.8 % (12 bikes)``.
    """
    places = places_of(measure)
    told = []
    for end in PLACES:
        for row in found.rows:
            if (row.measure, row.end) == (measure, end):
                least, most = (figure(one.value, places) for one in (row.least, row.most))
                where = "" if end == "both" else f"{end} "
                told.append(
                    f"{where}{least} to {most} {shown_unit(row.unit)}".rstrip() + f" ({counted(row.n_bikes, 'bike')})"
                )
    return f"The middle 80 % of the other {found.kind} bikes kept here, as left: {', '.join(told)}" if told else ""


def kind_remarks(found: KindRanges, measures: Collection[str]) -> Iterator[str]:
    """Yield what a reader has to know."""
    yield "What these bikes are, not what one should be: trail, rider, pace and wishes differ between them"
    yield "In brackets: where that of all such bikes lies (95 %); ? where so few don't bound it. A bike counts once"
    for bike, reason in found.left_out[:MOST_LEFT_TOLD]:
        yield f"Left out: {bike}, {reason}"
    if len(found.left_out) > MOST_LEFT_TOLD:
        yield f"Left out: {counted(len(found.left_out) - MOST_LEFT_TOLD, 'more bike')} (--json names all)"
    few = [row for row in found.refused if row.measure in measures]
    reasons: dict[str, list[str]] = {}
    for row in few:
        reasons.setdefault(row.reason, []).append(short_name(row.measure, row.end))
    for reason, names in reasons.items():
        yield f"Not told: {', '.join(names)}: {reason}"
    others = sorted({row.measure for row in found.rows} - set(measures))
    if others:
        yield f"With --measure: {', '.join(others)}"


def kind_sheet(found: KindRanges, measures: Collection[str]) -> Sheet:
    """Return these measures for a terminal."""
    shown = kind_table(found, measures)
    return (kind_headline(found), *((shown,) if shown.rows else ()), *kind_remarks(found, measures))
