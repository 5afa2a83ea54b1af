"""How analyses, comparisons and plans are laid out on a terminal; what they say is told elsewhere."""

from __future__ import annotations

from collections.abc import Mapping

from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.bench import Bench
from telemetry.model.plan import Plan
from telemetry.model.prediction import Predicted
from telemetry.sheet import Sheet, Table, plain_table
from telemetry.telling.bench import bench_sheet
from telemetry.telling.cleaning import cleaning
from telemetry.telling.day import naming, unplaced
from telemetry.telling.fairness import compared_over, on_paper
from telemetry.telling.forces import force_difference_table, force_notes, force_tables
from telemetry.telling.logs import (
    recording_verdicts,
    run_verdicts,
)
from telemetry.telling.measured import absences, by_frequency, measure_tables, not_measured, section_times
from telemetry.telling.plan import order_table, plan_title, sees_tables
from telemetry.telling.predicted import prediction_sheet
from telemetry.telling.results import results_in_words, rows_table

from .checks import findings_of, sitting_sheet
from .tables import line_width, say, say_groups, say_within, show

WIDTH = 100
"""Letters of a line where sentences are long and tables wide: what a terminal has beside another window."""


def measure_sheet(analysis: Analysis) -> None:
    """Print every measure of every run, a table an end; what is absent everywhere is listed with its reason."""
    for found in (*measure_tables(analysis), *by_frequency(analysis), section_times(analysis)):
        if found is not None:
            show(found)
    sitting_sheet(analysis)
    for found in force_tables(analysis):
        show(found)
    for line in force_notes(analysis):
        say(line)
    say_groups("Not measured", absences(analysis))
    for log in (*run_verdicts(analysis), *recording_verdicts(analysis)):
        grave = [finding for finding in log.findings if finding.severity != "note"]
        if grave:
            say(f"{log.name}: {log.verdict}")
            findings_of(grave)
    _cleaning(analysis.conditioning)


def _cleaning(conditioning: Mapping[str, object]) -> None:
    first, *rest = cleaning(conditioning)
    say(f"How the signal was cleaned: {first}")
    for line in rest:
        say(line, indent=2)


def _in_sentences(comparison: Comparison, candidate: str) -> None:
    sentences, absent = results_in_words(comparison, candidate)
    for sentence in sentences:
        say(sentence)
    say_groups("Not measured", absent)
    say()
    forces = force_difference_table(comparison.second.forces, candidate)
    if forces is not None:
        show(forces)


def comparison_sheet(comparison: Comparison, *, full: bool = False) -> None:
    """Print the finding first, then each result with its interval, then what differs on paper and speaks against it.

    In `full` each result is a sentence that says what would settle it, and how every run was cleaned is told.
    """
    for candidate in comparison.candidates:
        _candidate(comparison, candidate, full=full)
    runs = ", ".join(f"{run.run} ({run.setup})" for run in comparison.runs_used)
    say(f"Runs, in the order ridden: {runs}")
    say(compared_over(comparison))
    for title, lines in comparison.second_sentences if full else ():
        say(f"{title}:")
        for text in lines:
            say(f"{text}.", indent=2)
    for line in (naming(comparison.day), unplaced(comparison.day)):
        if line:
            say(line)
    findings_of(finding for finding in comparison.fairness_findings if full or finding.severity != "note")
    if full:
        _cleaning(comparison.conditioning)
        return
    say(f"How the signal was cleaned: {cleaning(comparison.conditioning)[0]}")
    say("With --full: what would settle each row, second looks, notes on fairness, how each run was cleaned")


def _candidate(comparison: Comparison, candidate: str, *, full: bool) -> None:
    summary = comparison.summaries[candidate]
    say(summary.headline)
    if summary.left_out:
        say(summary.left_out)
    for line in summary.lines:
        say(line.line, indent=2)
    say()
    if full:
        _in_sentences(comparison, candidate)
    else:
        for row in plain_table(rows_table(comparison, candidate)).splitlines():
            say(row)
        say()
    say(on_paper(comparison, candidate))


def bench_sheets(bench: Bench, *, full: bool) -> None:
    """Print what the parts do: what is read first, or all of it."""
    _answer(bench.in_short, bench_sheet(bench, full=True) if full else bench.sheet)


def prediction_sheets(answer: Predicted, *, full: bool) -> None:
    """Print what is expected on paper: what is read first, or all of it."""
    _answer(answer.in_short, prediction_sheet(answer, full=True) if full else answer.sheet)


def _answer(in_short: str, sheet: Sheet) -> None:
    width = line_width(WIDTH)
    say_within(in_short, width)
    say()
    for part in sheet:
        if isinstance(part, Table):
            show(part, width)
        else:
            say_within(part, width)


def plan_sheet(plan: Plan) -> None:
    """Print a plan."""
    say(plan_title(plan))
    for line in plan.advice:
        say(line, indent=2)
    say()
    for found in (order_table(plan), *sees_tables(plan)):
        show(found)
    if plan.absent:
        every = {(row.spec.name, row.end) for row in plan.sees} | {(row.measure, row.end) for row in plan.absent}
        say_groups("Not planned", not_measured(plan.absent, every))
        say()
    if plan.costs:
        say("What certainty costs")
        for line in plan.costs:
            say(line, indent=2)
        say()
    say("Before riding, and between the runs")
    for line in plan.preparation:
        say(f"· {line}", indent=2)
