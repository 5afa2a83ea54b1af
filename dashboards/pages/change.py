"""Did the change do anything? Each measure's difference, its interval and its verdict."""

from __future__ import annotations

from dashboards.content.candidates import candidate_parts
from dashboards.content.panels import detectable_panels

from .view import EXPLORED, Page, View


def page(view: View) -> Page:
    """Return every compared measure; where runs or sections were chosen by looking, without verdicts."""
    comparison = view.comparison
    if comparison is None:
        raise ValueError("one setup can't be compared")
    parts = candidate_parts(comparison, view.styles)
    explored = view.seen.explored
    return Page(
        template="change.html",
        finding=EXPLORED if explored else parts[0].summary.headline,
        panels={"detectable": () if explored else detectable_panels(view.analysis, comparison)},
        facts={"comparison": comparison, "candidates": parts},
    )
