"""What stands beside a comparison: what differs on paper, what it was compared over, what speaks against it."""

from __future__ import annotations

from collections import Counter

from telemetry.model.analysis import Comparison
from telemetry.words import counted


def on_paper(comparison: Comparison, candidate: str) -> str:
    """Return what differs between the baseline and a candidate on paper."""
    setups = comparison.day.setups
    differing = [item.words for item in comparison.setup_differences if item.candidate == candidate]
    pair = f"from {setups[comparison.baseline].label} to {setups[candidate].label}"
    return f"On paper, {pair}: {'; '.join(differing) or 'nothing differs'}"


def compared_over(comparison: Comparison) -> str:
    """Return the trail sections that were compared."""
    left_out = f", {comparison.sections_dropped} of them left out" if comparison.sections_dropped else ""
    return f"Trail sections: {comparison.shared_by}{left_out}"


def fair_in_words(comparison: Comparison) -> str:
    """Return in one sentence whether it is a fair comparison."""
    counts = Counter(item.severity for item in comparison.fairness_findings)
    if counts["error"]:
        return "Not a fair comparison: the numbers stand without verdicts"
    if counts["warning"]:
        things = counted(counts["warning"], "thing")
        return f"Compare with care: {things} besides the change could explain a difference"
    return "Like for like, as far as the logs and the ride day tell"
