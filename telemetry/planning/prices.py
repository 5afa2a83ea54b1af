"""What certainty costs: what runs ridden one way, or shared between two days, see less than runs ridden plainly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from telemetry.model.plan import FEWEST_TO_DECIDE, MOST_RUNS, Dearer, Price, Sees
from telemetry.statistics.family import FALSE_DISCOVERY_RATE
from telemetry.statistics.runs_needed import fewest

from .design import Certainty, certainty
from .orders import FEWEST_ONE_WAY, Order, one_way, over_two_days, rounds


def _certain(days: Sequence[Order]) -> Certainty:
    found = certainty(days)
    if found is None:
        raise ValueError("runs enough, every setup on every day, always tell setup from order and day")
    return found


def _one_way_runs(row: Sees) -> int | None:
    """Return the runs of each that see a row's smallest change ridden one way; None where 30 don't."""
    known = row.seen_by(FEWEST_ONE_WAY)
    if known is None:
        return None
    s = known / _certain((rounds(FEWEST_ONE_WAY),)).detectable(row.level)

    def enough(each: int) -> bool:
        return each >= FEWEST_ONE_WAY and s * _certain((one_way(each),)).detectable(row.level) <= row.margin

    return fewest(enough, MOST_RUNS)


def _price(rows: Sequence[Sees], each: int, plain: Sequence[Order], costly: Sequence[Order]) -> Price:
    """Return what `each` runs ridden the costly way see beside as many ridden plainly."""
    usual, dear = _certain(plain), _certain(costly)
    seen = [(row, change) for row in rows if (change := row.seen_by(each)) is not None]
    return Price(
        runs_each=each,
        times=dear.detectable(FALSE_DISCOVERY_RATE) / usual.detectable(FALSE_DISCOVERY_RATE),
        rows=tuple(
            Dearer(row=row, plainly=change, dearly=change * dear.detectable(row.level) / usual.detectable(row.level))
            for row, change in seen
        ),
    )


def one_way_price(rows: Sequence[Sees], runs_each: int) -> Price:
    """Return what a change that can't be undone costs: all runs of one setup, then all of the other.

    Parameters
    ----------
    rows : sequence of Sees
        Of measures that aren't rare events, which get no verdict so.
    runs_each : int
        Of the plan; four of each are the fewest.
    """
    each = max(FEWEST_ONE_WAY, runs_each)
    found = _price(rows, each, (rounds(each),), (one_way(each),))
    needs = [(row, needed) for row in rows if (needed := _one_way_runs(row)) is not None]
    return replace(found, needs=tuple(needs))


def two_days_price(rows: Sequence[Sees], runs_each: int) -> Price:
    """Return what a second day costs, every setup ridden on both.

    Parameters
    ----------
    rows : sequence of Sees
    runs_each : int
        Of the plan; three of each are the fewest.
    """
    each = max(FEWEST_TO_DECIDE, runs_each)
    return _price(rows, each, (rounds(each),), over_two_days(each))
