"""Whether a day states anything of its parts that the bench can work out."""

from __future__ import annotations

from .day import RideDay
from .finding import ENDS

TELLING = ("spring_rate_n_mm", "air_volume_ml", "damper_points", "lower_leg_volume_each_ml")
"""Keys of an end beside its leverage, one of which has to be stated."""


def states_figures(day: RideDay) -> bool:
    """Tell whether any setup states figures of parts that may contradict each other; leverage alone can't."""
    return bool(day.bike.geometry) or any(
        "front_share" in setup.bike or any(key in setup.at(end).settings for end in ENDS for key in TELLING)
        for setup in day.setups.values()
    )


def states_parts(day: RideDay) -> bool:
    """Tell whether any setup states a part of which it can be worked out what it does."""
    ends = [setup.at(end) for setup in day.setups.values() for end in ENDS]
    return bool(day.bike.geometry) or any(
        end.leverage is not None or any(key in end.settings for key in TELLING) for end in ends
    )
