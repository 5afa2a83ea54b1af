"""The strip of runs in the order ridden, a square a run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.theme import SetupStyle
from telemetry.model.analysis import Analysis, Comparison


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """One run in the order strip."""

    order: int
    run: str
    token: str
    label: str
    used: bool
    why_not: str


def squares(analysis: Analysis, styles: Mapping[str, SetupStyle], comparison: Comparison | None) -> tuple[Square, ...]:
    """Return the runs as numbered squares in the order ridden."""
    used = {run.run for run in comparison.runs_used} if comparison is not None else None
    found = []
    for run in analysis.runs:
        errors = [finding.code for finding in run.findings if finding.severity == "error"]
        why = run.entry.leave_out or (f"not usable: {', '.join(errors)}" if errors else "")
        takes_part = not why and (used is None or run.entry.name in used)
        style = styles.get(run.entry.setup)
        found.append(
            Square(
                order=run.entry.order,
                run=run.entry.name,
                token="soft" if style is None else style.token,
                label=analysis.day.setups[run.entry.setup].label,
                used=takes_part,
                why_not=why or ("" if takes_part else "not compared"),
            )
        )
    return tuple(found)
