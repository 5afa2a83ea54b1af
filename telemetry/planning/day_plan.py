"""A day's plan from its rows: what each can see, how many runs that takes, which order to ride."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from telemetry.model.day import RideDay
from telemetry.model.plan import (
    FEWEST_TO_DECIDE,
    MOST_RUNS,
    Detectable,
    Limit,
    NotPlanned,
    Plan,
    RidingOrder,
    Sees,
    Size,
    Work,
)
from telemetry.statistics.family import FALSE_DISCOVERY_RATE, INNER_LEVEL, alone_levels
from telemetry.statistics.looks import look_at

from . import orders as ways
from .basis import Basis, basis_of
from .orders import FEWEST_ONE_WAY, choices, named_order, recommended, rounds
from .prices import one_way_price, two_days_price
from .rows import JudgedBy, PlanRow
from .spread import Spread

SHOWN_RUNS = tuple(range(2, 11))
MOST_EXAMPLES = 3
NAMED_FIRST = ("dynamic_sag", "hit_depth_10_per_min", "compression_speed_10_per_min")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """Rows planned and rows that can't be."""

    sees: tuple[Sees, ...]
    absent: tuple[NotPlanned, ...]


def _detectable(basis: Basis, by: JudgedBy, runs: Sequence[int]) -> tuple[Detectable, ...]:
    found = []
    for each in runs:
        change = basis.detectable(each, by)
        known = None if change is None or basis.measuring is None else basis.measuring.back(change)
        told = change if basis.measuring is None or known is not None else None
        found.append(Detectable(runs_each=each, difference=known, on_scale=told))
    return tuple(found)


def _row(row: PlanRow, basis: Basis, by: JudgedBy, runs: Sequence[int]) -> Sees:
    share = by.inner_level / INNER_LEVEL
    alone = replace(by, level=alone_levels([True], share * FALSE_DISCOVERY_RATE)[0])
    amount = None if basis.measuring is None else basis.measuring.back(basis.margin) or row.smallest_change.amount
    return Sees(
        spec=row.spec,
        end=row.end,
        smallest_change=amount,
        margin=basis.margin,
        entered=row.smallest_change.entered,
        runs_each=basis.runs(by),
        runs_each_upper=basis.runs(by, upper=True),
        detectable=_detectable(basis, by, runs),
        focus=row.focus,
        asked=row.focus or row.named,
        spread_from=basis.source,
        spread_words=basis.words,
        spread_where=basis.where,
        level=by.level,
        runs_alone=basis.runs(alone),
        runs_unlent=basis.unlent.runs(by),
    )


def _bases(rows: Sequence[PlanRow], *, one_way: bool) -> list[Basis | str]:
    """Return what each row is planned from; defaults only where nothing at all is known of how far runs scatter."""
    found = [basis_of(row, one_way=one_way) for row in rows]
    known = any(not isinstance(basis, str) and isinstance(basis.spread, Spread) for basis in found)
    return found if known else [basis_of(row, one_way=one_way, defaults=True) for row in rows]


def what_is_seen(
    rows: Sequence[PlanRow], *, planned_runs: Sequence[int], runs: Sequence[int] = (), one_way: bool = False
) -> Planned:
    """Return what a day can see of each row.

    Parameters
    ----------
    rows : sequence of PlanRow
        Every row of the family that the day measures, with a spread or without.
    planned_runs : sequence of int
        Runs of each at which a verdict is meant to be made: what the first of them spends is planned with.
    runs : sequence of int
        Runs of each setup shown beside 2 to 10.
    one_way : bool
        Whether all runs of one setup come before the other's.
    """
    share = look_at(planned_runs, planned_runs[0] if planned_runs else 0).share
    judged = [row.focus for row in rows for _ in range(row.judged_as)]
    levels = dict(zip(judged, alone_levels(judged, share * FALSE_DISCOVERY_RATE), strict=True))
    shown = sorted({*SHOWN_RUNS, *runs})
    sees, absent = [], []
    for row, basis in zip(rows, _bases(rows, one_way=one_way), strict=True):
        if isinstance(basis, str):
            absent.append(NotPlanned(measure=row.spec.name, end=row.end, reason=basis, focus=row.focus))
        else:
            by = JudgedBy(level=levels[row.focus], inner_level=share * INNER_LEVEL, one_way=one_way)
            sees.append(_row(row, basis, by, shown))
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
        runs_each_unlent=_most([row.runs_unlent for row in sized_by], share) if told else None,
    )


def day_order(needed: int, names: Sequence[str], work: Work, *, one_way: bool) -> tuple[RidingOrder, Limit]:
    """Return the order to ride for so many runs of each, as far as the longest day takes them; and what limits it.

    Where not even the shortest fits, that one is returned.
    """
    fewest = FEWEST_ONE_WAY if one_way else FEWEST_TO_DECIDE
    wanted = named_order(recommended(needed, len(names), one_way_only=one_way), names, work)
    if work.fits(wanted):
        return wanted, ""
    shorter = [
        named_order(recommended(each, len(names), one_way_only=one_way), names, work)
        for each in range(wanted.runs_each - 1, fewest - 1, -1)
    ]
    if not one_way:
        shorter.append(named_order(rounds(2, len(names)), names, work))
    return next((order for order in shorter if work.fits(order)), (shorter or [wanted])[-1]), "day"


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
        Runs of each setup that can be afforded. Without it and without a number needed, 4 of each are planned.
    """
    one_way = day.plan is not None and not day.plan.can_be_undone
    planned = day.comparison.planned_runs
    seen = what_is_seen(rows, planned_runs=planned, one_way=one_way)
    focus_named = any(row.focus for row in rows)
    size = day_size(seen.sees, focus_named=focus_named)
    order, limit = day_order(size.runs_each or FEWEST_ONE_WAY, names, work, one_way=one_way)
    if runs is not None:
        ridden = ways.one_way(runs, len(names)) if one_way else rounds(runs, len(names))
        order, limit = named_order(ridden, names, work), "runs"
    if order.runs_each not in SHOWN_RUNS:
        seen = what_is_seen(rows, planned_runs=planned, runs=(order.runs_each,), one_way=one_way)
        size = day_size(seen.sees, focus_named=focus_named)
    priced = examples([row for row in size.rows if row.spec.scale != "count"])
    numbers = tuple(names.index(name) for name in order.setups)
    return Plan(
        day=day,
        baseline=names[0],
        candidates=tuple(names[1:]),
        order=order,
        orders=tuple(named_order(one, names, work) for one in choices(numbers, len(names))),
        one_way=one_way,
        limit=limit,
        size=size,
        work=work,
        sees=seen.sees,
        absent=seen.absent,
        examples=examples(size.rows),
        prices=() if one_way else (one_way_price(priced, order.runs_each), two_days_price(priced, order.runs_each)),
    )
