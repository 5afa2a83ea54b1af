"""Dynamic sag: where the bike rides in its travel."""

from __future__ import annotations

import numpy as np

from .missing import Missing, Outcome
from .view import EndView

NOTHING_RIDDEN = Missing("no riding time")


def dynamic_sag(view: EndView) -> Outcome:
    """Return mean filtered travel over riding time, flights left out, % of full travel."""
    if view.sag_travel_mm.size == 0:
        return NOTHING_RIDDEN
    return 100.0 * float(np.mean(view.sag_travel_mm)) / view.full_travel_mm


def dynamic_sag_median(view: EndView) -> Outcome:
    """Return median filtered travel over riding time, flights left out, % of full travel."""
    if view.sag_travel_mm.size == 0:
        return NOTHING_RIDDEN
    return 100.0 * float(np.median(view.sag_travel_mm)) / view.full_travel_mm
