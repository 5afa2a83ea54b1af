"""What happened on this lap? Ride height, depth, the hits that tell most, flights, and the lap beside earlier ones."""

from __future__ import annotations

from dashboards.content.panels import lap_traces
from dashboards.figures.lap_trace import close_up
from telemetry.telling.earlier_laps import beside_earlier, earlier_laps, lap_table, laps_of
from telemetry.telling.hits import the_rest
from telemetry.telling.lap import lap_in_words

from .view import Page, View

EVERY_HIT = "all"
"""What a link asks for where the hits that tell less are drawn too."""


def _beside_earlier(view: View, run: str) -> dict[str, object]:
    """Return the lap beside its rider's earlier ones of the same trail: words and a table."""
    own = laps_of(view.analysis)
    lap = next((one for one in own if one.run == run), None)
    if lap is None:
        return {}
    others = view.other_laps()
    earlier = earlier_laps(lap, [*own, *others.laps])
    return {
        "beside": beside_earlier(lap, earlier),
        "laps": lap_table(lap, earlier) if earlier else None,
        "unread": others.unread,
    }


def page(view: View) -> Page:
    """Return the last shown run: over what was chosen of it."""
    last = view.seen.pictures[-1]
    run = next(item for item in view.analysis.runs if item.entry.name == last.run)
    along, style = view.along(), view.styles[last.setup]
    lap = lap_in_words(view.analysis.day, run, last, along.events, along.unit)
    rest = the_rest(last.deep_hits, lap.told)
    asked = view.choice.event == EVERY_HIT
    return Page(
        template="lap.html",
        finding=lap.finding,
        panels={
            "traces": lap_traces(last, view.styles),
            "told": tuple(close_up(one.hit, style) for one in lap.told),
            "rest": tuple(close_up(hit, style) for hit in rest if asked),
        },
        facts={
            "lap": lap,
            "traced_run": last.run,
            "more": len(rest),
            "every_hit": view.choice.link(event="" if asked else EVERY_HIT),
            "whole": view.choice.sections is None,
            **_beside_earlier(view, last.run),
        },
    )
