"""Every row of every candidate, judged as one family."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from telemetry.model.comparison import Family, FamilyRow, Verdicts
from telemetry.statistics.family import Selection, select

from .alone import a_b_a_words
from .answer import Terms, barred_answer, family_answer
from .judging import FEW_RUNS_REASON, Judged, judge
from .judging_counts import judge_counts
from .result import result_of


def _with_a_b_a(judged: Judged, baseline: str) -> Judged:
    """Add to the reason of a row with too few runs what the two runs around the single one say of each other."""
    if judged.barred != FEW_RUNS_REASON:
        return judged
    words = a_b_a_words(judged.row, baseline, judged.candidate)
    return replace(judged, barred=f"{judged.barred}; {words}") if words else judged


def verdicts(
    rows: Sequence[FamilyRow],
    *,
    baseline: str,
    candidates: Sequence[str],
    q: float = 0.05,
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
    judged = [
        _with_a_b_a((judge_counts if row.spec.scale == "count" else judge)(row, baseline, candidate), baseline)
        for candidate in candidates
        for row in rows
    ]
    family = [item for item in judged if item.in_family]
    chosen: Selection = select(
        [item.found.p for item in family if item.found is not None and item.found.p is not None],
        [item.row.focus for item in family],
        rate,
    )
    terms = Terms(q=rate, m=len(family), looks=looks)
    answers = {
        id(item): family_answer(item, selected=picked, level=level, weight=weight, terms=terms)
        for item, picked, level, weight in zip(family, chosen.selected, chosen.levels, chosen.weights, strict=True)
    }
    results = [result_of(item, answers.get(id(item)) or barred_answer(item, terms), baseline) for item in judged]
    focus = tuple(dict.fromkeys(f"{row.spec.name}:{row.end}" for row in rows if row.focus))
    return Verdicts(
        results=tuple(results),
        family=Family(m=terms.m, focus=focus, q=rate, looks=looks, selected=sum(chosen.selected)),
    )
