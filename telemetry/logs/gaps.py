"""What a log is told that has gaps, or readings twice, and of which of these a ride is told that is a part of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from telemetry.model.finding import Finding
from telemetry.model.finding_codes import Severity
from telemetry.model.log import Log
from telemetry.words import counted

from .replays import find_replay

GAP_ERROR_SHARE = 0.20
SURELY_SET_S = 3600.0
"""Own choice: nobody lets a logger sleep for an hour within a run."""
CLOCK_SET = "was the clock set meanwhile? Then state rate_hz in [log] to go by the rows alone; else "


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """Gaps of a log, or of a part of it: how many, how long in all and of how much, where the first one lies."""

    count: int
    lost_s: float
    of_s: float
    first_s: float
    first_row: int


def gap_finding(name: str, gaps: Gaps, ridden: str = "") -> Finding:
    """Return what a log with gaps is told; `ridden` says of which part of it."""
    share = gaps.lost_s / gaps.of_s if gaps.of_s > 0 else 0.0
    message = (
        f"{name}: {counted(gaps.count, 'gap')}, {gaps.lost_s:.2f} s of {gaps.of_s:.1f} s {ridden or 'in all'} "
        f"({100 * share:.1f} %, error above {100 * GAP_ERROR_SHARE:.0f} %), the first after {gaps.first_s:.2f} s "
        f"(row {gaps.first_row}); nothing is interpolated across, its time counts in no share; "
        f"{CLOCK_SET if gaps.lost_s > SURELY_SET_S else ''}check the logger's card and supply"
    )
    severity: Severity = "error" if share > GAP_ERROR_SHARE else "warning"
    return Finding(severity=severity, code="gap", message=message, row=gaps.first_row, second=gaps.first_s)


def _uncovered(log: Log) -> Iterator[tuple[float, float, int]]:
    """Yield the stretches of a log's time that no segment covers: from and to, s, and the sample before."""
    until, sample = float(log.time_s[0]), 0
    for start, stop in log.segments:
        if start > 0:
            yield until, float(log.time_s[start]), sample
        until, sample = float(log.time_s[stop - 1]), stop - 1
    yield until, float(log.time_s[-1]), sample


def _gaps_within(log: Log, start_s: float, end_s: float) -> Gaps | None:
    """Return the gaps of a log between two moments; None where there are none."""
    cut = [(max(begin, start_s), min(end, end_s), sample) for begin, end, sample in _uncovered(log)]
    cut = [(begin, end, sample) for begin, end, sample in cut if end > begin]
    if not cut:
        return None
    return Gaps(
        count=len(cut),
        lost_s=sum(end - begin for begin, end, _ in cut),
        of_s=min(end_s, float(log.time_s[-1])) - max(start_s, float(log.time_s[0])),
        first_s=cut[0][0],
        first_row=log.row_of(cut[0][2]),
    )


def _replayed_within(log: Log, start_s: float, end_s: float) -> bool:
    found = find_replay(list(log.columns.values()), log.rate_hz, log.segments)
    return found is None or bool(log.time_s[found.start] < end_s and log.time_s[found.stop - 1] > start_s)


def told_within(log: Log, start_s: float, end_s: float) -> tuple[Finding, ...]:
    """Return what a log is told where only a part of it was ridden.

    Parameters
    ----------
    log : Log
    start_s, end_s : float
        Where the ride starts and ends, in the log's seconds.

    Returns
    -------
    tuple of Finding
        The log's own; of gaps and readings twice only what lies in that part, the share of gaps its share. What is told
        of one of two loggers stands: its seconds are others.
    """
    told = (_told_within(log, finding, start_s, end_s) for finding in log.findings)
    return tuple(finding for finding in told if finding is not None)


def _told_within(log: Log, finding: Finding, start_s: float, end_s: float) -> Finding | None:
    if finding.end is None and finding.code == "gap":
        gaps, name = _gaps_within(log, start_s, end_s), finding.message.partition(": ")[0]
        return None if gaps is None else gap_finding(name, gaps, f"between {start_s:.2f} and {end_s:.2f} s")
    outside = finding.end is None and finding.code == "replayed_rows" and not _replayed_within(log, start_s, end_s)
    return None if outside else finding
