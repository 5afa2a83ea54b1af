"""`compare`: candidates against the baseline, like for like, section by section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TypeAlias

from telemetry import comparison, measures
from telemetry.errors import CallError
from telemetry.mechanics.leverage import stroke_shares
from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import in_mm
from telemetry.model.comparison import FamilyRow, RunValue, UsedRun, Withheld
from telemetry.model.conditions import Naming
from telemetry.model.day import RideDay, SmallestChange
from telemetry.model.finding import Place
from telemetry.model.force import RunForces
from telemetry.model.measure import MeasureAt
from telemetry.model.measure_spec import MeasureSpec
from telemetry.model.second_looks import SecondLooks
from telemetry.model.within import parted
from telemetry.planning import Borrowed
from telemetry.ride_day import setup_differences
from telemetry.telling.earlier_days import spread_in_words
from telemetry.telling.sheets import comparison_sheet
from telemetry.telling.summary import with_words

from .cleaning import conditioning_of
from .conditions import Dates, comparison_conditions
from .earlier import Earlier, earlier_days
from .studied import Behind, Progress, RunStudy, Selection, Study, baseline_of, smallest_change_of
from .studying import study
from .valuing import Valued, rows_of, valued

Focus: TypeAlias = frozenset[tuple[str, str | None]]
CHOSEN = "explored after the fact"
CHOSEN_LATE = "the stretch was named after riding began: which one it is may have been chosen by its figures"
CHOSEN_UNKNOWN = "named_at isn't stated: whether the stretch was named before riding isn't known"


def compared_setups(day: RideDay, selection: Selection) -> tuple[str, tuple[str, ...]]:
    """Return baseline and candidates: as asked, as the day says, or every setup ridden."""
    ridden = tuple(dict.fromkeys(run.setup for run in day.runs))
    baseline = selection.baseline or baseline_of(day) or ridden[0]
    candidates = tuple(
        selection.candidates or day.comparison.candidates or [name for name in ridden if name != baseline]
    )
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


def selected_runs(done: Study, selection: Selection) -> tuple[RunStudy, ...]:
    """Return the runs of a selection: usable, not left out by the day, and asked for; refuse what there isn't."""
    names = [run.entry.name for run in done.runs]
    for name in selection.runs or ():
        if name not in names:
            raise CallError(
                str(done.day.path), f"no run {name!r}", "one of " + ", ".join(names), "name a run of the day"
            )
    return tuple(
        run for run in done.runs if run.usable and (selection.runs is None or run.entry.name in selection.runs)
    )


def run_values(found: Valued, at: MeasureAt, used: Sequence[UsedRun]) -> tuple[RunValue, ...]:
    """Return one measure's values, a run each."""
    values = [found.values[run.run][at] for run in used]
    return tuple(
        RunValue(
            run=run,
            value=value.value,
            sections=value.sections,
            reason=value.reason,
            count=value.count,
            minutes=value.minutes,
        )
        for run, value in zip(used, values, strict=True)
    )


def _row(found: Valued, spec: MeasureSpec, end: Place, used: tuple[UsedRun, ...], focus: Focus) -> FamilyRow:
    """Return one family row over all runs that take part."""
    day = found.done.day
    full, strokes = {}, {}
    if end != "both" and spec.by == "travel" and spec.unit in ("%", "mm per hit"):
        setups = {run.setup for run in used}
        full = {name: day.setups[name].at(end).full_travel_mm or 0.0 for name in setups}
        shares = {name: stroke_shares(day.setups[name].rear) for name in setups if end == "rear"}
        strokes = {name: curve for name, curve in shares.items() if curve is not None}
    return FamilyRow(
        spec=spec,
        end=end,
        smallest_change=smallest_change_of(day, spec.name, end),
        focus=not focus.isdisjoint({(spec.name, end), (spec.name, None)}),
        runs=run_values(found, (spec.name, end), used),
        full_travel_mm=MappingProxyType(full),
        stroke_shares=MappingProxyType(strokes),
    )


def _chosen_late(day: RideDay, measure: str, naming: Naming) -> str:
    """Return why a row within a named stretch of trail gets no verdict: it may have been chosen by its figures.

    A phase is found by its sensors, so a late naming costs it its focus only.
    """
    if parted(measure)[1] not in day.stretch_names:
        return ""
    if naming.named_at is None:
        return CHOSEN_UNKNOWN
    return CHOSEN_LATE if naming.late else ""


def _in_mm(row: FamilyRow, baseline: str) -> list[FamilyRow]:
    """Return a share of full travel in mm before the share, where full travel differs between setups."""
    spec = in_mm(row.spec.name)
    if spec is None or len({round(full, 1) for full in row.full_travel_mm.values()}) < 2:
        return [row]
    mm = row.smallest_change.amount * row.full_travel_mm[baseline] / 100
    factors = {name: full / 100 for name, full in row.full_travel_mm.items()}
    runs = tuple(
        replace(
            run,
            value=None if run.value is None else run.value * factors[run.run.setup],
            sections=run.sections * factors[run.run.setup],
        )
        for run in row.runs
    )
    change = SmallestChange(amount=mm, form="mm", entered=f"{mm:.1f} mm")
    return [replace(row, spec=spec, smallest_change=change, runs=runs, stroke_shares=MappingProxyType({})), row]


def _lent(earlier: Earlier, shares: Sequence[FamilyRow], baseline: str) -> Mapping[MeasureAt, Borrowed]:
    """Return what earlier days lend to every row: to mm what they lend to their share, in the baseline's mm."""
    lent = dict(earlier.borrowed)
    for row in shares:
        share, mm = lent.get((row.spec.name, row.end)), in_mm(row.spec.name)
        if share is not None and mm is not None and row.full_travel_mm:
            variance = share.variance * (row.full_travel_mm[baseline] / 100) ** 2
            lent[mm.name, row.end] = replace(share, variance=variance)
    return MappingProxyType(lent)


def _spread(earlier: Earlier) -> dict[str, object]:
    """Return in words what earlier days lend, for the conditioning; nothing where there is none."""
    words = spread_in_words(earlier.told)
    return {"spread": words} if words else {}


def _rules(day: RideDay, withheld: Mapping[Withheld, str], lent: Mapping[MeasureAt, Borrowed]) -> comparison.Rules:
    return comparison.Rules(
        planned_runs=day.comparison.planned_runs,
        borrowed=lent,
        withheld=withheld,
        can_be_undone=day.plan is None or day.plan.can_be_undone,
    )


def compared(found: Valued, baseline: str, candidates: tuple[str, ...]) -> Comparison:
    """Return the comparison of valued runs, all of these setups.

    Raises
    ------
    CallError
        If an earlier day whose spread is to be taken can't be used.
    """
    done, day, sections = found.done, found.done.day, found.sections
    dates = Dates(day)
    runs = tuple(dates.used(run.entry) for run in found.runs)
    differences = {
        candidate: setup_differences(day.setups[baseline], day.setups[candidate], day.bike.geometry)
        for candidate in candidates
    }
    conditions = comparison_conditions(done, found.runs, baseline, differences)
    fairness, withheld = comparison.fairness(conditions)
    focus = frozenset() if conditions.naming.late else frozenset(day.comparison.focus)
    plain = [_row(found, spec, end, runs, focus) for spec, end in rows_of(day)]
    plain = [replace(row, withheld=_chosen_late(day, row.spec.name, conditions.naming)) for row in plain]
    rows = [row for one in plain for row in _in_mm(one, baseline)]
    earlier = earlier_days(day, done)
    rules = _rules(day, withheld, _lent(earlier, plain, baseline))
    speeds = {
        run.entry.name: speed
        for run in found.runs
        if (speed := measures.section_speeds_m_s(run.moved, sections.of(run.entry.name))) is not None
    }
    second = comparison.second_looks(
        rows, baseline=baseline, candidates=candidates, q=comparison.FALSE_DISCOVERY_RATE, speeds_m_s=speeds
    )
    forces = [RunForces(run=used, maps=run.force_maps) for used, run in zip(runs, found.runs, strict=True)]
    second = replace(second, forces=comparison.force_differences(forces, baseline=baseline, candidates=candidates))
    verdicts = comparison.verdicts(rows, baseline=baseline, candidates=candidates, rules=rules)
    labels = {name: setup.label for name, setup in day.setups.items()}
    against = (
        *fairness,
        *comparison.value_findings(rows, verdicts.results, labels),
        *comparison.spread_not_judged(earlier.told.perhaps_late, library_is_younger=earlier.told.library_is_younger),
        *sections.sharing.notes,
    )
    numbers = Comparison(
        day=day,
        baseline=baseline,
        candidates=candidates,
        setup_differences=tuple(item for found in differences.values() for item in found),
        runs_used=runs,
        left_out=conditions.left_out,
        put_on=MappingProxyType(comparison.times_put_on(conditions.ridden, found.values.keys())),
        fairness_findings=comparison.gravest_first(against),
        verdicts=verdicts,
        sections=len(sections.kept),
        shared_by=sections.sharing.words,
        sections_dropped=sections.count - len(sections.kept),
        conditioning=MappingProxyType(
            {**conditioning_of(done), "sections": sections.sharing.words, **_spread(earlier)}
        ),
        tell=comparison_sheet,
        unread=done.unread,
        second=second,
        earlier=earlier.told,
    )
    return with_words(numbers)


def compared_where_two(done: Study) -> Comparison | None:
    """Return a studied day's comparison as the day asks for it; None where fewer than two setups have usable runs.

    Raises
    ------
    CallError
        If nothing of the trail is whole in every run, or an earlier day whose spread is to be taken can't be used.
    """
    runs = selected_runs(done, Selection())
    if len({run.entry.setup for run in runs}) < 2:
        return None
    baseline, candidates = compared_setups(done.day, Selection())
    used = tuple(run for run in runs if run.entry.setup in (baseline, *candidates))
    return compared(valued(done, used, None), baseline, candidates)


def explored(found: Comparison) -> Comparison:
    """Return the same numbers without any verdict: the runs or sections were chosen by looking."""
    verdicts = comparison.without_verdicts(found.verdicts, CHOSEN)
    return with_words(replace(found, verdicts=verdicts, second=SecondLooks()))


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
        Only these runs take part: an exploration, numbers without verdicts.
    sections : sequence of int, optional
        Only these trail sections count, numbered from 1: an exploration too.
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
        If none of its logs can be read; what one that can't would have told is left out, and that is said.

    Examples
    --------
    >>> import telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> telemetry.compare(day).results[["measure", "end", "verdict"]].head(3)
           measure    end    verdict
    0  dynamic_sag  front  unchanged
    1  dynamic_sag   rear  unchanged
    2   travel_p95  front  unchanged
    """
    if not day.runs:
        remedy = "add the logs that were ridden; `telemetry check` says what was recorded off the trail"
        raise CallError(str(day.path), "no runs", "runs of two setups", remedy)
    for name, asked in (("candidates", candidates), ("runs", runs), ("sections", sections)):
        if asked is not None and (isinstance(asked, str) or not len(asked)):
            found = f"{name} = {asked!r}"
            raise CallError(str(day.path), found, "a list with at least one entry, or none for all", "name them")
    asked_for = None if candidates is None else tuple(candidates)
    selection = Selection(baseline=baseline, candidates=asked_for, runs=None if runs is None else tuple(runs))
    base, others = compared_setups(day, selection)
    done = study(day, progress)
    used = tuple(run for run in selected_runs(done, selection) if run.entry.setup in (base, *others))
    numbers = compared(valued(done, used, sections), base, others)
    numbers = numbers if runs is None and sections is None else explored(numbers)
    shown = replace(selection, baseline=base, candidates=others, sections=None if sections is None else tuple(sections))
    return replace(numbers, behind=Behind(done=done, selection=shown))
