"""Measures in words: every run's values, what recordings gave, what could not be measured and why."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from math import log10

from telemetry.model.analysis import Analysis, RunAnalysis
from telemetry.model.catalogue import CATALOGUE, SPECS
from telemetry.model.comparison import Result
from telemetry.model.day import RideDay
from telemetry.model.finding import Place
from telemetry.model.measure import Absent, MeasureAt
from telemetry.model.measure_spec import MeasureSpec
from telemetry.model.phase import PHASES
from telemetry.model.plan import NotPlanned
from telemetry.model.within import within
from telemetry.sheet import ABSENT, Group, Table, table
from telemetry.words import figure, lower_first, shown_unit, titled, with_end

from .names import ENDS, PLACES, TITLES, at_the, label, short_name
from .untold import in_place_of_zero, seen_by_legs
from .values import both_in_words, places_of, quantity_in_words, title_of, value_in_words

OCTAVE = 3
"""Every so many thirds of an octave are printed; JSON holds all."""
OF_RUNS = tuple(spec for spec in CATALOGUE if spec.source == "run")
SAG_BY_PHASE = tuple(SPECS[within("dynamic_sag", phase)] for phase in PHASES)
SHOWN = tuple(one for spec in OF_RUNS for one in (spec, *(SAG_BY_PHASE if spec.name == "dynamic_sag" else ())))
"""What tables show: of all measures by phase only ride height, that they can be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunValues:
    """One run's values by measure and end, None where it has none; `instead` is what is said of one, where need be."""

    run: str
    setup: str
    value: Callable[[str, Place], float | None]
    instead: Callable[[str, Place, float], str]


def values_of_runs(runs: Iterable[RunAnalysis]) -> list[RunValues]:
    """Return what each whole run gave."""
    return [
        RunValues(run=run.entry.name, setup=run.entry.setup, value=run.value, instead=partial(in_place_of_zero, run))
        for run in runs
    ]


Say = Callable[[RideDay, str, str, Place, float], str]


def _cells(day: RideDay, runs: Sequence[RunValues], measure: str, end: Place, say: Say) -> list[str]:
    """Return what is said of each run's value; empty where no run has one."""
    values = [(run, run.value(measure, end)) for run in runs]
    if all(value is None for _, value in values):
        return []
    return [
        ABSENT if value is None else run.instead(measure, end, value) or say(day, run.setup, measure, end, value)
        for run, value in values
    ]


def measure_tables(analysis: Analysis) -> tuple[Table, ...]:
    """Return every measure of every run, a table a place; what no run gives is left out."""
    runs = values_of_runs(analysis.runs)
    columns = ["measure", *(run.run for run in runs)]
    tables = []
    for end in PLACES:
        rows = [
            [title_of(spec.name, end) + seen_by_legs(analysis.runs, spec.name), *cells]
            for spec in SHOWN
            if end in spec.ends
            and not spec.in_parts
            and (cells := _cells(analysis.day, runs, spec.name, end, value_in_words))
        ]
        tables.extend([table(columns, rows, title=TITLES[end])] if rows else [])
    return tuple(tables)


def _ends_of(spec: MeasureSpec) -> tuple[Place, ...]:
    return tuple(end for end in PLACES if end in spec.ends)


def value_table(day: RideDay, runs: Sequence[RunValues], measures: Sequence[str]) -> Table:
    """Return some measures of some runs, the ends beneath each other; units stand with the names."""
    rows = [
        [with_end(title_of(measure, end), end), *cells]
        for measure in measures
        for end in _ends_of(SPECS[measure])
        if (cells := _cells(day, runs, measure, end, value_in_words))
    ]
    return table(["measure", *(run.run for run in runs)], rows)


def setups_in_short(day: RideDay, runs: Sequence[RunValues], setups: tuple[str, str], measure: str) -> str:
    """Return a measure's means over two setups' runs in a sentence; an end without values of both is left out."""
    parts: list[str] = []
    for end in _ends_of(SPECS[measure]):
        values = [
            [own for run in runs if run.setup == name and (own := run.value(measure, end)) is not None]
            for name in setups
        ]
        if all(values):
            before, after = (
                value_in_words(day, name, measure, end, sum(own) / len(own))
                for name, own in zip(setups, values, strict=True)
            )
            unit = shown_unit(SPECS[measure].unit)
            pair = (before, after, "" if unit in after else unit)
            parts.append(f"{end if parts else short_name(measure, end)} {both_in_words([pair])}")
    first, second = (day.setups[name].label for name in setups)
    return f"From {first} to {second}: {', '.join(parts)}" if parts else ""


def values_in_short(day: RideDay, run: RunValues, measures: Sequence[str]) -> str:
    """Return one run's values of some measures in a sentence; empty where it has none."""
    parts = []
    for measure in measures:
        values = [
            f"{'' if end == 'both' else end + ' '}{quantity_in_words(day, run.setup, measure, end, value)}"
            for end in _ends_of(SPECS[measure])
            if (value := run.value(measure, end)) is not None
        ]
        parts.extend([f"{lower_first(SPECS[measure].label)}: {', '.join(values)}"] if values else [])
    return f"{run.run}: {'; '.join(parts)}" if parts else ""


def section_times(analysis: Analysis) -> Table | None:
    """Return each run's time in each section between marks; None without marks."""
    rows = [
        [row.part or "", run.entry.name, figure(row.value, 2)]
        for run in analysis.runs
        for row in run.measures
        if row.measure == "section_time"
    ]
    return table(["section", "run", "s"], rows, title="Section times", right_from=2) if rows else None


def by_frequency(analysis: Analysis) -> tuple[Table, ...]:
    """Return what has a value a frequency, a table a measure and end, by octaves; none without any value."""
    tables = []
    for spec in OF_RUNS:
        for end in spec.ends if spec.in_parts and spec.by == "acceleration" else ():
            of_runs = [
                {row.part: row.value for row in run.measures if (row.measure, row.end) == (spec.name, end)}
                for run in analysis.runs
            ]
            every = {part for found in of_runs for part in found if part is not None}
            parts = sorted((part for part in every if round(10 * log10(float(part))) % OCTAVE == 0), key=float)
            rows = [[part, *(_or_absent(found.get(part), spec) for found in of_runs)] for part in parts]
            title = with_end(titled(spec.label, spec.unit), end)
            columns = ["Hz", *(run.entry.name for run in analysis.runs)]
            tables.extend([table(columns, rows, title=title)] if rows else [])
    return tuple(tables)


def _or_absent(value: float | None, spec: MeasureSpec) -> str:
    return ABSENT if value is None else figure(value, places_of(spec.name))


def not_measured(rows: Iterable[Absent | Result | NotPlanned], every: Collection[MeasureAt]) -> tuple[Group, ...]:
    """Return what could not be had, by the reason: the measures it concerns, all that there are of an end as one.

    Parameters
    ----------
    rows : iterable of Absent, Result or NotPlanned
    every : collection of (measure, end)
        What there could have been.
    """
    names: dict[str, dict[str, None]] = {}
    for row in rows:
        names.setdefault(row.reason, {})[label(row.measure, row.end)] = None
    return tuple(Group(reason=reason, what=_together(list(found), every)) for reason, found in names.items())


def _together(names: list[str], every: Collection[MeasureAt]) -> str:
    at = {end: {label(name, place) for name, place in every if place == end} for end in PLACES}
    if set().union(*at.values()) <= set(names):
        return "everything"
    compared = {label(name, place) for name, place in every if place == "both" and SPECS[name].in_family}
    together = [("front against rear", compared)]
    for end in ENDS:
        of_travel = {label(name, place) for name, place in every if place == end and SPECS[name].by == "travel"}
        together += [(f"everything {at_the(end)}", at[end]), (f"everything of travel {at_the(end)}", of_travel)]
    for words, these in together:
        if these and these <= set(names):
            names = [words, *(name for name in names if name not in these)]
    return "; ".join(names)


def absences(analysis: Analysis) -> tuple[Group, ...]:
    """Return what could not be measured in every run, and why.

    What acceleration would tell is left out at an end that has no inertial sensor: nobody misses it there.
    """
    shaken = analysis.day.inertial_ends
    every = {(spec.name, end) for spec in OF_RUNS for end in spec.ends if spec.by == "travel" or end in shaken}
    rows = (row for run in analysis.runs for row in run.absent)
    return not_measured((row for row in rows if (row.measure, row.end) in every), every)
