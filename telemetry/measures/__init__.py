"""What a cleaned ride measures: riding time, strokes, and every measure of the catalogue that data can give."""

from .alignment import Alignment, align, aligned_shares
from .bounce import Decay, bounce_decay
from .bounds import find_pushes, with_bounds
from .catalogue import BikeFacts, Marked, Sheet, find_run_lags, mean_ground_speed, measure_run
from .family import FamilyValue, family_values
from .ground_speed import Lags
from .missing import Missing
from .motion import find_motion
from .picture import picture
from .resting import friction_band_mm, resting_travel_mm, static_sag_pct
from .sections import (
    ridden_distance_m,
    ridden_samples,
    section_speeds_m_s,
    section_stretches,
    sections_at,
    sections_between,
    sections_with_gap,
)
from .view import Knees, RunMotion

__all__ = [
    "Alignment",
    "BikeFacts",
    "Decay",
    "FamilyValue",
    "Knees",
    "Lags",
    "Marked",
    "Missing",
    "RunMotion",
    "Sheet",
    "align",
    "aligned_shares",
    "bounce_decay",
    "family_values",
    "find_motion",
    "find_pushes",
    "find_run_lags",
    "friction_band_mm",
    "mean_ground_speed",
    "measure_run",
    "picture",
    "resting_travel_mm",
    "ridden_distance_m",
    "ridden_samples",
    "section_speeds_m_s",
    "section_stretches",
    "sections_at",
    "sections_between",
    "sections_with_gap",
    "static_sag_pct",
    "with_bounds",
]
