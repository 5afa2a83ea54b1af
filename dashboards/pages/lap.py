"""What happened on this lap? Ride height, depth, the deepest hits, flights, section times, the worst packing."""

from __future__ import annotations

from dashboards.content.panels import lap_panels
from telemetry.telling.lap import lap_in_words

from .view import Page, View


def page(view: View) -> Page:
    """Return the last shown run: over what was chosen of it."""
    last = view.seen.pictures[-1]
    run = next(item for item in view.analysis.runs if item.entry.name == last.run)
    along = view.along()
    lap = lap_in_words(view.analysis.day, run, last, along.events, along.unit)
    traces, close_ups = lap_panels([last], view.styles)
    return Page(
        template="lap.html",
        finding=lap.finding,
        panels={"traces": traces, "close_ups": close_ups},
        facts={"lap": lap, "traced_run": last.run},
    )
