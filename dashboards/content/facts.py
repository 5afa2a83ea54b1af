"""What the report's words and tables say, taken from an analysis and a comparison."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from telemetry.model.analysis import Analysis, Comparison, RunAnalysis
from telemetry.model.catalogue import CATALOGUE, SPECS
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import Finding, Place
from telemetry.telling import title_of, value_in_words
from telemetry.words import counted, figure, shown_unit

MINUTE_S = 60.0
PLACES: tuple[tuple[Place, str], ...] = (
    ("rear", "Rear"),
    ("front", "Front"),
    ("both", "Front against rear, whole bike"),
)
ABSENT = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """One run in the order strip."""

    order: int
    run: str
    token: str
    label: str
    used: bool
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One table: header cells and rows; the first column is words, the rest numbers."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogWord:
    """What one log is told."""

    name: str
    verdict: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingRow:
    """One setting of one end under each setup; `differs` where not all are alike."""

    name: str
    values: tuple[str, ...]
    differs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingSheet:
    """Settings of one end, a column a setup."""

    title: str
    setups: tuple[str, ...]
    rows: tuple[SettingRow, ...]


def circumstances(analysis: Analysis) -> str:
    """Return the one line of circumstances: bike, trail, date, runs, riding time."""
    day = analysis.day
    riding = sum(run.value("riding_time", "both") or 0.0 for run in analysis.runs) / MINUTE_S
    runs = f"{counted(len(analysis.runs), 'run')}, {figure(riding, 0)} min of riding"
    date = f"{day.date.day} {day.date:%B %Y}"
    weather = f"{day.air_temperature_c:g} °C" if day.air_temperature_c is not None else ""
    parts = [day.bike.name, day.trail, day.trail_state, date, runs, weather]
    return " · ".join(part for part in parts if part)


def squares(analysis: Analysis, tokens: dict[str, str], comparison: Comparison | None) -> tuple[Square, ...]:
    """Return the runs as numbered squares in the order ridden."""
    used = {run.run for run in comparison.runs_used} if comparison is not None else None
    found = []
    for run in analysis.runs:
        errors = [finding.code for finding in run.findings if finding.severity == "error"]
        why = run.entry.leave_out or (f"not usable: {', '.join(errors)}" if errors else "")
        takes_part = not why and (used is None or run.entry.name in used)
        found.append(
            Square(
                order=run.entry.order,
                run=run.entry.name,
                token=tokens.get(run.entry.setup, "soft"),
                label=analysis.day.setups[run.entry.setup].label,
                used=takes_part,
                why_not=why or ("" if takes_part else "not compared"),
            )
        )
    return tuple(found)


def _value(run: RunAnalysis, day: RideDay, name: str, end: Place) -> str:
    value = run.value(name, end)
    return ABSENT if value is None else value_in_words(day, run.entry.setup, name, end, value)


def measure_sheets(analysis: Analysis) -> tuple[Sheet, ...]:
    """Return every measure of every run, a table a place."""
    names = tuple(run.entry.name for run in analysis.runs)
    sheets = []
    for end, title in PLACES:
        rows = []
        for spec in CATALOGUE:
            if spec.source != "run" or end not in spec.ends or spec.name == "section_time":
                continue
            cells = tuple(_value(run, analysis.day, spec.name, end) for run in analysis.runs)
            if any(cell != ABSENT for cell in cells):
                rows.append((title_of(spec.name, end), *cells))
        if rows:
            sheets.append(Sheet(title=title, columns=("", *names), rows=tuple(rows)))
    return tuple(sheets)


def absences(analysis: Analysis) -> tuple[tuple[str, str], ...]:
    """Return what could not be measured: the reason, and the measures it concerns."""
    reasons: dict[str, list[str]] = {}
    for run in analysis.runs:
        for row in run.absent:
            end = "" if row.end == "both" else f", {row.end}"
            reasons.setdefault(row.reason, []).append(f"{SPECS[row.measure].label}{end}")
    every = sum(spec.source == "run" for spec in CATALOGUE)
    return tuple(
        (reason, "everything" if len(set(labels)) >= every else "; ".join(dict.fromkeys(labels)))
        for reason, labels in reasons.items()
    )


def recordings(analysis: Analysis) -> Sheet | None:
    """Return what recordings off the trail gave; None without any value."""
    rows = []
    for item in analysis.static:
        label = analysis.day.setups[item.entry.setup].label if item.entry.setup else ""
        for row in item.measures:
            words = value_in_words(analysis.day, item.entry.setup, row.measure, row.end, row.value)
            if row.unit not in words:
                words = f"{words} {shown_unit(row.unit)}".strip()
            rows.append((f"{SPECS[row.measure].label}, {row.end}", item.entry.log.name, label, words))
    return Sheet(title="", columns=("", "recording", "setup", "value"), rows=tuple(rows)) if rows else None


def log_words(analysis: Analysis) -> tuple[LogWord, ...]:
    """Return what each log is told, runs first."""
    runs = [
        LogWord(name=f"{run.entry.name} ({run.entry.log.name})", verdict=run.usable, findings=run.findings)
        for run in analysis.runs
    ]
    static = [
        LogWord(name=f"{item.entry.log.name} ({item.entry.kind})", verdict=item.usable, findings=item.findings)
        for item in analysis.static
    ]
    return tuple(runs + static)


def setting_sheets(setups: Sequence[Setup], name_of: Callable[[str], str]) -> tuple[SettingSheet, ...]:
    """Return settings before and after, an end a table, rear first; the bike as a whole last."""
    labels = tuple(setup.label for setup in setups)
    groups = [
        ("Rear", [setup.rear.settings for setup in setups]),
        ("Front", [setup.front.settings for setup in setups]),
        ("Whole bike", [setup.bike for setup in setups]),
    ]
    sheets = []
    for title, tables in groups:
        keys = dict.fromkeys(key for table in tables for key in table)
        rows = []
        for key in keys:
            values = tuple(table[key].entered if key in table else "not stated" for table in tables)
            same = {repr(table[key].value) if key in table else None for table in tables}
            rows.append(SettingRow(name=name_of(key), values=values, differs=len(same) > 1))
        if rows:
            sheets.append(SettingSheet(title=title, setups=labels, rows=tuple(rows)))
    return tuple(sheets)


def steps(analysis: Analysis) -> tuple[tuple[str, str], ...]:
    """Return how the first usable run's signal was cleaned, step by step."""
    run = next((run for run in analysis.runs if run.measures), analysis.runs[0])
    return tuple((f"{step.end}: {step.stage}" if step.end else step.stage, step.words) for step in run.history)
