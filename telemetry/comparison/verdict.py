"""Every row of every candidate, judged as one family."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.comparison import Family, FamilyRow, Result, Verdicts

from .answer import Terms, barred_answer, family_answer
from .family import Selection, select
from .judging import judge
from .result import count_result, result_of


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
    continuous = [row for row in rows if row.spec.scale != "count"]
    judged = [judge(row, baseline, candidate) for candidate in candidates for row in continuous]
    family = [item for item in judged if item.in_family]
    chosen: Selection = select(
        [item.found.p for item in family if item.found is not None and item.found.p is not None],
        [item.row.focus for item in family],
        rate,
    )
    terms = Terms(q=rate, m=len(family), looks=looks)
    answers: dict[tuple[str, str, str], Result] = {}
    for item, picked, level, weight in zip(family, chosen.selected, chosen.levels, chosen.weights, strict=True):
        answer = family_answer(item, selected=picked, level=level, weight=weight, terms=terms)
        answers[item.candidate, item.row.spec.name, item.row.end] = result_of(item, answer, baseline)
    for item in judged:
        if not item.in_family:
            key = item.candidate, item.row.spec.name, item.row.end
            answers[key] = result_of(item, barred_answer(item, terms), baseline)
    results = [
        count_result(row, baseline, candidate)
        if row.spec.scale == "count"
        else answers[candidate, row.spec.name, row.end]
        for candidate in candidates
        for row in rows
    ]
    focus = tuple(dict.fromkeys(f"{row.spec.name}:{row.end}" for row in rows if row.focus))
    return Verdicts(
        results=tuple(results),
        family=Family(m=terms.m, focus=focus, q=rate, looks=looks, selected=sum(chosen.selected)),
    )
