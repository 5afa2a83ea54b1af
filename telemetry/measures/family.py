"""The measures that get verdicts, for one run over the kept sections and within each of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.catalogue import SPECS, FamilyPlace, compared_rows
from telemetry.model.finding import End, Place
from telemetry.model.measure import MeasureAt
from telemetry.model.motion import Stretch
from telemetry.model.within import parted

from . import ends, stroke_speed, travel
from .catalogue import (
    END_MEASURES,
    EVENT_COUNTS,
    PAIR_MEASURES,
    BikeFacts,
    EndMeasure,
    PairMeasure,
    of_both,
)
from .fixed_rate import FEWEST_IN_SECTION
from .inertial.catalogue import IN_A_SECTION as SHAKEN_IN_A_SECTION
from .inertial.catalogue import MEASURES as SHAKEN
from .inertial.view import InertialView, inertial_view, part_of
from .missing import Missing, Outcome
from .view import EndView, RunMotion, end_view
from .within import clipped, too_short

OVER_ALL = (END_MEASURES, PAIR_MEASURES)
IN_A_SECTION: tuple[Mapping[str, EndMeasure], Mapping[str, PairMeasure]] = (
    {
        **END_MEASURES,
        "hit_depth_10_per_min": travel.hit_depth_p95,
        "compression_speed_10_per_min": stroke_speed.compression_speed_p95,
        "rebound_speed_10_per_min": stroke_speed.rebound_speed_p95,
    },
    {
        **PAIR_MEASURES,
        "compression_speed_ratio": ends.compression_speed_p95_ratio,
        "rebound_speed_ratio": ends.rebound_speed_p95_ratio,
    },
)
"""Of an end, and of both: within a section, where ten strokes a minute are too few, percentiles stand for them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyValue:
    """One family row of one run.

    Attributes
    ----------
    value : float or None
        Over the pooled kept sections; None with the `reason`.
    sections : float array, shape (S,)
        Within each kept section; NaN where it gives no value.
    count : int or None
        Events, for rows on the count scale.
    minutes : float
    """

    name: str
    end: Place
    value: float | None
    reason: str
    sections: Floats
    count: int | None
    minutes: float


@dataclass(frozen=True, slots=True)
class _Views:
    """What the rows look at over some stretches: travel by end, and acceleration by end."""

    travel: dict[End, EndView]
    acceleration: dict[End, InertialView]


def _felt(run: RunMotion, facts: BikeFacts) -> dict[End, InertialView]:
    ends = {end for end, _ in run.ride.inertial}
    return {end: inertial_view(run, end, bike_share=facts.bike_share) for end in ends}


def _views(run: RunMotion, kept: tuple[Stretch, ...], felt: Mapping[End, InertialView], fewest: int) -> _Views:
    return _Views(
        {end: end_view(run, end, stretches=kept, fewest_strokes=fewest) for end in run.ends},
        {end: part_of(whole, run, kept) for end, whole in felt.items()},
    )


def _shaken(run: RunMotion, row: MeasureAt, views: _Views, *, in_a_section: bool) -> Outcome:
    name, end = row
    if end in run.lost and end != "both":
        return run.lacks(end)
    if end == "both" or end not in views.acceleration:
        return Missing(f"no inertial sensor at the {end}")
    return (SHAKEN_IN_A_SECTION if in_a_section else SHAKEN)[name](views.acceleration[end])


def _outcome(run: RunMotion, row: MeasureAt, views: _Views, facts: BikeFacts, *, in_a_section: bool = False) -> Outcome:
    (name, end), (of_end, of_pair) = row, IN_A_SECTION if in_a_section else OVER_ALL
    if SPECS[name].by == "acceleration":
        return _shaken(run, row, views, in_a_section=in_a_section)
    if end == "both":
        return of_both(run, name, of_pair[name], views.travel, facts)
    return of_end[name](views.travel[end]) if end in views.travel else run.lacks(end)


def _in_section(run: RunMotion, row: MeasureAt, views: _Views | None, facts: BikeFacts) -> float:
    if views is None or any(view.minutes == 0 for view in views.travel.values()):
        return float("nan")
    outcome = _outcome(run, row, views, facts, in_a_section=True)
    return float("nan") if isinstance(outcome, Missing) else outcome


def _minutes(run: RunMotion, kept: tuple[Stretch, ...]) -> float:
    return sum(int(np.count_nonzero(run.time.riding[start:stop])) for start, stop in kept) / run.time.rate_hz / 60.0


def _family_value(
    run: RunMotion,
    row: MeasureAt,
    whole: _Views,
    sections: Sequence[_Views | None],
    facts: BikeFacts,
    minutes: float,
) -> FamilyValue:
    name, end = row
    outcome = _outcome(run, row, whole, facts)
    missing = isinstance(outcome, Missing)
    count = None
    if name in EVENT_COUNTS and end != "both" and end in whole.travel:
        count = EVENT_COUNTS[name](whole.travel[end])
    return FamilyValue(
        name=name,
        end=end,
        value=None if isinstance(outcome, Missing) else outcome,
        reason=outcome.reason if isinstance(outcome, Missing) else "",
        sections=np.array([float("nan") if missing else _in_section(run, row, views, facts) for views in sections]),
        count=count,
        minutes=minutes,
    )


def family_values(
    run: RunMotion,
    kept: tuple[Stretch, ...],
    facts: BikeFacts,
    rows: Sequence[FamilyPlace] = compared_rows(()),
) -> dict[MeasureAt, FamilyValue]:
    """Return every family row of one run over its kept sections.

    Parameters
    ----------
    run : RunMotion
    kept : tuple of (start, stop)
        Sample ranges of the kept sections, in order; at least one.
    facts : BikeFacts
    rows : sequence of (spec, end)
        From `compared_rows`; by default those of travel.

    Returns
    -------
    dict of (measure, end) to FamilyValue
        Pooled samples and strokes of the kept sections; a section's stroke percentile needs 5 strokes, and a
        measure's own minimum holds there too.
    """
    felt = _felt(run, facts)
    whole = _views(run, kept, felt, 1)
    sections = [_views(run, (section,), felt, FEWEST_IN_SECTION) for section in kept]
    minutes = _minutes(run, kept)
    places: list[MeasureAt] = [(spec.name, end) for spec, end in rows]
    return {row: _family_value(run, row, whole, sections, facts, minutes) for row in places}


def pooled_values(
    run: RunMotion, kept: tuple[Stretch, ...], facts: BikeFacts, rows: Sequence[FamilyPlace]
) -> dict[MeasureAt, FamilyValue]:
    """Return the rows of travel of one run over its kept sections together, none by itself; see `family_values`."""
    whole, minutes = _views(run, kept, {}, 1), _minutes(run, kept)
    return {(spec.name, end): _family_value(run, (spec.name, end), whole, (), facts, minutes) for spec, end in rows}


def values_within(
    run: RunMotion,
    kept: tuple[Stretch, ...],
    facts: BikeFacts,
    rows: Sequence[FamilyPlace],
    place_of: Callable[[str], tuple[Stretch, ...] | Missing],
) -> dict[MeasureAt, FamilyValue]:
    """Return rows within named parts of one run, over its kept sections and within each of them.

    Parameters
    ----------
    run : RunMotion
    kept : tuple of (start, stop)
    facts : BikeFacts
    rows : sequence of (spec, end)
        From `named_rows`.
    place_of : callable
        Returns the stretches a name stands for in this run, or why there are none.
    """
    found: dict[MeasureAt, FamilyValue] = {}
    felt = _felt(run, facts)
    for spec, end in rows:
        name, place = parted(spec.name)
        where = place_of(place or "")
        inside = where if isinstance(where, Missing) else clipped(kept, where)
        minutes = 0.0 if isinstance(inside, Missing) else _minutes(run, inside)
        lacking = inside if isinstance(inside, Missing) else too_short(place or "", 60 * minutes)
        if isinstance(inside, Missing) or lacking is not None:
            reason = "" if lacking is None else lacking.reason
            nothing = np.full(len(kept), np.nan)
            found[spec.name, end] = FamilyValue(
                name=spec.name, end=end, value=None, reason=reason, sections=nothing, count=None, minutes=minutes
            )
            continue
        parts = [clipped((section,), inside) for section in kept]
        sections = [_views(run, part, felt, FEWEST_IN_SECTION) if part else None for part in parts]
        whole = _views(run, inside, felt, FEWEST_IN_SECTION)
        found[spec.name, end] = replace(
            _family_value(run, (name, end), whole, sections, facts, minutes), name=spec.name
        )
    return found
