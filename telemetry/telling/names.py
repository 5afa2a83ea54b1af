"""What ends and measures are called, and in which order ends stand: the bike faces right, so rear before front."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from telemetry.model.catalogue import SPECS
from telemetry.model.day import SetupPlace
from telemetry.model.finding import End, Place
from telemetry.words import lower_first, with_end

ENDS: tuple[End, ...] = ("rear", "front")
PLACES: tuple[Place, ...] = (*ENDS, "both")
TITLES: Mapping[Place, str] = MappingProxyType(
    {"rear": "Rear", "front": "Front", "both": "Front against rear, whole bike"}
)
PLACE_TITLES: Mapping[SetupPlace, str] = MappingProxyType(
    {"rear": TITLES["rear"], "front": TITLES["front"], "bike": "Whole bike"}
)


def label(measure: str, end: str | None) -> str:
    """Return measure and end: ``Dynamic sag, front``; of measures of both ends, or of either, the name alone."""
    return with_end(SPECS[measure].label, end)


def named(measure: str, end: Place) -> str:
    """Return end and measure: ``Front, dynamic sag``; of measures of both ends the name alone."""
    return SPECS[measure].label if end == "both" else f"{TITLES[end]}, {lower_first(SPECS[measure].label)}"


def short_name(measure: str, end: Place) -> str:
    """Return end and measure to stand within a sentence: ``front dynamic sag``."""
    name = lower_first(SPECS[measure].label)
    return name if end == "both" else f"{end} {name}"


def at_the(end: End) -> str:
    """Return where: ``at the front``."""
    return f"at the {end}"
