"""How the check of a day is laid out on a terminal, and its JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from telemetry.errors import RideDayError
from telemetry.model.analysis import Analysis
from telemetry.model.finding import Finding
from telemetry.telling.day import NO_RUN, unplaced
from telemetry.telling.logs import (
    asks_for_something,
    finding_line,
    not_shown,
    notes_behind,
    recording_verdicts,
    run_verdicts,
    told_once,
    verdicts_in_short,
)
from telemetry.telling.sitting import sitting_notes, sitting_table
from telemetry.words import counted

from .tables import say, show

if TYPE_CHECKING:
    pass


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
    logs, shared = told_once(run_verdicts(analysis), recording_verdicts(analysis))
    for log in logs:
        say(f"{log.name}: {log.verdict}")
        findings_of(log.findings, notes=notes)
    findings_of(shared, notes=notes)
    sitting_sheet(analysis)
    behind = "" if notes else notes_behind([*shared, *(finding for log in logs for finding in log.findings)])
    for line in (unplaced(day), not_shown(analysis), behind, verdicts_in_short(analysis)):
        if line:
            say(line)


def sitting_sheet(analysis: Analysis) -> None:
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
