"""What comparison and plan say at a prompt and in a notebook: the finding first, then the figures."""

from __future__ import annotations

from telemetry.model.analysis import Comparison
from telemetry.model.plan import Plan
from telemetry.sheet import Sheet, Table, table

from .cleaning import cleaning
from .fairness import compared_over, fair_in_words, on_paper
from .forces import force_difference_table
from .logs import finding_line
from .names import label
from .plan import letters_in_words, order_table, sees_tables
from .results import difference_in_words, values_in_words


def _results(comparison: Comparison, candidate: str) -> Table:
    """Return a row a result: both values, the difference with its interval and how sure that is, the verdict."""
    rows = [
        [
            label(row.measure, row.end),
            values_in_words(row),
            difference_in_words(row),
            row.verdict or f"no verdict: {row.reason}",
        ]
        for row in comparison.verdicts.results
        if row.candidate == candidate and row.baseline_value is not None and row.candidate_value is not None
    ]
    return table(["measure", "values", "difference", "verdict"], rows, right_from=4)


def comparison_sheet(comparison: Comparison) -> Sheet:
    """Return a comparison: headline, lines and rows of every candidate; whether it is fair; the cleaning."""
    parts: list[str | Table] = []
    for candidate in comparison.candidates:
        found = comparison.summaries[candidate]
        left_out = [found.left_out] if found.left_out else []
        lines = [line.line for line in found.lines]
        forces = force_difference_table(comparison.second.forces, candidate)
        parts += [found.headline, *left_out, *lines, _results(comparison, candidate), *([forces] if forces else [])]
        parts.append(on_paper(comparison, candidate))
    grave = [finding for finding in comparison.fairness_findings if finding.severity != "note"]
    return (
        *parts,
        fair_in_words(comparison),
        *map(finding_line, grave),
        compared_over(comparison),
        cleaning(comparison.conditioning)[0],
    )


def plan_sheet(plan: Plan) -> Sheet:
    """Return a plan: what to ride and why, the orders to choose from, what the runs can see."""
    return (letters_in_words(plan), *plan.advice, order_table(plan), *sees_tables(plan), *plan.costs)
