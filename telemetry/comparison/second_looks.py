"""All that is told beside the verdicts and decides none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from telemetry.model.arrays import Floats
from telemetry.model.comparison import FamilyRow
from telemetry.model.second_looks import SecondLooks

from .drift import drifts
from .equal_speed import at_equal_speed
from .pairs import pairs


def second_looks(
    rows: Sequence[FamilyRow],
    *,
    baseline: str,
    candidates: Sequence[str],
    q: float,
    speeds_m_s: Mapping[str, Floats],
) -> SecondLooks:
    """Return drift, differences at equal ground speed, and who differs from whom.

    Parameters
    ----------
    rows : sequence of FamilyRow
    baseline : str
    candidates : sequence of str
    q : float
        False discovery rate of the pairs.
    speeds_m_s : mapping of run to float array, shape (S,)
        Ground speed within each kept section; empty without a speed sensor.
    """
    return SecondLooks(
        drift=drifts(rows, baseline, candidates),
        equal_speed=at_equal_speed(rows, baseline, candidates, speeds_m_s),
        pairs=pairs(rows, (baseline, *candidates), q),
    )
