"""How does it sit? Sag and what friction makes of it, the zero found, how it bounces, by recordings off the trail."""

from __future__ import annotations

from dashboards.content.sitting import sitting_panels
from telemetry.telling.logs import recording_verdicts
from telemetry.telling.sitting import sitting_in_short, sitting_notes, sitting_table

from .view import Page, View


def page(view: View) -> Page:
    """Return everything recordings off the trail told, whatever is chosen: no run has a say in it."""
    analysis = view.analysis
    return Page(
        template="sits.html",
        finding=sitting_in_short(analysis),
        panels={"sag": sitting_panels(analysis, view.styles)},
        facts={
            "table": sitting_table(analysis),
            "notes": sitting_notes(analysis),
            "told": [log for log in recording_verdicts(analysis) if log.findings],
        },
    )
