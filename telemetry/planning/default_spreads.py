"""How far runs of one setup scatter where nothing is known yet: what a first day is planned with."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

DEFAULT_SPREADS: Mapping[str, float] = MappingProxyType(
    {
        "dynamic_sag": 0.5,
        "travel_p95": 0.8,
        "hit_depth_10_per_min": 0.8,
        "hits_per_min": 0.04,
        "compression_speed_10_per_min": 0.05,
        "rebound_speed_10_per_min": 0.04,
        "recovery_time": 0.06,
        "packing": 1.0,
        "sag_difference": 0.7,
        "compression_speed_ratio": 0.06,
        "rebound_speed_ratio": 0.05,
    }
)
"""Run-to-run standard deviation on the scale of comparison: points, mm a hit, shares (0.04 is 4 %). Own choice: wider
than simulated riders scatter. Rare events have none: they are planned from their rate."""
