"""Pages on the comparison itself: whether it is fair, and whether the change did anything."""

from __future__ import annotations

from dashboards.content.candidates import candidate_parts
from dashboards.content.panels import detectable_panels, order_panels
from telemetry.model.analysis import Comparison
from telemetry.telling.day import naming, setting_tables
from telemetry.telling.expected import disagreements
from telemetry.telling.fairness import compared_over, fair_in_words

from .view import EXPLORED, Page, View
from .writing import focus_rows


def _comparison(view: View) -> Comparison:
    if view.comparison is None:
        raise ValueError("one setup can't be compared")
    return view.comparison


def fair(view: View) -> Page:
    """Return what speaks for and against it: what differs besides, each run in the order ridden, the second looks."""
    comparison = _comparison(view)
    return Page(
        template="fair.html",
        finding=fair_in_words(comparison),
        panels={"order": order_panels(view.analysis, comparison, view.styles)},
        facts={
            "comparison": comparison,
            "candidates": candidate_parts(comparison, view.styles),
            "differs_from_paper": _differs_from_paper(view, comparison),
            "focus_rows": focus_rows(view.analysis.day),
            "named": naming(view.analysis.day),
            "compared_over": compared_over(comparison),
            "settings": setting_tables([view.analysis.day.setups[name] for name in view.styles]),
        },
    )


def _differs_from_paper(view: View, comparison: Comparison) -> list[str]:
    """Return what disagrees with parts as stated, of each candidate that has been ridden on paper by now."""
    ridden = [view.ridden_on_paper(comparison.baseline, name) for name in comparison.candidates]
    return [line for own in ridden if own is not None for line in disagreements(own)]


def change(view: View) -> Page:
    """Return each measure's difference; where runs or sections were chosen by looking, without verdicts."""
    comparison = _comparison(view)
    parts = candidate_parts(comparison, view.styles)
    explored = view.seen.explored
    return Page(
        template="change.html",
        finding=EXPLORED if explored else parts[0].summary.headline,
        panels={"detectable": () if explored else detectable_panels(view.analysis, comparison)},
        facts={"comparison": comparison, "candidates": parts},
    )
