"""Is it a fair comparison? What differs besides the change, each run in the order ridden, the second looks."""

from __future__ import annotations

from collections import Counter

from dashboards.content import facts
from dashboards.content.candidates import candidate_parts
from dashboards.content.panels import order_panels
from telemetry.model.analysis import Comparison
from telemetry.model.key_words import name_of
from telemetry.telling import naming
from telemetry.words import counted

from .view import Page, View
from .writing import focus_rows


def findings_in_short(comparison: Comparison) -> str:
    """Return how many errors and warnings there are: ``2 warnings``; ``nothing found`` without any."""
    counts = Counter(item.severity for item in comparison.fairness_findings)
    parts = [counted(counts[name], name) for name in ("error", "warning") if counts[name]]
    return ", ".join(parts) or "nothing found"


def finding_of(comparison: Comparison) -> str:
    """Return the page's one sentence."""
    counts = Counter(item.severity for item in comparison.fairness_findings)
    if counts["error"]:
        return "Not a fair comparison: the numbers stand without verdicts"
    if counts["warning"]:
        things = counted(counts["warning"], "thing")
        return f"Compare with care: {things} besides the change could explain a difference"
    return "Like for like, as far as the logs and the ride day tell"


def page(view: View) -> Page:
    """Return what speaks for and against the comparison."""
    comparison = view.comparison
    if comparison is None:
        raise ValueError("one setup can't be compared")
    return Page(
        template="fair.html",
        finding=finding_of(comparison),
        panels={"order": order_panels(view.analysis, comparison, view.styles)},
        facts={
            "comparison": comparison,
            "candidates": candidate_parts(comparison, view.styles),
            "focus_rows": focus_rows(view.analysis.day),
            "named": naming(view.analysis.day),
            "setting_sheets": facts.setting_sheets([view.analysis.day.setups[name] for name in view.styles], name_of),
        },
    )
