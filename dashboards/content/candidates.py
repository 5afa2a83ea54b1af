"""What a page says of each candidate: summary, difference on paper, the verdict figure, every sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.figures.verdicts import VerdictFigure, verdict_figure
from dashboards.theme import SetupStyle
from telemetry.model.analysis import Comparison
from telemetry.model.comparison import Summary
from telemetry.sheet import Group
from telemetry.telling.fairness import on_paper
from telemetry.telling.results import results_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidatePart:
    """Everything a page says of one candidate."""

    label: str
    token: str
    summary: Summary
    on_paper: str
    figure: VerdictFigure
    sentences: tuple[str, ...]
    absent: tuple[Group, ...]


def candidate_parts(comparison: Comparison, styles: Mapping[str, SetupStyle]) -> tuple[CandidatePart, ...]:
    """Return each candidate's part, in the order named."""
    parts = []
    for name in comparison.candidates:
        results = [item for item in comparison.verdicts.results if item.candidate == name]
        sentences, absent = results_in_words(comparison, name)
        parts.append(
            CandidatePart(
                label=styles[name].label,
                token=styles[name].token,
                summary=comparison.summaries[name],
                on_paper=on_paper(comparison, name),
                figure=verdict_figure(results),
                sentences=sentences,
                absent=absent,
            )
        )
    return tuple(parts)
