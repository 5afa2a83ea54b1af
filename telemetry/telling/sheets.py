"""What analysis, comparison and plan say at a prompt and in a notebook: the finding first, then the figures."""

from __future__ import annotations

from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.catalogue import FAMILY_ROWS
from telemetry.model.plan import Plan
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import figure, titled, with_end

from .cleaning import cleaning
from .day import circumstances
from .fairness import compared_over, fair_in_words, on_paper
from .forces import force_difference_table, force_notes, force_tables
from .logs import finding_line, verdicts_in_short
from .names import label
from .plan import letters_in_words, order_table, sees_tables
from .results import difference_in_words, values_in_words
from .sitting import sitting_notes, sitting_table
from .untold import in_place_of_zero
from .values import places_of


def _values(analysis: Analysis) -> Table:
    """Return every run's values of the measures that comparisons are made of; what no run gives is left out."""
    rows = []
    for spec, end in FAMILY_ROWS:
        values = [(run, run.value(spec.name, end)) for run in analysis.runs]
        cells = [
            ABSENT
            if value is None
            else in_place_of_zero(run, spec.name, end, value) or figure(value, places_of(spec.name))
            for run, value in values
        ]
        rows.extend([] if set(cells) == {ABSENT} else [[with_end(titled(spec.label, spec.unit), end), *cells]])
    return table(["measure", *(run.entry.name for run in analysis.runs)], rows)


def analysis_sheet(analysis: Analysis) -> Sheet:
    """Return an analysis: whether its logs can be used, the measures that comparisons are made of, the cleaning."""
    grave = (
        f"{run.entry.name}: {finding_line(finding)}"
        for run in analysis.runs
        for finding in run.findings
        if finding.severity != "note"
    )
    return (
        circumstances(analysis),
        verdicts_in_short(analysis),
        *grave,
        *([_values(analysis)] if analysis.runs else []),
        *([sitting] if (sitting := sitting_table(analysis)) else []),
        *sitting_notes(analysis),
        *force_tables(analysis),
        *force_notes(analysis),
        *cleaning(analysis.conditioning),
    )


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
