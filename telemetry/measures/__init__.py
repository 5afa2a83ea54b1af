"""What a cleaned ride measures: riding time, strokes, and every measure of the catalogue that data can give."""

from .bounce import Decay, bounce_decay
from .catalogue import BikeFacts, Marked, Sheet, find_run_lags, mean_ground_speed, measure_run
from .family import FamilyValue, family_values
from .ground_speed import Lags
from .missing import Missing
from .motion import find_motion
from .picture import picture
from .resting import friction_band_mm, resting_travel_mm, static_sag_pct
from .sections import section_speeds_m_s, section_stretches, sections_with_gap
from .view import Knees, RunMotion

__all__ = [
    "BikeFacts",
    "Decay",
    "FamilyValue",
    "Knees",
    "Lags",
    "Marked",
    "Missing",
    "RunMotion",
    "Sheet",
    "bounce_decay",
    "family_values",
    "find_motion",
    "find_run_lags",
    "friction_band_mm",
    "mean_ground_speed",
    "measure_run",
    "picture",
    "resting_travel_mm",
    "section_speeds_m_s",
    "section_stretches",
    "sections_with_gap",
    "static_sag_pct",
]
