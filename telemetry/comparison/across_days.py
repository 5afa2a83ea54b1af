"""Several days' differences of one change, row by row: their mean with its interval, how far days differ, verdicts."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats
from telemetry.model.comparison import Axis, Family
from telemetry.model.interval import Interval, about
from telemetry.model.together import DAY_LEVEL, DaysRow, OfDays, TogetherRow
from telemetry.statistics.family import FALSE_DISCOVERY_RATE, INNER_LEVEL, Chosen, group_of, group_rates, select
from telemetry.statistics.random_effects import FEWEST_DAYS, DayDifferences, Together, together
from telemetry.statistics.scale import in_shown_unit
from telemetry.words import counted, difference_unit

from .verdict import decided


def days_together(rows: Sequence[DaysRow], names: Sequence[str]) -> tuple[tuple[TogetherRow, ...], tuple[Family, ...]]:
    """Put days together, row by row; the rows are a family as those of one day are.

    Parameters
    ----------
    rows : sequence of DaysRow
    names : sequence of str
        The days put together.

    Notes
    -----
    Rows that were in focus on every day are a family at 0.8 of the rate, all others another at 0.2 of it; none in
    focus: one family. A row takes part in it from three days on.
    """
    found = [_together(row) for row in rows]
    rates = group_rates([row.focus for row in rows], FALSE_DISCOVERY_RATE)
    told: dict[int, TogetherRow] = {}
    families = []
    for group, rate in rates.items():
        places = [place for place, row in enumerate(rows) if group_of(row.focus, rates) == group]
        chosen = select([None if (own := found[place]) is None else own.p for place in places], rate)
        for place, level in zip(places, chosen, strict=True):
            told[place] = _row(rows[place], found[place], level, names)
        took_part = [level for level in chosen if level.selected is not None]
        selected = sum(bool(level.selected) for level in took_part)
        families.append(Family(candidate="", group=group, m=len(took_part), q=rate, looks=1, selected=selected))
    return tuple(told[place] for place in range(len(rows))), tuple(families)


def _together(row: DaysRow) -> Together | None:
    if len(row.days) < FEWEST_DAYS:
        return None
    least = np.nan_to_num(row.floor_se)
    counts = row.scale == "count"
    return together(DayDifferences(d=row.d, se=row.se, nu=row.nu, reach=row.reach, least_se=least, counted=counts))


def _row(row: DaysRow, found: Together | None, chosen: Chosen, names: Sequence[str]) -> TogetherRow:
    interval = following = None
    verdict, reason = None, f"{counted(len(row.days), 'day')}, at least {FEWEST_DAYS} are needed"
    if found is not None:
        inner = about(found.mean, found.half_width(INNER_LEVEL), INNER_LEVEL)
        interval = about(found.mean, found.half_width(chosen.level), chosen.level, inner)
        following = about(found.mean, found.next_half_width(DAY_LEVEL), DAY_LEVEL)
    if interval is not None:
        verdict, reason = decided(interval, row.margin, selected=bool(chosen.selected))

    def shown(value: float | None) -> float | None:
        told = None if value is None else in_shown_unit(value, row.scale)
        return told if told is None or math.isfinite(told) else None

    def of_axis(difference: float, told: Interval | None) -> Axis:
        return Axis(difference=difference / row.margin, interval=told and told.map(lambda end: end / row.margin))

    mean = None if found is None else found.mean
    return TogetherRow(
        measure=row.measure,
        end=row.end,
        unit=difference_unit(row.unit) if row.scale == "raw" else "%",
        scale=row.scale,
        focus=row.focus,
        n_days=len(row.days),
        difference=shown(mean),
        interval=interval and interval.map(shown),
        next_interval=following and following.map(shown),
        between=None if found is None else shown(found.between),
        between_most=None if found is None else shown(found.between_most),
        share_between=None if found is None else found.share_between,
        p=None if found is None else found.p,
        p_alike=None if found is None else found.p_alike,
        smallest_change_low=shown(-row.margin),
        smallest_change_high=shown(row.margin),
        verdict=verdict,
        reason=reason,
        axis=None if mean is None else of_axis(mean, interval),
        next_axis=None if mean is None else of_axis(mean, following),
        of_days=_of_days(row, found, names),
    )


def _of_days(row: DaysRow, found: Together | None, names: Sequence[str]) -> OfDays:
    half = _own_half_width(row)
    ends = (row.d, row.d - half, row.d + half)

    def shown(values: Floats) -> Floats:
        if row.scale == "raw":
            return values
        with np.errstate(over="ignore"):
            percent: Floats = 100 * np.expm1(values)
        return percent

    return OfDays(
        days=tuple(names[place] for place in row.days),
        shown=(shown(ends[0]), shown(ends[1]), shown(ends[2])),
        on_axis=(ends[0] / row.margin, ends[1] / row.margin, ends[2] / row.margin),
        shares=None if found is None else found.shares,
    )


def _own_half_width(row: DaysRow) -> Floats:
    """Return each day's own half-width: the wider by its runs and by its sections, or by chance alone."""
    by_runs = -special.stdtrit(row.nu, DAY_LEVEL / 2) * row.se
    normal = np.isnan(row.floor_nu)
    quantile = np.where(
        normal, special.ndtri(DAY_LEVEL / 2), special.stdtrit(np.where(normal, 1.0, row.floor_nu), DAY_LEVEL / 2)
    )
    half: Floats = np.maximum(by_runs, np.nan_to_num(-quantile * row.floor_se))
    return half
