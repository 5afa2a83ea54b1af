"""A measure within a named part of the ride, ``dynamic_sag@braking``: a phase, or any other name of stretches."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from .phase import PhaseName

AT = "@"
WORDS: Mapping[PhaseName, str] = MappingProxyType(
    {
        "airborne": "in the air",
        "landing": "when landing",
        "braking": "under braking",
        "accelerating": "while accelerating",
        "turning": "in turns",
        "pedalling": "while pedalling",
        "coasting": "while coasting",
    }
)


def within(measure: str, place: str) -> str:
    """Return the id of a measure within a named part of the ride.

    Examples
    --------
    >>> within("dynamic_sag", "braking")
    'dynamic_sag@braking'
    """
    return f"{measure}{AT}{place}"


def parted(measure: str) -> tuple[str, str | None]:
    """Return a measure's own id and the part of the ride it is taken within; None for all of it.

    Examples
    --------
    >>> parted("dynamic_sag@braking"), parted("dynamic_sag")
    (('dynamic_sag', 'braking'), ('dynamic_sag', None))
    """
    name, at, place = measure.partition(AT)
    return name, place if at else None


def place_in_words(place: str) -> str:
    """Return a part of the ride to stand after what happens in it: ``under braking``, or ``in`` its name."""
    return next((words for name, words in WORDS.items() if name == place), f"in {place}")
