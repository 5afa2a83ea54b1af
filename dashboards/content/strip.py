"""The strip of runs in the order ridden, a square a run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.theme import SetupStyle
from telemetry.languages import Language
from telemetry.model.analysis import Analysis, Comparison
from telemetry.pipeline.unnaming import NO_REASON


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """One run in the order strip."""

    order: int
    run: str
    token: str
    label: str
    used: bool
    why_not: str


def squares(
    analysis: Analysis,
    styles: Mapping[str, SetupStyle],
    comparison: Comparison | None,
    language: Language | None = None,
) -> tuple[Square, ...]:
    """Return the runs as numbered squares in the order ridden.

    Parameters
    ----------
    analysis : Analysis
    styles : mapping of setup to SetupStyle
    comparison : Comparison or None
    language : Language, optional
        Of a page for the customer: it isn't told by which code a log can't be used.
    """
    not_compared = "not compared" if language is None else language.say("strip.not_compared")
    used = {run.run for run in comparison.runs_used} if comparison is not None else None
    found = []
    for run in analysis.runs:
        errors = [finding.code for finding in run.findings if finding.severity == "error"]
        unusable = f"not usable: {', '.join(errors)}" if language is None else language.say("strip.not_usable")
        left_out = run.entry.leave_out
        if left_out == NO_REASON and language is not None:
            left_out = language.say("strip.as_stated")
        why = left_out or (unusable if errors else "")
        takes_part = not why and (used is None or run.entry.name in used)
        style = styles.get(run.entry.setup)
        found.append(
            Square(
                order=run.entry.order,
                run=run.entry.name,
                token="soft" if style is None else style.token,
                label=analysis.day.setups[run.entry.setup].label,
                used=takes_part,
                why_not=why or ("" if takes_part else not_compared),
            )
        )
    return tuple(found)
