"""Runs' values over the trail sections they share: what a comparison is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from telemetry import measures
from telemetry.errors import CallError
from telemetry.model.finding import Place

from .sharing import Sections, sections_of
from .study import RunStudy, Study, facts_for


@dataclass(frozen=True, slots=True, kw_only=True)
class Valued:
    """Usable runs of a studied day, and their values over the trail sections they share."""

    done: Study
    runs: tuple[RunStudy, ...]
    sections: Sections
    values: Mapping[str, Mapping[tuple[str, Place], measures.FamilyValue]]


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
    values = {
        run.entry.name: measures.family_values(
            run.moved, shared.of(run.entry.name), facts_for(done.day, run.entry.setup)
        )
        for run in runs
    }
    return Valued(done=done, runs=runs, sections=shared, values=values)
