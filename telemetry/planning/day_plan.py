"""A day's plan from its rows: what each can see, how many runs that takes, which order to ride."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.day import RideDay
from telemetry.model.plan import (
    FEWEST_TO_DECIDE,
    MOST_RUNS,
    Detectable,
    NotPlanned,
    Plan,
    PlanRow,
    RidingOrder,
    Sees,
    Size,
    WhyOrder,
    Work,
)
from telemetry.statistics.family import FALSE_DISCOVERY_RATE, alone_levels
from telemetry.statistics.looks import look_at
from telemetry.statistics.order_ridden import change_overs

from .basis import Basis, basis_of
from .orders import FEWEST_ONE_WAY, affordable, choices, named_order, recommended, rounds
from .prices import one_way_price, two_days_price

SHOWN_RUNS = tuple(range(2, 11))
MOST_EXAMPLES = 3
NAMED_FIRST = ("dynamic_sag", "hit_depth_10_per_min", "compression_speed_10_per_min")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """Rows planned and rows that can't be."""

    sees: tuple[Sees, ...]
    absent: tuple[NotPlanned, ...]


def _detectable(basis: Basis, level: float, runs: Sequence[int]) -> tuple[Detectable, ...]:
    found = []
    for each in runs:
        change = basis.detectable(each, level)
        difference = None if change is None else basis.measuring.back(change)
        found.append(Detectable(runs_each=each, difference=difference, on_scale=None if difference is None else change))
    return tuple(found)


def _row(row: PlanRow, basis: Basis, level: float, runs: Sequence[int]) -> Sees:
    return Sees(
        spec=row.spec,
        end=row.end,
        smallest_change=basis.measuring.back(basis.margin) or row.smallest_change.amount,
        margin=basis.margin,
        entered=row.smallest_change.entered,
        runs_each=basis.runs(level),
        runs_each_upper=basis.runs(level, upper=True),
        detectable=_detectable(basis, level, runs),
        focus=row.focus,
        asked=row.focus or row.named,
        spread_from=basis.source,
        spread_words=basis.words,
        spread_where=basis.where,
        level=level,
    )


def what_is_seen(rows: Sequence[PlanRow], *, planned_runs: Sequence[int], runs: int | None) -> Planned:
    """Return what a day can see of each row.

    Parameters
    ----------
    rows : sequence of PlanRow
        Every row of the family that the day measures, with a spread or without.
    planned_runs : sequence of int
        Runs of each at which a verdict is meant to be made: what the first of them spends is planned with.
    runs : int or None
        Runs of each setup that can be afforded; shown beside 2 to 10.
    """
    share = look_at(planned_runs, planned_runs[0] if planned_runs else 0).share
    levels = alone_levels([row.focus for row in rows], share * FALSE_DISCOVERY_RATE)
    shown = sorted({*SHOWN_RUNS, *([] if runs is None else [runs])})
    sees, absent = [], []
    for row, level in zip(rows, levels, strict=True):
        basis = basis_of(row)
        if isinstance(basis, str):
            absent.append(NotPlanned(measure=row.spec.name, end=row.end, reason=basis, focus=row.focus))
        else:
            sees.append(_row(row, basis, level, shown))
    return Planned(sees=tuple(sees), absent=tuple(absent))


def examples(rows: Sequence[Sees]) -> tuple[Sees, ...]:
    """Return the rows that words are said of: the most telling first, at most three."""
    known = sorted(
        rows, key=lambda row: NAMED_FIRST.index(row.spec.name) if row.spec.name in NAMED_FIRST else len(NAMED_FIRST)
    )
    return tuple(known[:MOST_EXAMPLES])


def _most(figures: Sequence[int | None], share: float) -> int | None:
    """Return the runs that give this share of the rows their chances; None where that takes over 30."""
    if not figures:
        return None
    ordered = sorted(MOST_RUNS + 1 if item is None else item for item in figures)
    found = ordered[math.ceil(share * len(ordered)) - 1]
    return None if found > MOST_RUNS else found


def day_size(rows: Sequence[Sees], *, focus_named: bool) -> Size:
    """Return how many runs of each the day takes.

    Parameters
    ----------
    rows : sequence of Sees
    focus_named : bool
        Whether measures were named: where none of them has a spread, the day can't be sized.

    Notes
    -----
    As many as the most demanding row of the focus takes; without a focus, of the rows a smallest change or spread is
    stated for; without those, as many as give half of all rows their chances.
    """
    asked = tuple(row for row in rows if row.focus) or tuple(row for row in rows if row.asked)
    sized_by, share = (asked, 1.0) if asked else (tuple(rows), 0.5)
    told = not focus_named or any(row.focus for row in rows)
    return Size(
        rows=sized_by,
        asked=bool(asked),
        runs_each=_most([row.runs_each for row in sized_by], share) if told else None,
        runs_each_upper=_most([row.runs_each_upper for row in sized_by], share) if told else None,
    )


def day_orders(
    size: Size, names: Sequence[str], work: Work, runs: int | None
) -> tuple[RidingOrder, tuple[RidingOrder, ...]]:
    """Return the order to ride and those to choose from.

    Parameters
    ----------
    size : Size
    names : sequence of str
        Setups, the baseline first.
    work : Work
    runs : int or None
        Runs of each that can be afforded. Without it and without a number needed, 4 of each are planned.
    """
    count = len(names)
    needed = 4 if size.runs_each is None else size.runs_each
    chosen = recommended(needed, count, work) if runs is None else affordable(runs, count, work)
    return named_order(chosen, names, work), tuple(named_order(order, names, work) for order in choices(chosen, count))


def why_order(order: RidingOrder, size: Size) -> WhyOrder:
    """Return why this order and not the other of its kind; empty where there is none."""
    if order.runs_each < FEWEST_ONE_WAY:
        return ""
    if size.runs_each is not None and max(size.runs_each, FEWEST_TO_DECIDE) < order.runs_each:
        return "fewer change-overs"
    most = change_overs(rounds(order.runs_each, len(set(order.setups))))
    return "shorter day" if order.change_overs < most else "more of the drift"


def plan_day(day: RideDay, names: Sequence[str], rows: Sequence[PlanRow], work: Work, runs: int | None) -> Plan:
    """Return a day's plan in numbers.

    Parameters
    ----------
    day : RideDay
    names : sequence of str
        Setups, the baseline first.
    rows : sequence of PlanRow
        Every row of the family that the day measures, with a spread or without.
    work : Work
    runs : int or None
        Runs of each setup that can be afforded.
    """
    seen = what_is_seen(rows, planned_runs=day.comparison.planned_runs, runs=runs)
    size = day_size(seen.sees, focus_named=any(row.focus for row in rows))
    order, orders = day_orders(size, names, work, runs)
    priced = examples([row for row in size.rows if row.spec.scale != "count"])
    return Plan(
        day=day,
        baseline=names[0],
        candidates=tuple(names[1:]),
        order=order,
        orders=orders,
        why=why_order(order, size),
        size=size,
        afforded=runs,
        work=work,
        sees=seen.sees,
        absent=seen.absent,
        examples=examples(size.rows),
        one_way=one_way_price(priced, order.runs_each),
        two_days=two_days_price(priced, order.runs_each),
    )
