"""What ends and measures are called, and in which order ends stand: the bike faces right, so rear before front."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from telemetry.languages import ENGLISH, Language
from telemetry.model.catalogue import SPECS, share_of
from telemetry.model.day import SetupPlace
from telemetry.model.finding import End, Place
from telemetry.model.within import parted
from telemetry.words import with_end

ENDS: tuple[End, ...] = ("rear", "front")
PLACES: tuple[Place, ...] = (*ENDS, "both")
TITLES: Mapping[Place, str] = MappingProxyType(
    {"rear": "Rear", "front": "Front", "both": "Front against rear, whole bike"}
)
PLACE_TITLES: Mapping[SetupPlace, str] = MappingProxyType(
    {"rear": TITLES["rear"], "front": TITLES["front"], "bike": "Whole bike"}
)

KEPT_PLACES: Mapping[str, str] = MappingProxyType(
    {"rear": TITLES["rear"], "front": TITLES["front"], "bike": "Whole bike", "other": "Other"}
)
"""Where a kept day's settings stand, with those of a setup's own."""


def label(measure: str, end: str | None) -> str:
    """Return measure and end: ``Dynamic sag, front``; of measures of both ends, or of either, the name alone."""
    return with_end(SPECS[measure].label, end)


def place_of(place: str, language: Language) -> str:
    """Return a part of the ride to stand after what happens in it: ``under braking``, or ``in`` its name."""
    return language.say(f"place.{place}") if language.has(f"place.{place}") else language.say("place.other", name=place)


def label_of(measure: str, language: Language) -> str:
    """Return a measure's name, in mm or within a part of the ride too."""
    name, place = parted(measure)
    share = share_of(name)
    own = f"measure.{share or name}.label"
    label = language.say(own) if language.has(own) else SPECS[share or name].label  # stands on pages in English alone
    label = label if share is None else language.say("row.in_mm", label=label)
    return label if place is None else language.say("row.within", label=label, place=place_of(place, language))


def named(measure: str, end: Place, language: Language = ENGLISH) -> str:
    """Return end and measure: ``Front, dynamic sag``; of measures of both ends the name alone."""
    label = label_of(measure, language)
    if end == "both":
        return label
    return language.say("row.named", end=language.say(f"end.{end}"), label=language.within(label))


def short_name(measure: str, end: Place, language: Language = ENGLISH) -> str:
    """Return end and measure to stand within a sentence: ``front dynamic sag``."""
    label = language.within(label_of(measure, language))
    return label if end == "both" else language.say("row.short", end=language.say(f"end.short_{end}"), label=label)


def at_the(end: End) -> str:
    """Return where: ``at the front``."""
    return f"at the {end}"
