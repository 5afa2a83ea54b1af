"""`compare`: candidates against the baseline, like for like, section by section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from telemetry import comparison, measures
from telemetry.errors import CallError
from telemetry.mechanics.leverage import stroke_shares
from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import FAMILY_ROWS, MeasureSpec
from telemetry.model.comparison import FamilyRow, RunValue, UsedRun
from telemetry.model.day import RideDay
from telemetry.model.finding import Place
from telemetry.ride_day import setup_differences
from telemetry.telling.sheets import comparison_sheet
from telemetry.telling.summary import with_words

from .analysing import require_runs
from .cleaning import conditioning_of
from .conditions import Dates, comparison_conditions
from .sharing import Sections, sections_of
from .study import Progress, RunStudy, Study, baseline_of, facts_for, smallest_change_of, study


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a caller asks to be compared; None leaves it to the day."""

    baseline: str | None = None
    candidates: tuple[str, ...] | None = None
    runs: tuple[str, ...] | None = None
    sections: tuple[int, ...] | None = None  # numbers from 1


def compared_setups(day: RideDay, wish: Wish) -> tuple[str, tuple[str, ...]]:
    """Return baseline and candidates: as asked, as the day says, or every setup ridden."""
    ridden = tuple(dict.fromkeys(run.setup for run in day.runs))
    baseline = wish.baseline or baseline_of(day) or ridden[0]
    candidates = tuple(wish.candidates or day.comparison.candidates or [name for name in ridden if name != baseline])
    for name in (baseline, *candidates):
        if name not in day.setups:
            raise CallError(
                str(day.path), f"no setup {name!r}", "one of " + ", ".join(day.setups), "name a setup of the day"
            )
    candidates = tuple(dict.fromkeys(name for name in candidates if name != baseline))
    if not candidates:
        found = f"one setup ({baseline!r})"
        raise CallError(str(day.path), found, "a baseline and another setup", "`telemetry report` shows a single setup")
    return baseline, candidates


def wished_runs(done: Study, wish: Wish) -> tuple[RunStudy, ...]:
    """Return the runs that a wish leaves: usable, not left out by the day, and asked for; refuse what there isn't."""
    names = [run.entry.name for run in done.runs]
    for name in wish.runs or ():
        if name not in names:
            raise CallError(
                str(done.day.path), f"no run {name!r}", "one of " + ", ".join(names), "name a run of the day"
            )
    return tuple(run for run in done.runs if run.usable and (wish.runs is None or run.entry.name in wish.runs))


@dataclass(frozen=True, slots=True, kw_only=True)
class Valued:
    """Usable runs of a studied day, and their values over the trail sections they share."""

    done: Study
    runs: tuple[RunStudy, ...]
    sections: Sections
    values: Mapping[str, Mapping[tuple[str, Place], measures.FamilyValue]]


def valued(done: Study, runs: tuple[RunStudy, ...], sections: Sequence[int] | None) -> Valued:
    """Return usable runs with their values over sections, numbered from 1; refuse where nothing of them is left."""
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


def _row(
    day: RideDay,
    spec: MeasureSpec,
    end: Place,
    values: Mapping[str, Mapping[tuple[str, Place], measures.FamilyValue]],
    used: tuple[UsedRun, ...],
) -> FamilyRow:
    """Return one family row over all runs that take part."""
    focus = day.comparison.focus
    full, strokes = {}, {}
    if end != "both" and spec.unit == "%":
        setups = {run.setup for run in used}
        full = {name: day.setups[name].at(end).full_travel_mm or 0.0 for name in setups}
        shares = {name: stroke_shares(day.setups[name].rear) for name in setups if end == "rear"}
        strokes = {name: found for name, found in shares.items() if found is not None}
    runs = []
    for run in used:
        found = values[run.run][spec.name, end]
        runs.append(
            RunValue(
                run=run,
                value=found.value,
                sections=found.sections,
                reason=found.reason,
                count=found.count,
                minutes=found.minutes,
            )
        )
    return FamilyRow(
        spec=spec,
        end=end,
        smallest_change=smallest_change_of(day, spec.name, end),
        focus=(spec.name, end) in focus or (spec.name, None) in focus,
        runs=tuple(runs),
        full_travel_mm=MappingProxyType(full),
        stroke_shares=MappingProxyType(strokes),
    )


def compared(found: Valued, baseline: str, candidates: tuple[str, ...]) -> Comparison:
    """Return the comparison of valued runs, all of these setups."""
    done, day, sections = found.done, found.done.day, found.sections
    dates = Dates(day)
    runs = tuple(dates.used(run.entry) for run in found.runs)
    rows = [_row(day, spec, end, found.values, runs) for spec, end in FAMILY_ROWS]
    verdicts = comparison.verdicts(rows, baseline=baseline, candidates=candidates, looks=day.comparison.planned_looks)
    differences = {
        candidate: setup_differences(day.setups[baseline], day.setups[candidate]) for candidate in candidates
    }
    speeds = {
        run.entry.name: speed
        for run in found.runs
        if (speed := measures.section_speeds_m_s(run.moved, sections.of(run.entry.name))) is not None
    }
    second = comparison.second_looks(
        rows, baseline=baseline, candidates=candidates, q=verdicts.family.q, speeds_m_s=speeds
    )
    fairness, withheld = comparison.fairness(comparison_conditions(done, found.runs, baseline, differences))
    numbers = Comparison(
        day=day,
        baseline=baseline,
        candidates=candidates,
        setup_differences=tuple(item for found in differences.values() for item in found),
        runs_used=runs,
        fairness_findings=(*fairness, *sections.sharing.notes),
        verdicts=comparison.without_verdicts(verdicts, withheld),
        sections=len(sections.kept),
        shared_by=sections.sharing.words,
        sections_dropped=sections.count - len(sections.kept),
        conditioning=MappingProxyType({**conditioning_of(done), "sections": sections.sharing.words}),
        tell=comparison_sheet,
        second=second,
    )
    return with_words(numbers)


def compare(
    day: RideDay,
    baseline: str | None = None,
    candidates: Sequence[str] | None = None,
    runs: Sequence[str] | None = None,
    sections: Sequence[int] | None = None,
    *,
    progress: Progress | None = None,
) -> Comparison:
    """Compare candidates with the baseline, like for like.

    Parameters
    ----------
    day : RideDay
    baseline : str, optional
        A setup; by default the day's, else the first ridden.
    candidates : sequence of str, optional
        By default the day's, else every other setup ridden.
    runs : sequence of str, optional
        Only these runs take part.
    sections : sequence of int, optional
        Only these trail sections count, numbered from 1.
    progress : callable, optional

    Returns
    -------
    Comparison
        ``.results`` and ``.fairness`` are DataFrames; ``.to_dict()`` is the JSON of ``telemetry compare --json``.

    Raises
    ------
    CallError
        If there are not two setups to compare, or none of their runs is usable.
    LogError
        If a log can't be read.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> telemetry.compare(day).results[["measure", "end", "verdict"]].head(3)
           measure    end    verdict
    0  dynamic_sag  front  unchanged
    1  dynamic_sag   rear  unchanged
    2   travel_p95  front  undecided
    """
    require_runs(day)
    for name, asked in (("candidates", candidates), ("runs", runs), ("sections", sections)):
        if asked is not None and (isinstance(asked, str) or not len(asked)):
            found = f"{name} = {asked!r}"
            raise CallError(str(day.path), found, "a list with at least one entry, or none for all", "name them")
    asked_for = None if candidates is None else tuple(candidates)
    wish = Wish(baseline=baseline, candidates=asked_for, runs=None if runs is None else tuple(runs))
    base, others = compared_setups(day, wish)
    done = study(day, progress)
    used = tuple(run for run in wished_runs(done, wish) if run.entry.setup in (base, *others))
    return compared(valued(done, used, sections), base, others)
