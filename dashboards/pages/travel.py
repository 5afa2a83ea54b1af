"""How is the travel used? Time spent deeper, where the time went, ride height, depth and bottoming."""

from __future__ import annotations

from dashboards.content.panels import travel_panels

from .measured import measured_page
from .view import Page, View

TRAVEL = ("dynamic_sag", "travel_p95", "hit_depth_p95", "deep_hits_per_min", "bottom_outs_per_min", "top_outs_per_min")


def page(view: View) -> Page:
    """Return the use of travel over what was chosen."""
    main, beneath = travel_panels(view.seen.pictures, view.styles)
    return measured_page(view, "travel.html", TRAVEL, {"main": main, "beneath": beneath}, "No travel was ridden here")
