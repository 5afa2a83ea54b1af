"""The verdict rule: every row of every candidate judged as one family, its interval, its verdict and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from telemetry.model.comparison import Family, FamilyRow, Result, RunValue, Verdict, Verdicts, Withheld
from telemetry.model.interval import Interval
from telemetry.statistics.family import FALSE_DISCOVERY_RATE, INNER_LEVEL, Chosen, select
from telemetry.statistics.runs_needed import more_runs, upper_spread
from telemetry.statistics.scale import in_shown_unit, shown_unit_of
from telemetry.words import counted, decimals, figure

from .judging import Judged, judge
from .result import Answer, result_of
from .values import FEW_RUNS_REASON, usable_values

TOO_SMALL_NOTE = "real but too small to matter"
MAY_BE_LESS_NOTE = "may be less than what matters"
NO_MORE_NOTE = "more runs will not settle this; a longer trail or a larger change may"


def _decided(interval: Interval, d_margin: float | None, *, selected: bool) -> tuple[Verdict, str]:
    """Return the verdict of a row of the family, and what is to be said beside it."""
    if d_margin is not None and interval.inner is not None and interval.inner.within(d_margin):
        return "unchanged", TOO_SMALL_NOTE if selected else ""
    if not selected:
        return "undecided", ""
    less = d_margin is not None and interval.reaches_within(d_margin)
    return "changed", MAY_BE_LESS_NOTE if less else ""


def _runs_to_settle(judged: Judged, level: float) -> tuple[int | None, int | None]:
    """Return how many more runs of each settle a row, and the upper figure; None where that can't be told."""
    found, d_margin = judged.found, judged.d_margin
    if found is None or d_margin is None or found.s == 0 or found.nu <= 0:
        return None, None
    have = min(len(judged.baseline_runs), len(judged.candidate_runs))
    spreads = (found.s, upper_spread(found.s, found.nu))
    least, most = (more_runs(spread, d_margin, level, have) for spread in spreads)
    return least, most


def answer_of(judged: Judged, chosen: Chosen, inner_level: float) -> Answer:
    """Return the answer of a row: the first of barred, unchanged, changed, undecided that applies.

    Parameters
    ----------
    judged : Judged
    chosen : Chosen
        What the family says of the row.
    inner_level : float
        Of the two one-sided tests.
    """
    interval = judged.interval(chosen.level, inner_level)
    verdict: Verdict = "undecided"
    notes = [judged.barred]
    if interval is not None and chosen.selected is not None:
        verdict, note = _decided(interval, judged.d_margin, selected=chosen.selected)
        notes = [note, *judged.notes]
    least, most = _runs_to_settle(judged, chosen.alone) if verdict == "undecided" else (None, None)
    if verdict == "undecided" and chosen.selected is not None and least is None:
        notes.append(NO_MORE_NOTE)
    return Answer(
        interval=interval,
        verdict=verdict,
        reason="; ".join(filter(None, notes)),
        selected=bool(chosen.selected),
        more_runs=least,
        more_runs_upper=most,
    )


def verdicts(
    rows: Sequence[FamilyRow],
    *,
    baseline: str,
    candidates: Sequence[str],
    q: float = FALSE_DISCOVERY_RATE,
    looks: int = 1,
) -> Verdicts:
    """Judge every row for every candidate against the baseline, as one family.

    Parameters
    ----------
    rows : sequence of FamilyRow
    baseline : str
    candidates : sequence of str
    q : float
        False discovery rate before planned looks share it.
    looks : int
        Planned looks at the data, >= 1.

    Returns
    -------
    Verdicts
        A result for every row and candidate, rows of one candidate together.
    """
    rate = q / looks
    judged = [_with_a_b_a(judge(row, baseline, candidate), baseline) for candidate in candidates for row in rows]
    family = select([item.p for item in judged], [item.row.focus for item in judged], rate)
    answers = [answer_of(item, chosen, INNER_LEVEL / looks) for item, chosen in zip(judged, family, strict=True)]
    return Verdicts(
        results=tuple(result_of(item, answer, baseline) for item, answer in zip(judged, answers, strict=True)),
        family=Family(
            m=sum(chosen.selected is not None for chosen in family),
            focus=tuple(dict.fromkeys(f"{row.spec.name}:{row.end}" for row in rows if row.focus)),
            q=rate,
            looks=looks,
            selected=sum(answer.selected for answer in answers),
        ),
    )


def without_verdicts(verdicts: Verdicts, withheld: Mapping[Withheld, str]) -> Verdicts:
    """Return the same numbers with the verdicts of some candidates, or their ends, withheld, each with its reason."""

    def judged(result: Result) -> Result:
        why = withheld.get(result.candidate) or withheld.get((result.candidate, result.end))
        return replace(result, verdict=None, reason=why) if why else result

    return replace(verdicts, results=tuple(judged(result) for result in verdicts.results))


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
