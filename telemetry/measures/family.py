"""The measures that get verdicts, for one run over the kept sections and within each of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.catalogue import FAMILY_ROWS
from telemetry.model.finding import End, Place
from telemetry.model.motion import Stretch

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
from .missing import Missing, Outcome
from .view import EndView, RunMotion, end_view

Row: TypeAlias = tuple[str, Place]
FEWEST_IN_SECTION = 5
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


def _views(run: RunMotion, kept: tuple[Stretch, ...], fewest: int) -> dict[End, EndView]:
    return {end: end_view(run, end, stretches=kept, fewest_strokes=fewest) for end in run.ends}


def _outcome(
    run: RunMotion, row: Row, views: dict[End, EndView], facts: BikeFacts, *, in_a_section: bool = False
) -> Outcome:
    (name, end), (of_end, of_pair) = row, IN_A_SECTION if in_a_section else OVER_ALL
    if end == "both":
        return of_both(run, name, of_pair[name], views, facts)
    return of_end[name](views[end]) if end in views else run.lacks(end)


def _in_section(run: RunMotion, row: Row, views: dict[End, EndView], facts: BikeFacts) -> float:
    if any(view.minutes == 0 for view in views.values()):
        return float("nan")
    outcome = _outcome(run, row, views, facts, in_a_section=True)
    return float("nan") if isinstance(outcome, Missing) else outcome


def _minutes(run: RunMotion, kept: tuple[Stretch, ...]) -> float:
    return sum(int(np.count_nonzero(run.time.riding[start:stop])) for start, stop in kept) / run.time.rate_hz / 60.0


def _family_value(
    run: RunMotion,
    row: Row,
    whole: dict[End, EndView],
    sections: list[dict[End, EndView]],
    facts: BikeFacts,
    minutes: float,
) -> FamilyValue:
    name, end = row
    outcome = _outcome(run, row, whole, facts)
    missing = isinstance(outcome, Missing)
    count = None
    if name in EVENT_COUNTS and end != "both" and end in whole:
        count = EVENT_COUNTS[name](whole[end])
    return FamilyValue(
        name=name,
        end=end,
        value=None if isinstance(outcome, Missing) else outcome,
        reason=outcome.reason if isinstance(outcome, Missing) else "",
        sections=np.array([float("nan") if missing else _in_section(run, row, views, facts) for views in sections]),
        count=count,
        minutes=minutes,
    )


def family_values(run: RunMotion, kept: tuple[Stretch, ...], facts: BikeFacts) -> dict[tuple[str, Place], FamilyValue]:
    """Return every family row of one run over its kept sections.

    Parameters
    ----------
    run : RunMotion
    kept : tuple of (start, stop)
        Sample ranges of the kept sections, in order; at least one.
    facts : BikeFacts

    Returns
    -------
    dict of (measure, end) to FamilyValue
        Pooled samples and strokes of the kept sections; a section's stroke percentile needs 5 strokes, and a
        measure's own minimum holds there too.
    """
    whole = _views(run, kept, 1)
    sections = [_views(run, (section,), FEWEST_IN_SECTION) for section in kept]
    minutes = _minutes(run, kept)
    rows: list[Row] = [(spec.name, end) for spec, end in FAMILY_ROWS]
    return {row: _family_value(run, row, whole, sections, facts, minutes) for row in rows}
