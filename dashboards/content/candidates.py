"""What a page says of each candidate: summary, differences on paper, the verdict figure, every sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.figures.verdicts import VerdictFigure, verdict_figure
from dashboards.theme import SetupStyle
from telemetry.model.analysis import Comparison
from telemetry.model.comparison import Summary


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidatePart:
    """Everything a page says of one candidate."""

    label: str
    token: str
    summary: Summary
    differences: tuple[str, ...]
    figure: VerdictFigure
    sentences: tuple[str, ...]


def candidate_parts(comparison: Comparison, styles: Mapping[str, SetupStyle]) -> tuple[CandidatePart, ...]:
    """Return each candidate's part, in the order named."""
    parts = []
    for name in comparison.candidates:
        results = [item for item in comparison.verdicts.results if item.candidate == name]
        parts.append(
            CandidatePart(
                label=styles[name].label,
                token=styles[name].token,
                summary=comparison.summaries[name],
                differences=tuple(item.words for item in comparison.setup_differences if item.candidate == name),
                figure=verdict_figure(results),
                sentences=tuple(item.sentence for item in results),
            )
        )
    return tuple(parts)
