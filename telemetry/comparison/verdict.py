"""The verdict rule: every candidate's rows judged in families of their own, each interval, verdict and why."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from telemetry.model.comparison import Family, FamilyRow, Result, RunValue, Verdict, Verdicts, Withheld
from telemetry.model.interval import Interval
from telemetry.model.measure import MeasureAt
from telemetry.statistics.counting import RateRatio
from telemetry.statistics.earlier_days import Borrowed
from telemetry.statistics.family import FALSE_DISCOVERY_RATE, INNER_LEVEL, Chosen, group_of, group_rates, select
from telemetry.statistics.looks import Look, look_at
from telemetry.statistics.runs_needed import more_runs, upper_spread
from telemetry.statistics.scale import in_shown_unit, shown_unit_of
from telemetry.words import counted, decimals, figure

from .judging import Judged, compares, judge
from .result import Answer, result_of
from .values import FEW_RUNS_REASON, usable_values

TOO_SMALL_NOTE = "real but too small to matter"
MAY_BE_LESS_NOTE = "may be less than what matters"
NO_MORE_NOTE = "more runs will not settle this; a longer trail or a larger change may"

NOT_BACK_NOTE = "no more runs can settle this: the baseline can't be put back"


def decided(interval: Interval, d_margin: float | None, *, selected: bool) -> tuple[Verdict, str]:
    """Return the verdict of a row of the family, and what is to be said beside it."""
    if d_margin is not None and interval.inner is not None and interval.inner.within(d_margin):
        return "unchanged", TOO_SMALL_NOTE if selected else ""
    if not selected:
        return "undecided", ""
    less = d_margin is not None and interval.reaches_within(d_margin)
    return "changed", MAY_BE_LESS_NOTE if less else ""


def _runs_to_settle(judged: Judged, chosen: Chosen, look: Look) -> tuple[int | None, int | None]:
    """Return how many more runs of each settle a row, and the upper figure; None where that can't be told."""
    found, d_margin = judged.found, judged.d_margin
    if found is None or d_margin is None or found.s == 0 or found.nu <= 0:
        return None, None
    have = min(len(judged.baseline_runs), len(judged.candidate_runs))
    times, further_nu = _design_of(judged)

    def more(s: float) -> int | None:
        inner = INNER_LEVEL * look.share
        return more_runs(s * times, d_margin, chosen.alone, have, inner_level=inner, further_nu=further_nu)

    least, most = more(found.s), more(upper_spread(found.s, found.nu))
    return least, most


def _design_of(judged: Judged) -> tuple[float, float]:
    """Return what a day as it was ridden costs, for planning further runs ridden like it.

    Returns
    -------
    times : float
        The standard error in those of as many runs whose mean places in the day agree: 2.05 for four, then four.
    further_nu : float
        Degrees of freedom borrowed from earlier days, less one that goes to a second day.
    """
    found = judged.found
    if found is None or isinstance(found, RateRatio):
        return 1.0, 0.0
    plain = math.sqrt(1 / len(judged.baseline_runs) + 1 / len(judged.candidate_runs))
    lent = 0.0 if found.borrowed is None else found.borrowed.nu
    return found.reach / plain, lent - ("day" in found.taken_out)


def answer_of(judged: Judged, chosen: Chosen, look: Look, *, can_be_undone: bool) -> Answer:
    """Return the answer of a row: the first of barred, so far, unchanged, changed, undecided that applies.

    Parameters
    ----------
    judged : Judged
    chosen : Chosen
        What the family says of the row.
    look : Look
    can_be_undone : bool
        Whether further runs of the baseline can be ridden.
    """
    interval = judged.interval(chosen.level, INNER_LEVEL * look.share)
    verdict: Verdict = "undecided"
    notes = [judged.barred or look.so_far]
    decides = interval is not None and chosen.selected is not None and not look.so_far
    if interval is not None and decides:
        verdict, note = decided(interval, judged.d_margin, selected=bool(chosen.selected))
        notes = [note, *judged.notes]
    open_still = verdict == "undecided" and not look.so_far
    least, most = _runs_to_settle(judged, chosen, look) if open_still and can_be_undone else (None, None)
    if open_still and decides and least is None:
        notes.append(NO_MORE_NOTE if can_be_undone else NOT_BACK_NOTE)
    return Answer(
        interval=interval,
        verdict=verdict,
        reason="; ".join(filter(None, notes)),
        selected=bool(chosen.selected),
        more_runs=least,
        more_runs_upper=most,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What verdicts are made by, stated before riding.

    Attributes
    ----------
    planned_runs : tuple of int
        Of each, increasing; empty where none was stated.
    borrowed : mapping of (measure, end) to Borrowed
        What earlier days say of a row's spread.
    withheld : mapping
        Candidates, or places of them, that get no verdict, each with its reason: out before rows are selected.
    q : float
        False discovery rate.
    can_be_undone : bool
        Whether the baseline can be put back for further runs.
    """

    planned_runs: tuple[int, ...] = ()
    borrowed: Mapping[MeasureAt, Borrowed] = field(default_factory=lambda: MappingProxyType({}))
    withheld: Mapping[Withheld, str] = field(default_factory=lambda: MappingProxyType({}))
    q: float = FALSE_DISCOVERY_RATE
    can_be_undone: bool = True


def verdicts(
    rows: Sequence[FamilyRow], *, baseline: str, candidates: Sequence[str], rules: Rules | None = None
) -> Verdicts:
    """Judge every row for every candidate against the baseline: each candidate's rows are families of their own.

    Parameters
    ----------
    rows : sequence of FamilyRow
    baseline : str
    candidates : sequence of str
    rules : Rules, optional

    Returns
    -------
    Verdicts
        A result for every row and candidate, rows of one candidate together.

    Notes
    -----
    Rows in focus are one family, all others another; a third setup's rows must not loosen a threshold.
    """
    found = [_of_candidate(rows, baseline, candidate, rules or Rules()) for candidate in candidates]
    return Verdicts(
        results=tuple(result for results, _ in found for result in results),
        families=tuple(family for _, families in found for family in families),
    )


def runs_each(rows: Sequence[FamilyRow], baseline: str, candidate: str) -> int:
    """Return runs of the setup with fewer that take part."""
    ridden = {run.run.run: run.run.setup for row in rows for run in row.runs}
    return min(list(ridden.values()).count(setup) for setup in (baseline, candidate))


def _of_candidate(
    rows: Sequence[FamilyRow], baseline: str, candidate: str, rules: Rules
) -> tuple[list[Result], list[Family]]:
    rows = [row for row in rows if compares(row, baseline, candidate)]
    look = look_at(rules.planned_runs, runs_each(rows, baseline, candidate))
    judged = [
        _with_a_b_a(judge(row, baseline, candidate, rules.borrowed.get((row.spec.name, row.end))), baseline)
        for row in rows
    ]
    why = [rules.withheld.get(candidate) or rules.withheld.get((candidate, row.end)) or row.withheld for row in rows]
    in_focus = [row.focus for row in rows]
    rates = group_rates(in_focus, look.share * rules.q)
    results: dict[int, Result] = {}
    families = []
    for group, rate in rates.items():
        places = [place for place, named in enumerate(in_focus) if group_of(named, rates) == group]
        chosen = select([None if why[place] else judged[place].p for place in places], rate)
        for place, row in zip(places, chosen, strict=True):
            answer = answer_of(judged[place], row, look, can_be_undone=rules.can_be_undone)
            found = result_of(judged[place], answer, baseline)
            results[place] = replace(found, verdict=None, reason=why[place]) if why[place] else found
        families.append(
            Family(
                candidate=candidate,
                group=group,
                m=sum(row.selected is not None for row in chosen),
                q=rate,
                looks=look.number,
                selected=sum(bool(row.selected) for row in chosen),
            )
        )
    return [results[place] for place in range(len(rows))], families


def without_verdicts(verdicts: Verdicts, why: str) -> Verdicts:
    """Return the same numbers without any verdict."""
    return replace(verdicts, results=tuple(replace(result, verdict=None, reason=why) for result in verdicts.results))


def _with_a_b_a(judged: Judged, baseline: str) -> Judged:
    """Add to the reason of a row with too few runs what the two runs around the single one say of each other."""
    if judged.barred != FEW_RUNS_REASON:
        return judged
    words = _a_b_a_words(judged.row, baseline, judged.candidate)
    return replace(judged, barred=f"{judged.barred}; {words}") if words else judged


def _a_b_a_words(row: FamilyRow, baseline: str, candidate: str) -> str:
    """Return how two runs of one setup around a single run of the other differ; empty for any other order."""
    by_setup = {setup: usable_values(row, setup) for setup in (baseline, candidate)}
    twice = next((setup for setup, runs in by_setup.items() if len(runs) == 2), None)
    other = candidate if twice == baseline else baseline
    if twice is None or len(by_setup[other]) != 1:
        return ""
    first, last = sorted(by_setup[twice], key=lambda run: run.run.order)
    if not first.run.order < by_setup[other][0].run.order < last.run.order:
        return ""
    places = counted(last.run.order - first.run.order, "place")
    return f"the two runs of {twice}, {places} apart, differ by {_differ(row, first, last)} themselves"


def _differ(row: FamilyRow, first: RunValue, last: RunValue) -> str:
    """Return the difference of two runs in words; of counts, the counts."""
    if row.spec.scale == "count":
        more = (last.count or 0) - (first.count or 0)
        return f"{figure(more, 0, signed=True)} event{'' if abs(more) == 1 else 's'}"
    a, b = first.value or 0.0, last.value or 0.0
    unit = shown_unit_of(row.spec)
    if row.spec.scale == "log":
        return f"{figure(100 * (b / a - 1), 1, signed=True)} {unit}"
    return f"{figure(in_shown_unit(b - a, row.spec.scale), max(decimals(row.spec.unit), 1), signed=True)} {unit}"
