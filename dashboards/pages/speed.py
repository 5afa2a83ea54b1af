"""How fast does it move? Hits and returns by their fastest moment, time from slow to fast, recovery."""

from __future__ import annotations

from dashboards.content.panels import speed_panels

from .measured import measured_page
from .view import Page, View

SPEED = (
    "compression_speed_p95",
    "rebound_speed_p95",
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
    "hits_per_min",
    "recovery_time",
    "packing",
)


def page(view: View) -> Page:
    """Return speeds over what was chosen."""
    main, beneath = speed_panels(view.seen.pictures, view.styles)
    return measured_page(view, "speed.html", SPEED, {"main": main, "beneath": beneath}, "Too few hits to tell speeds")
