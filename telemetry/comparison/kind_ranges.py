"""Where bikes of a kind lie: median and middle 80 % of one value a bike; refused of few."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from telemetry.model.kind_ranges import KindRefused, KindRow, KindValues
from telemetry.model.measure import MeasureAt
from telemetry.statistics.quantiles import quantile
from telemetry.words import counted

FEWEST_BIKES = 10
"""A tenth of them is one bike then: fewer have no middle 80 % apart from their least and largest. Own choice."""
MIDDLE = (0.1, 0.9)
"""Common practice, no source."""


def kind_rows(
    rows: Sequence[KindValues], beside: Mapping[MeasureAt, float]
) -> tuple[tuple[KindRow, ...], tuple[KindRefused, ...]]:
    """Return where bikes lie, measure by measure, and which measures too few of them tell.

    Parameters
    ----------
    rows : sequence of KindValues
    beside : mapping of (measure, end) to float
        Of a bike that is held beside them.
    """
    told = [row for row in rows if row.values.size >= FEWEST_BIKES]
    few = [row for row in rows if row.values.size < FEWEST_BIKES]
    return (
        tuple(
            KindRow(
                measure=row.measure,
                end=row.end,
                unit=row.unit,
                n_bikes=int(row.values.size),
                median=quantile(row.values, 0.5),
                least=quantile(row.values, MIDDLE[0]),
                most=quantile(row.values, MIDDLE[1]),
                beside=beside.get((row.measure, row.end)),
            )
            for row in told
        ),
        tuple(
            KindRefused(
                measure=row.measure,
                end=row.end,
                n_bikes=int(row.values.size),
                reason=f"{counted(int(row.values.size), 'bike')}, at least {FEWEST_BIKES} are needed",
            )
            for row in few
        ),
    )
