"""Do the ends work together? Front against rear: height, hits, returns."""

from __future__ import annotations

from dashboards.content.panels import together_panels

from .measured import measured_page
from .view import Page, View

TOGETHER = ("sag_difference", "compression_speed_ratio", "rebound_speed_ratio")


def page(view: View) -> Page:
    """Return front against rear over what was chosen."""
    panels = together_panels(view.analysis, view.seen.pictures, view.styles)
    nothing = "Front against rear can't be told: it takes both ends measured, and twenty hits of each"
    return measured_page(view, "together.html", TOGETHER, {"main": panels}, nothing)
