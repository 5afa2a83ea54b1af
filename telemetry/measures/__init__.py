"""What a cleaned ride measures: riding time, strokes, and every measure of the catalogue that data can give.

What every run is measured by loads at once, what comparisons and pictures take besides with the first name asked of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

from .bounce import Decay, bounce_decay
from .bounds import find_pushes, with_bounds
from .catalogue import BikeFacts, Marked, Sheet, find_run_lags, inertial_views, mean_ground_speed, measure_run
from .coursing import Course, borders_of, course
from .ground_speed import Lags
from .inertial.pushed import SHARES_OF_MM
from .inertial.relative import Geometry
from .missing import Missing
from .motion import find_motion
from .phases.found import FoundPhases, find_phases, tells_phases
from .pyramids import Pyramid, pyramid
from .resting import friction_band_mm, last_second, resting_travel_mm, static_sag_pct
from .riding import where_still
from .sections import (
    ridden_distance_m,
    ridden_samples,
    section_speeds_m_s,
    section_stretches,
    sections_at,
    sections_between,
    sections_with_gap,
)
from .view import Knees, RunMotion, narrowed
from .within import Named, measures_within, place_stretches

if TYPE_CHECKING:
    from .aligned import aligned_hits
    from .alignment import Alignment, align, aligned_shares
    from .carrying import Carried, Fixed, carried
    from .events_along import flown_stretches, trail_events
    from .family import FamilyValue, family_values, pooled_values, values_within
    from .force import Rider, Smoothing, bodies_seen, common_rider, force_maps
    from .inertial.basis import ShakingBasis, shaking_basis
    from .otherwise import moved_otherwise
    from .peak_speeds import often_reached_m_s, rate_faster, reached_often, speed_pairs, stroke_rates
    from .pictured import hit_at, picture
    from .stroke_list import stroke_columns

_HOMES = {
    "aligned": "aligned_hits",
    "alignment": "Alignment align aligned_shares",
    "carrying": "Carried Fixed carried",
    "family": "FamilyValue family_values pooled_values values_within",
    "force": "Rider Smoothing bodies_seen common_rider force_maps",
    "inertial.basis": "ShakingBasis shaking_basis",
    "otherwise": "moved_otherwise",
    "peak_speeds": "often_reached_m_s rate_faster reached_often speed_pairs stroke_rates",
    "pictured": "hit_at picture",
    "stroke_list": "stroke_columns",
    "events_along": "flown_stretches trail_events",
}

__all__ = [
    "SHARES_OF_MM",
    "Alignment",
    "BikeFacts",
    "Carried",
    "Course",
    "Decay",
    "FamilyValue",
    "Fixed",
    "FoundPhases",
    "Geometry",
    "Knees",
    "Lags",
    "Marked",
    "Missing",
    "Named",
    "Pyramid",
    "Rider",
    "RunMotion",
    "ShakingBasis",
    "Sheet",
    "Smoothing",
    "align",
    "aligned_hits",
    "aligned_shares",
    "bodies_seen",
    "borders_of",
    "bounce_decay",
    "carried",
    "common_rider",
    "course",
    "family_values",
    "find_motion",
    "find_phases",
    "find_pushes",
    "find_run_lags",
    "flown_stretches",
    "force_maps",
    "friction_band_mm",
    "hit_at",
    "inertial_views",
    "last_second",
    "mean_ground_speed",
    "measure_run",
    "measures_within",
    "moved_otherwise",
    "narrowed",
    "often_reached_m_s",
    "picture",
    "place_stretches",
    "pooled_values",
    "pyramid",
    "rate_faster",
    "reached_often",
    "resting_travel_mm",
    "ridden_distance_m",
    "ridden_samples",
    "section_speeds_m_s",
    "section_stretches",
    "sections_at",
    "sections_between",
    "sections_with_gap",
    "shaking_basis",
    "speed_pairs",
    "static_sag_pct",
    "stroke_columns",
    "stroke_rates",
    "tells_phases",
    "trail_events",
    "values_within",
    "where_still",
    "with_bounds",
]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
