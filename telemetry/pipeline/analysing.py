"""`analyse`: every run's and recording's measures and findings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from telemetry import measures
from telemetry.errors import CallError
from telemetry.model.analysis import Analysis, RunAnalysis
from telemetry.model.catalogue import CATALOGUE
from telemetry.model.day import RideDay
from telemetry.model.force import ForceMap, NoForceMap
from telemetry.model.measure import Absent
from telemetry.model.motion import StrokeKind
from telemetry.telling.analysed import analysis_sheet

from .cleaning import conditioning_of
from .recordings import analyse_recordings
from .studied import Behind, Progress, RunStudy, Study, facts_for
from .studying import study

if TYPE_CHECKING:
    import pandas as pd


def _all_absent(run: RunStudy) -> tuple[Absent, ...]:
    return tuple(
        Absent(measure=spec.name, end=end, reason=run.error_at(end))
        for spec in CATALOGUE
        if spec.source == "run"
        for end in spec.ends
    )


def analyse_run(done: Study, run: RunStudy, *, pictures: bool) -> RunAnalysis:
    """Return one run's measures; those of an end with an error are absent, its code the reason; of a run, all."""
    if run.motion is None:
        return RunAnalysis(
            entry=run.entry,
            findings=run.findings,
            measures=(),
            absent=_all_absent(run),
            history=run.history,
        )
    marks = tuple(
        measures.Marked(name=mark.name, at_s=mark.at_s) for mark in done.day.marks if mark.run == run.entry.name
    )
    facts = facts_for(done.day, run.entry.setup)
    felt = measures.inertial_views(run.motion, facts)
    sheet = measures.measure_run(run.motion, facts, run.lags, marks, run.phases, felt)
    for name, end, outcome in measures.measures_within(run.motion, run.phases, facts, felt, run.named):
        sheet.add(name, end, outcome)
    return RunAnalysis(
        entry=run.entry,
        findings=run.findings,
        measures=tuple(sheet.measures),
        absent=tuple(sheet.absent),
        history=run.history,
        picture=run.picture if pictures else None,
        force_maps=tuple(_weighed(done.day, run.entry.setup, found) for found in run.force_maps),
    )


def _weighed(day: RideDay, setup: str, found: ForceMap | NoForceMap) -> ForceMap | NoForceMap:
    """Return a map with what its end carries, as stated."""
    if isinstance(found, NoForceMap):
        return found
    return replace(found, carried_kg=day.setups[setup].at(found.end).number("sprung_mass_kg"))


def analysis_of(done: Study, *, pictures: bool = False) -> Analysis:
    """Return the analysis of a studied day.

    Parameters
    ----------
    done : Study
    pictures : bool
        Whether to prepare what pages draw.
    """
    runs = tuple(analyse_run(done, run, pictures=pictures) for run in done.runs)
    static = analyse_recordings(done.rides)
    return Analysis(
        day=done.day,
        runs=runs,
        static=static,
        conditioning=conditioning_of(done),
        tell=analysis_sheet,
        unread=done.unread,
        strokes=partial(_listed, done),
        behind=Behind(done=done),
    )


def _listed(done: Study, kind: StrokeKind) -> pd.DataFrame:
    from .listing import strokes  # noqa: PLC0415 - what a check can do without

    return strokes(done, kind)


def analyse(day: RideDay, progress: Progress | None = None) -> Analysis:
    """Measure every run and recording of a day.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional
        Told each run's name before it is studied.

    Returns
    -------
    Analysis
        ``.measures``, ``.findings``, ``.hits()`` and ``.returns()`` are DataFrames; ``.to_dict()`` is the JSON
        of ``telemetry analyse --json``.

    Raises
    ------
    LogError
        If none of its logs can be read; one that can't is told at its run.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> telemetry.analyse(day).measures[["run", "measure", "end", "unit"]].head(2)
         run             measure    end unit
    0  run_1         dynamic_sag  front    %
    1  run_1  dynamic_sag_median  front    %
    """
    return analysis_of(study(day, progress))


def require_all_read(unread: Sequence[Exception]) -> None:
    """Refuse, once the answer was given, a day of which logs can't be read.

    Raises
    ------
    LogError
        Of the first; each is told at its run.
    """
    if unread:
        raise unread[0]


def require_usable(analysis: Analysis) -> None:
    """Refuse a day in which no run is usable; one that has none yet is good for what was recorded off the trail.

    Raises
    ------
    CallError
        Naming the first run and why it isn't.
    """
    if any(run.measures for run in analysis.runs):
        return
    if not analysis.runs:
        if analysis.tells:
            return
        found = "no runs, and nothing of recordings off the trail"
        raise CallError(str(analysis.day.path), found, "at least one good log", "add what was ridden or recorded")
    first = analysis.runs[0]
    why = next(finding.message for finding in first.findings if finding.severity == "error")
    raise CallError(
        str(analysis.day.path), f"no usable run ({why})", "at least one good run", "`telemetry check` says more"
    )
