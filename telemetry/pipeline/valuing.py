"""Runs' values over the trail sections they share: what a comparison is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from telemetry import measures
from telemetry.errors import CallError
from telemetry.model.catalogue import FamilyPlace, compared_rows, named_rows
from telemetry.model.day import RideDay
from telemetry.model.measure import MeasureAt
from telemetry.model.motion import Stretch

from .sharing import Sections, sections_of
from .studied import RunStudy, Study, facts_for

Values: TypeAlias = Mapping[MeasureAt, measures.FamilyValue]
FLOWN_SHARE = 0.02
"""Of riding time: flights of as much, counted in one run's sag and not in the others', move it by a quarter of what
matters. Own choice."""
NO_FLIGHTS = "its flights can't be told, and the other runs' are left out of their sag"


@dataclass(frozen=True, slots=True, kw_only=True)
class Valued:
    """Usable runs of a studied day, and their values over the trail sections they share."""

    done: Study
    runs: tuple[RunStudy, ...]
    sections: Sections
    values: Mapping[str, Values]


def valued(done: Study, runs: tuple[RunStudy, ...], sections: Sequence[int] | None) -> Valued:
    """Return runs with their values.

    Parameters
    ----------
    done : Study
    runs : tuple of RunStudy
        Usable.
    sections : sequence of int or None
        Numbers from 1 of the trail sections that count.

    Raises
    ------
    CallError
        If there is no run, or a section is asked for that there isn't, or none is complete.
    """
    if not runs:
        raise CallError(
            str(done.day.path), "no usable run of these setups", "runs of each", "`telemetry check` says more"
        )
    shared = sections_of(done.day, {run.entry.name: run.moved for run in runs}, sections)
    values = {run.entry.name: _values(done.day, run, shared.of(run.entry.name)) for run in runs}
    return Valued(done=done, runs=runs, sections=shared, values=_flying_alike(runs, values))


def rows_within(day: RideDay) -> tuple[FamilyPlace, ...]:
    """Return the rows within a part of the ride that are compared because focus names them."""
    shaken = day.ends_by_acceleration
    return tuple(row for row in named_rows(day.comparison.focus) if row[0].by == "travel" or row[1] in shaken)


def rows_of(day: RideDay) -> tuple[FamilyPlace, ...]:
    """Return a day's rows: those of every comparison, and those within a part of the ride that are named in focus."""
    return (*compared_rows(day.ends_by_acceleration), *rows_within(day))


def _values(day: RideDay, run: RunStudy, kept: tuple[Stretch, ...]) -> Values:
    facts, inner = facts_for(day, run.entry.setup), rows_within(day)
    over_all = measures.family_values(run.moved, kept, facts, compared_rows(day.ends_by_acceleration))
    return over_all | measures.values_within(run.moved, kept, facts, inner, run.stretches_of)


def _flying_alike(runs: tuple[RunStudy, ...], values: dict[str, Values]) -> dict[str, Values]:
    """Return the values without the sag of a run whose flights can't be told, where the others' are left out."""
    times = {run.entry.name: run.moved.time for run in runs}
    flown = [time.airborne.sum() / time.riding.sum() for time in times.values() if time.airborne is not None]
    if max(flown, default=0.0) <= FLOWN_SHARE:
        return values
    told = dict(values)
    for name, time in times.items():
        if time.airborne is None:
            told[name] = {
                (measure, end): replace(value, value=None, reason=NO_FLIGHTS)
                if measure == "dynamic_sag" and value.value is not None
                else value
                for (measure, end), value in values[name].items()
            }
    return told
