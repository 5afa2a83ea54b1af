"""What logs are told: whether each can be trusted, and why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol, get_args

from telemetry.model.analysis import Analysis, Recorded, RunAnalysis, StaticAnalysis, Usable
from telemetry.model.day import RideDay
from telemetry.model.finding import NOT_SHOWN, NOT_SHOWN_BY_ACCELERATION, Finding
from telemetry.words import counted

from .names import label
from .values import quantity_in_words

SIGNS = {"note": "·", "warning": "!", "error": "✗"}
RECORD_AGAIN: Recorded = "record again"
UNREAD = "can't be read"
NOTHING_TO_DO = "nothing to do"


@dataclass(frozen=True, slots=True, kw_only=True)
class LogVerdict:
    """What one log is told.

    Attributes
    ----------
    log : str
        Its run's name, or the recording's; what it is told begins with it.
    name : str
        Which it is: ``run_1 (oil_20)``, its file too where its name differs.
    verdict : str
        ``"good"``, ``"with care, without its rear"``.
    """

    log: str
    name: str
    verdict: str
    findings: tuple[Finding, ...]


def finding_line(finding: Finding) -> str:
    """Return a finding on a line of its own, its sign first."""
    return f"{SIGNS[finding.severity]} {finding.severity} {finding.code}: {finding.message}"


class Judged(Protocol):
    """A log that was judged."""

    @property
    def usable(self) -> Usable:
        """Good / with care / ride again."""

    @property
    def without(self) -> str:
        """Which end it is used without; empty elsewhere."""


def verdict_of(log: Judged) -> str:
    """Return what a log is told: ``with care, without its rear``."""
    return ", ".join(filter(None, (log.usable, log.without)))


def _is_unread(log: RunAnalysis | StaticAnalysis) -> bool:
    return any(finding.code == "log_unreadable" for finding in log.findings)


def asks_for_something(finding: Finding) -> bool:
    """Tell whether anything is to be done about a finding, or to be minded."""
    nothing = finding.message.endswith(NOTHING_TO_DO) or finding.spec.remedy.startswith("nothing")
    return finding.severity != "note" or not nothing


def notes_behind(findings: Sequence[Finding]) -> str:
    """Return how many of a day's findings ask for nothing and stand behind an option; empty for none."""
    behind = sum(not asks_for_something(finding) for finding in findings)
    return f"{counted(behind, 'note')} on which there is nothing to do: shown with --notes" if behind else ""


def _named(run: RunAnalysis) -> str:
    return f"{run.entry.name} {run.without}".rstrip()


def run_verdicts(analysis: Analysis) -> tuple[LogVerdict, ...]:
    """Return what each run's logs are told."""
    found = []
    for run in analysis.runs:
        entry = run.entry
        logs = [path.name for path in (entry.log, entry.rear_log) if path is not None]
        others = [log for log in logs if not log.startswith(f"{entry.name}.")]
        name = f"{entry.name} ({', '.join([entry.setup, *others])})"
        verdict = UNREAD if _is_unread(run) else verdict_of(run)
        found.append(LogVerdict(log=entry.name, name=name, verdict=verdict, findings=run.findings))
    return tuple(found)


def recording_verdicts(analysis: Analysis) -> tuple[LogVerdict, ...]:
    """Return what each recording off the trail is told."""
    return tuple(
        LogVerdict(
            log=item.entry.name,
            name=f"{item.entry.name} ({item.entry.kind})",
            verdict=UNREAD if _is_unread(item) else item.usable,
            findings=item.findings,
        )
        for item in analysis.static
    )


def told_once(
    runs: Sequence[LogVerdict], recordings: Sequence[LogVerdict]
) -> tuple[tuple[LogVerdict, ...], tuple[Finding, ...]]:
    """Return logs without the notes that several are told in the same words, and these notes once, their logs named.

    Warnings and errors stay at their logs.
    """
    told: dict[tuple[str, str], dict[str, Finding]] = {}
    for log in (*runs, *recordings):
        for finding in log.findings:
            told.setdefault(_alike(log, finding), {})[log.log] = finding
    shared = {key: found for key, found in told.items() if key[0] and len(found) > 1}
    logs = tuple(
        replace(log, findings=tuple(item for item in log.findings if _alike(log, item) not in shared))
        for log in (*runs, *recordings)
    )
    every = [run.log for run in runs]
    return logs, tuple(
        replace(next(iter(found.values())), message=f"{'all runs' if [*found] == every else ', '.join(found)}{rest}")
        for (_, rest), found in shared.items()
    )


def _alike(log: LogVerdict, finding: Finding) -> tuple[str, str]:
    """Return a note's code and its words behind the log's name; no code for what is told of this log alone."""
    names_it = finding.severity == "note" and finding.message.startswith(log.log)
    return finding.code if names_it else "", finding.message.removeprefix(log.log)


def recording_values(day: RideDay, item: StaticAnalysis) -> tuple[str, ...]:
    """Return what a recording gave, a line a value: ``Rider sag, front: 28.1 % (45 mm)``."""
    return tuple(
        f"{label(row.measure, row.end)}: {quantity_in_words(day, item.setup, row.measure, row.end, row.value)}"
        for row in item.measures
    )


def verdicts_in_short(analysis: Analysis) -> str:
    """Return every verdict on one line, the logs that can't be read last: ``good: run_1, run_4; with care: run_2``."""
    names: dict[str, list[str]] = {verdict: [] for verdict in get_args(Usable)}
    for run in analysis.runs:
        if not _is_unread(run):
            names[run.usable].append(_named(run))
    again = (item for item in analysis.static if item.usable == RECORD_AGAIN and not _is_unread(item))
    names[RECORD_AGAIN] = [item.entry.name for item in again]
    logs: list[RunAnalysis | StaticAnalysis] = [*analysis.runs, *analysis.static]
    names[UNREAD] = [log.entry.name for log in logs if _is_unread(log)]
    return "; ".join(f"{verdict}: {', '.join(which)}" for verdict, which in names.items() if which)


def not_shown(analysis: Analysis) -> str:
    """Return what no log can show, where a run is good; empty elsewhere."""
    if all(run.usable != "good" for run in analysis.runs):
        return ""
    return NOT_SHOWN_BY_ACCELERATION if analysis.day.only_acceleration else NOT_SHOWN


def trust_in_words(runs: Sequence[RunAnalysis], recorded: Sequence[StaticAnalysis] = ()) -> str:
    """Return in one sentence whether the runs' logs can be used; without runs, whether the recordings off the trail."""
    if not runs:
        wrong = [item.entry.name for item in recorded if item.usable == RECORD_AGAIN]
        if wrong:
            return f"{', '.join(wrong)}: {RECORD_AGAIN}"
        return (
            f"No run yet; {counted(len(recorded), 'recording')} off the trail can be used" if recorded else "No run yet"
        )
    unread = [run.entry.name for run in runs if _is_unread(run)]
    if unread:
        return f"{', '.join(unread)}: {UNREAD}; of the others each is judged by itself"
    again = [run.entry.name for run in runs if run.usable == "ride again"]
    care = [_named(run) for run in runs if run.usable == "with care"]
    if again:
        return f"{', '.join(again)}: not to be used, ride again"
    if care:
        return f"All {counted(len(runs), 'log')} can be used, {', '.join(care)} with care"
    return f"All {counted(len(runs), 'log')} are good" if len(runs) > 1 else "The log is good"
