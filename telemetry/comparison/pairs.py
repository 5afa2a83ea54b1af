"""Who differs from whom: every pair of three setups or more, one family of its own."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from telemetry.model.comparison import FamilyRow
from telemetry.model.second_looks import PairDifference
from telemetry.statistics.family import select

from .judging import Judged, judge
from .judging_counts import judge_counts

FEWEST_SETUPS = 3


def _pair(judged: Judged, first: str, *, differs: bool | None, level: float) -> PairDifference:
    found, measuring = judged.found, judged.measuring
    half = None if found is None else found.half_width(level)

    def back(value: float | None) -> float | None:
        return None if value is None or measuring is None else measuring.back(value)

    return PairDifference(
        first=first,
        second=judged.candidate,
        measure=judged.row.spec.name,
        end=judged.row.end,
        unit=judged.row.spec.unit,
        difference=back(None if found is None else found.d),
        low=back(None if found is None or half is None else found.d - half),
        high=back(None if found is None or half is None else found.d + half),
        p=None if found is None else found.p,
        differs=differs,
        reason=judged.barred,
    )


def pairs(rows: Sequence[FamilyRow], setups: Sequence[str], q: float) -> tuple[PairDifference, ...]:
    """Return every row of every pair of setups; none for two setups, where the verdicts say it all.

    Parameters
    ----------
    rows : sequence of FamilyRow
    setups : sequence of str
    q : float
        False discovery rate over all pairs, no row weighing more than another. Nobody is said to be the same as
        another here.
    """
    if len(setups) < FEWEST_SETUPS:
        return ()
    judged = [
        (first, (judge_counts if row.spec.scale == "count" else judge)(row, first, second))
        for first, second in combinations(setups, 2)
        for row in rows
    ]
    family = [(first, item) for first, item in judged if item.in_family]
    p_values = [item.found.p for _, item in family if item.found is not None and item.found.p is not None]
    chosen = select(p_values, [False] * len(p_values), q)
    told = {
        id(item): _pair(item, first, differs=picked, level=level)
        for (first, item), picked, level in zip(family, chosen.selected, chosen.levels, strict=True)
    }
    alone = q / max(len(family), 1)
    return tuple(told.get(id(item)) or _pair(item, first, differs=None, level=alone) for first, item in judged)
