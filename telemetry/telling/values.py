"""A measure's value in words: travel in millimetres and as a share of stroke too."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.languages import ENGLISH, Language
from telemetry.mechanics.leverage import stroke_shares
from telemetry.model.catalogue import SPECS
from telemetry.model.day import RideDay
from telemetry.model.finding import Place
from telemetry.words import decimals, titled

SHARES_OF_HITS = frozenset({"below_knee_compression_hits", "below_knee_rebound_returns"})


def places_of(measure: str) -> int:
    """Return how many decimals a measure's values are printed with: its own, else its unit's.

    Examples
    --------
    >>> places_of("hand_arm_vibration"), places_of("hand_arm_vibration_a8")
    (1, 2)
    """
    spec = SPECS[measure]
    return decimals(spec.unit) if spec.digits is None else spec.digits


def _is_travel(measure: str, end: Place) -> bool:
    spec = SPECS[measure]
    return spec.unit == "%" and spec.by == "travel" and end != "both" and measure not in SHARES_OF_HITS


def title_of(measure: str, end: Place) -> str:
    """Return a measure's label, with its unit where its told values don't carry it."""
    spec = SPECS[measure]
    return spec.label if _is_travel(measure, end) else titled(spec.label, spec.unit)


def value_in_words(
    day: RideDay, setup: str | None, measure: str, end: Place, value: float, *, language: Language = ENGLISH
) -> str:
    """Return a measure's value: ``31.9 % (53 mm, 29.8 % of stroke)`` for a share of travel, else the bare figure.

    Parameters
    ----------
    day : RideDay
    setup : str or None
        The setup it was measured with.
    measure : str
    end : {"front", "rear", "both"}
    value : float
        In the measure's unit.
    language : Language, optional
    """
    own = day.setups[setup].at(end) if setup is not None and end != "both" else None
    if own is None or own.full_travel_mm is None or not _is_travel(measure, end):
        return language.figure(value, places_of(measure))
    shares = stroke_shares(own) if end == "rear" else None
    stroke = None if shares is None else float(np.interp(value, *shares))
    shown = [(value, 1, "%"), (value * own.full_travel_mm / 100, 0, "mm")]
    shown += [] if stroke is None else [(stroke, 1, "% of stroke")]
    return _beside([f"{language.figure(number, places)} {language.unit(unit)}" for number, places, unit in shown])


def quantity_in_words(
    day: RideDay, setup: str | None, measure: str, end: Place, value: float, *, language: Language = ENGLISH
) -> str:
    """Return a value with its unit, once."""
    words, unit = value_in_words(day, setup, measure, end, value, language=language), language.unit(SPECS[measure].unit)
    return words if unit in words else f"{words} {unit}"


def both_in_words(pairs: Sequence[tuple[str, str, str]], language: Language = ENGLISH) -> str:
    """Return a value before and after, and in brackets what it comes to otherwise; what prints alike stands once.

    Parameters
    ----------
    pairs : sequence of (before, after, unit)
        As they are printed.
    language : Language, optional

    Examples
    --------
    >>> both_in_words([("29.1", "32.0", "%"), ("49", "54", "mm")])
    '29.1 to 32.0 % (49 to 54 mm)'
    >>> both_in_words([("27.7", "27.7", "%"), ("46", "46", "mm")])
    '27.7 % (46 mm) both times'
    >>> both_in_words([("27.7", "27.8", "%"), ("46", "46", "mm")])
    '27.7 to 27.8 % (46 mm both times)'
    """
    if all(before == after for before, after, _ in pairs):
        return language.say("values.alike", value=_beside([f"{after} {unit}".strip() for _, after, unit in pairs]))
    return _beside(
        [
            language.say("values.alike", value=f"{after} {unit}".strip())
            if before == after
            else f"{language.say('values.both', before=before, after=after)} {unit}".strip()
            for before, after, unit in pairs
        ]
    )


def _beside(words: Sequence[str]) -> str:
    first, *others = words
    return f"{first} ({', '.join(others)})" if others else first
