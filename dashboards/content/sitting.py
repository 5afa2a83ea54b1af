"""Figures of how the bike sits, gathered, and the setups that were recorded off the trail."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil

from dashboards.figures.drawn import Drawn
from dashboards.figures.sitting import Sat, sag_of_end
from dashboards.theme import MOST_SETUPS, SetupStyle
from telemetry.model.analysis import Analysis
from telemetry.telling.names import ENDS
from telemetry.telling.sitting import sag_in_words, sag_readings

LEAST_REACH_PCT, STEP_PCT = 50, 10


def setups_recorded(analysis: Analysis) -> list[str]:
    """Return the setups that recordings off the trail were made with, no more than can be told apart."""
    return list(dict.fromkeys(item.setup for item in analysis.static))[:MOST_SETUPS]


def sitting_panels(analysis: Analysis, styles: Mapping[str, SetupStyle]) -> tuple[Drawn, ...]:
    """Return each end's sag as recordings told it, the rear first; none where they told none of a drawn setup."""
    readings = [reading for reading in sag_readings(analysis) if reading.item.setup in styles]
    if not readings:
        return ()
    deepest = max(reading.value_pct + reading.half_pct for reading in readings)
    reach = max(LEAST_REACH_PCT, STEP_PCT * ceil(deepest / STEP_PCT))
    of_ends = {
        end: [
            Sat(
                setup=reading.item.setup,
                what=reading.what,
                percent=reading.value_pct,
                half_pct=reading.half_pct or None,
                words=sag_in_words(analysis, reading),
            )
            for reading in readings
            if reading.end == end
        ]
        for end in ENDS
    }
    return tuple(sag_of_end(sat, styles, end, float(reach)) for end, sat in of_ends.items() if sat)
