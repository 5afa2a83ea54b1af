"""What should it have done? The baseline's runs ridden again on paper with the candidate's parts, beside the trail."""

from __future__ import annotations

from dashboards.content.expected import expected_part
from telemetry.pipeline import unstated
from telemetry.words import upper_first

from .view import Page, View

TEMPLATE = "expected.html"
UNSTATED = "Nothing can be ridden on paper yet: the ride day doesn't state enough of the parts"
RIDING = "The runs are being ridden again on paper"
FAILED = "Nothing is predicted"


def page(view: View) -> Page:
    """Return expected beside measured, over the whole day whatever is chosen of its runs; a note while it is ridden.

    The candidate is the first that is shown; others have a link each.
    """
    comparison = view.comparison
    if comparison is None:
        raise ValueError("one setup can't be compared")
    day, baseline = view.analysis.day, comparison.baseline
    candidate = comparison.candidates[0]
    others = [
        (day.setups[name].label, view.choice.link(setups=(baseline, name)))
        for name in day.setups
        if name not in (baseline, candidate) and any(run.setup == name for run in day.runs)
    ]
    return _answer(view, (baseline, candidate), {"others": others})


def next_page(view: View) -> Page:
    """Return what to try next where one setup was ridden, and what another one that is stated would do, likewise."""
    return _answer(view, (None, None), {"others": ()})


def _answer(view: View, setups: tuple[str | None, str | None], facts: dict[str, object]) -> Page:
    day = view.analysis.day
    facts |= {"waiting": None, "part": None, "lines": ()}
    gone = unstated(day, *setups)
    if gone:
        lines = [f"{upper_first(item.what)}: {item.reason}" for item in gone]
        return Page(template=TEMPLATE, finding=UNSTATED, facts=facts | {"lines": lines})
    paper = view.on_paper(*setups)
    if paper.trouble:
        return Page(template=TEMPLATE, finding=FAILED, facts=facts | {"lines": [paper.trouble]})
    if paper.predicted is None:
        return Page(template=TEMPLATE, finding=RIDING, facts=facts | {"waiting": paper})
    part = expected_part(paper.predicted, view.comparison, view.styles)
    return Page(template=TEMPLATE, finding=part.words.finding, firm=part.words.firm, facts=facts | {"part": part})
