"""What an analysis says at a prompt and in a notebook: whether its logs can be used first, then the figures."""

from __future__ import annotations

from telemetry.model.analysis import Analysis
from telemetry.model.catalogue import FAMILY_ROWS
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import figure, titled, with_end

from .cleaning import cleaning
from .day import circumstances
from .forces import force_notes, force_tables
from .logs import finding_line, verdicts_in_short
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
