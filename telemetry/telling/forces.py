"""Restoring-force maps in words: what spring and damper of each run push with, and how setups differ in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

from telemetry.model.analysis import Analysis
from telemetry.model.finding import End
from telemetry.model.force import TOLD_DEPTHS_PCT, TOLD_SPEEDS_M_S, ForceMap, NoForceMap
from telemetry.model.second_looks import ForceDifference
from telemetry.sheet import ABSENT, Table, table
from telemetry.words import counted, figure, upper_first

from .names import ENDS, TITLES, at_the

FORCES_TITLE = "Spring and damper, from travel and acceleration"
UNIT = "N/kg"

RunMap: TypeAlias = tuple[str, ForceMap | NoForceMap]


def way_in_words(speed_m_s: float) -> str:
    """Return a damper's speed with its sense: ``0.3 m/s rebound``."""
    return f"{figure(abs(speed_m_s), 1)} m/s {'compression' if speed_m_s > 0 else 'rebound'}"


def _maps(analysis: Analysis, end: End) -> list[RunMap]:
    return [(run.entry.name, found) for run in analysis.runs for found in run.force_maps if found.end == end]


def _told(found: ForceMap) -> dict[str, float | None]:
    """Return what is told of a map, a name a row."""
    return {
        **{f"damper, {way_in_words(at)}, {UNIT}": found.damper.value_at(at) for at in TOLD_SPEEDS_M_S},
        **{f"spring, {at:.0f} % deep, {UNIT}": found.spring_at(at) for at in TOLD_DEPTHS_PCT},
        f"friction, {UNIT}": found.friction,
        "acceleration after travel, ms": found.lag_ms,
    }


def _in_rows(end: End, maps: Sequence[RunMap]) -> Table | None:
    """Return a row a force and a column a run; None where no run gives one."""
    told = [_told(found) if isinstance(found, ForceMap) else {} for _, found in maps]
    names = next((list(one) for one in told if one), [])
    cells = {name: [one.get(name) for one in told] for name in names}
    rows = [
        [name, *(ABSENT if value is None else figure(value, 1) for value in values)]
        for name, values in cells.items()
        if set(values) != {None}
    ]
    return table(["", *(run for run, _ in maps)], rows, title=f"{FORCES_TITLE}: {end}") if rows else None


def force_tables(analysis: Analysis) -> tuple[Table, ...]:
    """Return what spring and damper push with in every run, a table an end; none where no end tells it."""
    found = (_in_rows(end, _maps(analysis, end)) for end in ENDS)
    return tuple(one for one in found if one is not None)


def force_notes(analysis: Analysis) -> tuple[str, ...]:
    """Return why runs have no map, and what couldn't be taken out of one: a line a reason, with its runs."""
    every = [run.entry.name for run in analysis.runs]
    reasons: dict[str, list[str]] = {}
    for end in ENDS:
        for run, found in _maps(analysis, end):
            for reason in (found.reason,) if isinstance(found, NoForceMap) else found.limits:
                reasons.setdefault(f"{upper_first(at_the(end))}: {reason}", []).append(run)
    return tuple(
        f"{reason} ({'every run' if runs == every and len(every) > 1 else ', '.join(runs)})"
        for reason, runs in reasons.items()
    )


def _change(item: ForceDifference) -> str:
    more, less = ("stiffer", "softer") if item.force == "spring" else ("firmer", "lighter")
    return f"{figure(abs(item.difference), 0)} % {more if item.difference > 0 else less}"


def _where(item: ForceDifference) -> str:
    return f"{figure(item.at, 0)} % deep" if item.force == "spring" else way_in_words(item.at)


def _at(item: ForceDifference) -> str:
    return _where(item) if item.force == "spring" else f"at {_where(item)}"


def _between(item: ForceDifference) -> str:
    if item.low is None or item.high is None:
        return ""
    return f"{figure(item.low, 0, signed=True)} and {figure(item.high, 0, signed=True)} %"


def force_sentences(rows: Sequence[ForceDifference], labels: Mapping[str, str]) -> tuple[str, ...]:
    """Return a sentence for each force whose interval leaves out no difference, and one for all others."""
    lines = [
        f"{TITLES[item.end]} {item.force} {_change(item)} {_at(item)} with {labels[item.candidate]}: "
        f"between {_between(item)} (90 %)"
        for item in rows
        if item.stands
    ]
    judged = [item for item in rows if item.low is not None]
    if judged:
        quiet = len(judged) - len(lines)
        lines.append(
            f"{counted(quiet, 'force')} of {len(judged)} looked at without a difference seen; each range stands by "
            "itself, so one in ten leaves out the truth, and none decides a verdict"
        )
    bare = len(rows) - len(judged)
    if bare:
        lines.append(f"{counted(bare, 'force')} without a range: two maps of each setup are needed")
    return tuple(lines)


def force_difference_table(rows: Sequence[ForceDifference], candidate: str) -> Table | None:
    """Return a row a force at a speed or depth; None where there is none."""
    told = [
        [
            f"{TITLES[item.end]}, {item.force}, {_where(item)}",
            f"{figure(item.baseline_value, 1)} → {figure(item.candidate_value, 1)} {UNIT}",
            f"{figure(item.difference, 0, signed=True)} %",
            _between(item) or ABSENT,
        ]
        for item in rows
        if item.candidate == candidate
    ]
    if not told:
        return None
    return table(["force", "values", "difference", "between (90 %)"], told, title=FORCES_TITLE)
