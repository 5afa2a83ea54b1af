"""How analyses, comparisons and plans are laid out on a terminal; what they say is told elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from telemetry.errors import RideDayError
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.finding import Finding
from telemetry.model.plan import Plan
from telemetry.ride_day import kind_in_words
from telemetry.sheet import plain_table
from telemetry.telling.cleaning import cleaning
from telemetry.telling.day import NO_RUN, naming, unplaced
from telemetry.telling.fairness import compared_over, on_paper
from telemetry.telling.forces import force_difference_table, force_notes, force_tables
from telemetry.telling.logs import (
    asks_for_something,
    finding_line,
    not_shown,
    notes_behind,
    recording_values,
    recording_verdicts,
    run_verdicts,
    verdict_of,
    verdicts_in_short,
)
from telemetry.telling.measured import absences, by_frequency, measure_tables, not_measured, section_times
from telemetry.telling.plan import order_table, plan_title, sees_tables
from telemetry.telling.results import results_in_words, rows_table
from telemetry.telling.sitting import sitting_notes, sitting_table
from telemetry.words import counted

from .tables import say, say_groups, say_json, show

if TYPE_CHECKING:
    from telemetry.pipeline import DayChecked, LogChecked, RecordingChecked, Trouble


def findings_of(findings: Iterable[Finding], *, notes: bool = True) -> None:
    """Print findings, one a line; those that ask for nothing only with `notes`."""
    for finding in findings:
        if notes or asks_for_something(finding):
            say(finding_line(finding), indent=2)


def check_sheet(analysis: Analysis, *, notes: bool = False) -> None:
    """Print whether each log can be trusted, and why not; with `notes` also what asks for nothing."""
    day = analysis.day
    runs = counted(len(day.runs), "run") if day.runs else NO_RUN
    say(f"{day.title}: {runs}, {counted(len(day.setups), 'setup')}; the file is right")
    logs = (*run_verdicts(analysis), *recording_verdicts(analysis))
    for log in logs:
        say(f"{log.name}: {log.verdict}")
        findings_of(log.findings, notes=notes)
    _sitting(analysis)
    behind = "" if notes else notes_behind([finding for log in logs for finding in log.findings])
    for line in (unplaced(day), not_shown(analysis), behind, verdicts_in_short(analysis)):
        if line:
            say(line)


def _sitting(analysis: Analysis) -> None:
    """Print what recordings off the trail told of how the bike sits."""
    found = sitting_table(analysis)
    if found is not None:
        show(found)
    for line in sitting_notes(analysis):
        say(line)


def checked(analysis: Analysis) -> dict[str, object]:
    """Return the JSON object of `telemetry check --json`."""
    rows = [
        {
            "run": run.entry.name,
            "log": run.entry.log.name,
            "usable": run.usable,
            "findings": [finding.to_dict() for finding in run.findings],
        }
        for run in analysis.runs
    ]
    return {
        "ride_day": analysis.day.title,
        "runs": rows,
        "static": [item.to_dict() for item in analysis.static],
        **({"not_shown": said} if (said := not_shown(analysis)) else {}),
        **({"unplaced": line} if (line := unplaced(analysis.day)) else {}),
    }


def wrong_sheet(error: RideDayError) -> None:
    """Print what is wrong with a ride day's file, one key a line."""
    for problem in error.problems:
        say(problem.line)
    if error.left_out:
        say(f"and {error.left_out} more: mend these first")


def wrong(error: RideDayError) -> dict[str, object]:
    """Return the JSON object of `telemetry check --json` where the file is wrong."""
    errors = [{"key": item.key, "found": item.found, "expected": item.expected} for item in error.problems]
    return {"errors": errors, "errors_left_out": error.left_out}


def watched(told: DayChecked | LogChecked | RecordingChecked | Trouble, *, as_json: bool) -> None:
    """Print what a watched folder tells: for programs one JSON object a line."""
    from telemetry.pipeline import DayChecked, RecordingChecked, Trouble

    if as_json:
        answer = checked(told.analysis) if isinstance(told, DayChecked) else told.to_dict()
        say_json(answer, indent=None)
    elif isinstance(told, DayChecked):
        check_sheet(told.analysis)
        say("waiting for logs; Ctrl-C ends it")
    elif isinstance(told, Trouble):
        say(told.line)
    elif isinstance(told, RecordingChecked):
        _new_recording(told)
    elif not told.setup:
        say(f"{told.log}: not judged, for the ride day has no setup yet")
    else:
        say(f"{told.log} (not in the ride day yet, judged as a run with {told.setup}): {verdict_of(told)}")
        if told.question:
            say(told.question, indent=2)
        findings_of(told.findings)


def _new_recording(told: RecordingChecked) -> None:
    """Print a recording that isn't in the ride day yet: what it is, where it belongs, its worth and what it gave."""
    new = told.new
    where = f", made before {new.before_run}" if new.before_run else ", made after every run" if new.after_all else ""
    what = f"{kind_in_words(new.what.kind)}, {new.what.why}{where}"
    say(f"{new.log.name} (not in the ride day yet: {what}): {told.found.usable}")
    for line in recording_values(told.day, told.found):
        say(line, indent=2)
    findings_of(told.found.findings)


def measure_sheet(analysis: Analysis) -> None:
    """Print every measure of every run, a table an end; what is absent everywhere is listed with its reason."""
    for found in (*measure_tables(analysis), *by_frequency(analysis), section_times(analysis)):
        if found is not None:
            show(found)
    _sitting(analysis)
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
    named = naming(comparison.day)
    if named:
        say(named)
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
