"""What the commands print for people, made of analyses and comparisons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import get_args

from telemetry.errors import LogError, RideDayError
from telemetry.model.analysis import Analysis, Comparison, RunAnalysis, Usable
from telemetry.model.catalogue import CATALOGUE, SPECS, MeasureSpec
from telemetry.model.comparison import Result
from telemetry.model.day import RideDay
from telemetry.model.finding import NOT_SHOWN, Finding, Place
from telemetry.pipeline import DayChecked, LogChecked, Trouble
from telemetry.telling import naming, title_of, value_in_words
from telemetry.words import counted, figure, shown_unit

from .tables import TextTable, say, say_json, show

SIGNS = {"note": "·", "warning": "!", "error": "✗"}
ABSENT = "–"
RECORD_AGAIN = "record again"


def findings_of(findings: Iterable[Finding]) -> None:
    """Print findings, one a line."""
    for finding in findings:
        say(f"{SIGNS[finding.severity]} {finding.severity} {finding.code}: {finding.message}", indent=2)


def check_sheet(analysis: Analysis, failed: Sequence[LogError] = ()) -> None:
    """Print whether each log can be trusted, and why not; those that can't be read stand last."""
    day = analysis.day
    say(f"{day.title}: {counted(len(day.runs), 'run')}, {counted(len(day.setups), 'setup')}; the file is right")
    for run in analysis.runs:
        say(f"{run.entry.name} ({run.entry.setup}): {run.usable}")
        findings_of(run.findings)
    for item in analysis.static:
        say(f"{item.entry.log.name} ({item.entry.kind}): {item.usable}")
        findings_of(item.findings)
    for error in failed:
        say(f"{SIGNS['error']} {error.line}")
    if any(run.usable == "good" for run in analysis.runs):
        say(NOT_SHOWN)
    verdicts = _verdicts(analysis, failed)
    if verdicts:
        say(verdicts)


def _verdicts(analysis: Analysis, failed: Sequence[LogError]) -> str:
    """Return all verdicts on one line, the last that is read at the trailhead."""
    names: dict[str, list[str]] = {verdict: [] for verdict in get_args(Usable)}
    for run in analysis.runs:
        names[run.usable].append(run.entry.name)
    names[RECORD_AGAIN] = [item.entry.log.name for item in analysis.static if item.usable == RECORD_AGAIN]
    names["can't be read"] = [error.where for error in failed]
    return "; ".join(f"{verdict}: {', '.join(which)}" for verdict, which in names.items() if which)


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
        "not_shown": NOT_SHOWN,
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


def watched(told: DayChecked | LogChecked | Trouble, *, as_json: bool) -> None:
    """Print what a watched folder tells: for programs one JSON object a line."""
    if as_json:
        answer = checked(told.analysis) if isinstance(told, DayChecked) else told.to_dict()
        say_json(answer, indent=None)
    elif isinstance(told, DayChecked):
        check_sheet(told.analysis)
        say("waiting for logs; Ctrl-C ends it")
    elif isinstance(told, Trouble):
        say(told.line)
    elif not told.setup:
        say(f"{told.log}: not judged, for the ride day has no setup yet")
    else:
        say(f"{told.log} (not in the ride day yet, judged as a run with {told.setup}): {told.usable}")
        findings_of(told.findings)


def _cell(day: RideDay, run: RunAnalysis, spec: MeasureSpec, end: Place) -> str:
    value = run.value(spec.name, end)
    return ABSENT if value is None else value_in_words(day, run.entry.setup, spec.name, end, value)


def _measure_rows(analysis: Analysis, end: Place) -> list[list[str]]:
    rows = []
    for spec in CATALOGUE:
        if spec.source != "run" or end not in spec.ends or spec.name == "section_time":
            continue
        cells = [_cell(analysis.day, run, spec, end) for run in analysis.runs]
        if any(cell != ABSENT for cell in cells):
            rows.append([title_of(spec.name, end), *cells])
    return rows


def measure_sheet(analysis: Analysis) -> None:
    """Print every measure of every run, a table an end; what is absent everywhere is listed with its reason."""
    names = [run.entry.name for run in analysis.runs]
    titles: dict[Place, str] = {"rear": "Rear", "front": "Front", "both": "Both ends"}
    for end, title in titles.items():
        rows = _measure_rows(analysis, end)
        if rows:
            show(TextTable(title=title, columns=["measure", *names], rows=rows))
    _sections(analysis)
    _recordings(analysis)
    _absent(analysis)
    for run in analysis.runs:
        grave = [finding for finding in run.findings if finding.severity != "note"]
        if grave:
            say(f"{run.entry.name}: {run.usable}")
            findings_of(grave)
    _cleaning(analysis.conditioning)


def _cleaning(conditioning: Mapping[str, object]) -> None:
    say(f"How the signal was cleaned: {conditioning['words']}")
    for lines in (conditioning["ends"], conditioning["bounds"]):
        for line in lines if isinstance(lines, list) else []:
            say(line, indent=2)


def _sections(analysis: Analysis) -> None:
    rows = [
        [row.part or "", run.entry.name, figure(row.value, 2)]
        for run in analysis.runs
        for row in run.measures
        if row.measure == "section_time"
    ]
    if rows:
        show(TextTable(title="Section times", columns=["section", "run", "s"], rows=rows, right_from=2))


def _recordings(analysis: Analysis) -> None:
    rows = []
    for item in analysis.static:
        for row in item.measures:
            words = value_in_words(analysis.day, item.entry.setup, row.measure, row.end, row.value)
            unit = "" if row.unit in words else shown_unit(row.unit)
            label = SPECS[row.measure].label
            rows.append([item.entry.log.name, item.entry.setup or "", label, row.end, f"{words} {unit}".strip()])
    if rows:
        columns = ["recording", "setup", "measure", "end", "value"]
        show(TextTable(title="Off the trail", columns=columns, rows=rows, right_from=4))


def _absent(analysis: Analysis) -> None:
    reasons: dict[str, list[str]] = {}
    for run in analysis.runs:
        for row in run.absent:
            end = "" if row.end == "both" else f", {row.end}"
            reasons.setdefault(row.reason, []).append(f"{SPECS[row.measure].label}{end}")
    for reason, labels in reasons.items():
        unique = list(dict.fromkeys(labels))
        shown = "; ".join(unique[:6]) + (f" and {len(unique) - 6} more" if len(unique) > 6 else "")
        say(f"Not measured ({reason}): {shown}")


def _sentences(results: Iterable[Result]) -> None:
    """Print each result's sentence; what neither setup measured is listed with its reason."""
    absent: dict[str, list[str]] = {}
    for result in results:
        if result.baseline_value is not None or result.candidate_value is not None:
            say(result.sentence)
            continue
        end = "" if result.end == "both" else f", {result.end}"
        absent.setdefault(result.reason, []).append(f"{SPECS[result.measure].label}{end}")
    for reason, labels in absent.items():
        say(f"Not measured ({reason}): {'; '.join(labels)}")


def comparison_sheet(comparison: Comparison) -> None:
    """Print the finding first, then each result with its interval, then what differs on paper."""
    day = comparison.day
    for candidate in comparison.candidates:
        summary = comparison.summaries[candidate]
        say(summary.headline)
        for line in summary.lines:
            say(f"{line.sign} {line.finding}. {line.detail}", indent=2)
        say()
        _sentences([result for result in comparison.verdicts.results if result.candidate == candidate])
        say()
        differing = [item.words for item in comparison.setup_differences if item.candidate == candidate]
        base, other = day.setups[comparison.baseline].label, day.setups[candidate].label
        say(f"On paper, from {base} to {other}: {'; '.join(differing) or 'nothing differs'}")
    runs = ", ".join(f"{run.run} ({run.setup})" for run in comparison.runs_used)
    left_out = f", {comparison.sections_dropped} of them left out" if comparison.sections_dropped else ""
    say(f"Runs, in the order ridden: {runs}")
    say(f"Trail sections: {comparison.shared_by}{left_out}")
    for title, lines in comparison.second_sentences:
        say(f"{title}:")
        for text in lines:
            say(f"{text}.", indent=2)
    named = naming(day)
    if named:
        say(named)
    for item in comparison.fairness_findings:
        say(f"{SIGNS[item.severity]} {item.severity} {item.code}: {item.message}", indent=2)
    _cleaning(comparison.conditioning)
