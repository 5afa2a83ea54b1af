"""Is it a fair comparison? What differs besides the change, each run in the order ridden, the second looks."""

from __future__ import annotations

from dashboards.content.candidates import candidate_parts
from dashboards.content.panels import order_panels
from telemetry.telling.day import naming, setting_tables
from telemetry.telling.fairness import compared_over, fair_in_words

from .view import Page, View
from .writing import focus_rows


def page(view: View) -> Page:
    """Return what speaks for and against the comparison."""
    comparison = view.comparison
    if comparison is None:
        raise ValueError("one setup can't be compared")
    return Page(
        template="fair.html",
        finding=fair_in_words(comparison),
        panels={"order": order_panels(view.analysis, comparison, view.styles)},
        facts={
            "comparison": comparison,
            "candidates": candidate_parts(comparison, view.styles),
            "focus_rows": focus_rows(view.analysis.day),
            "named": naming(view.analysis.day),
            "compared_over": compared_over(comparison),
            "settings": setting_tables([view.analysis.day.setups[name] for name in view.styles]),
        },
    )
