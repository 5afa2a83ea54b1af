"""What changed in a rider's words: less oil, a fork that uses more of its travel on big hits."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import Result, SetupDifference, Sign
from telemetry.model.measure_spec import MeasureSpec
from telemetry.model.ranges import Range
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.model.within import parted, place_in_words
from telemetry.words import figure

from .results import difference_in_words

MORE_AND_LESS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "travel_p95": ("spends more time deep", "spends less time deep"),
        "hit_depth_10_per_min": ("uses more of its travel on big hits", "uses less of its travel on big hits"),
        "compression_speed_10_per_min": ("goes in faster on big hits", "goes in slower on big hits"),
        "rebound_speed_10_per_min": ("comes back faster from big hits", "comes back slower from big hits"),
        "recovery_time": ("takes longer to come back up", "comes back up sooner"),
        "fast_shaking_passed_on": ("lets more of the fast shaking through", "lets less of the fast shaking through"),
    }
)
"""In place of the catalogue's words, where those name a measure."""


def words_of(spec: MeasureSpec, sign: Sign) -> str:
    """Return what a measure's verdict is called; empty where it is undecided."""
    return {"▲": spec.more, "▼": spec.less, "=": spec.same}.get(sign, "")


def rider_words(measure: str, sign: Sign) -> str:
    """Return what a measure's verdict is to a rider, with where on the ride it was named for."""
    name, place = parted(measure)
    more_and_less = MORE_AND_LESS.get(name)
    if more_and_less is None or sign not in ("▲", "▼"):
        return words_of(SPECS[measure], sign)
    where = f" {place_in_words(place)}" if place else ""
    return more_and_less[sign == "▼"] + where


def by_how_much(result: Result) -> str:
    """Return the size of a difference, the direction being said: ``by 3.4 points``; empty where none can be told."""
    told = difference_in_words(result, interval=False)
    if told and result.scale == "log" and result.percent is not None:
        told = f"{figure(result.percent.difference, 0)} %"
    return f"by {told.lstrip('+−')}" if told else ""


def changed_in_riders_words(difference: SetupDifference) -> str:
    """Return a single change: ``less lower-leg oil at the front``; with both values where it is no number.

    Examples
    --------
    >>> def of(key, old, new):
    ...     return SetupDifference(
    ...         candidate="b", end="front", key=key, baseline_value=old, candidate_value=new, words="both values"
    ...     )
    >>> changed_in_riders_words(of("lower_leg_oil_each_ml", 20.0, 8.0))
    'less lower-leg oil at the front'
    >>> changed_in_riders_words(of("rebound", 9, 12)), changed_in_riders_words(of("valving", "a", "b"))
    ('rebound opened at the front', 'both values')
    """
    old, new, spec = difference.baseline_value, difference.candidate_value, KEYS.get(difference.key)
    if spec is None or not isinstance(old, int | float) or not isinstance(new, int | float):
        return difference.words
    where = "" if difference.end == "both" else f" at the {difference.end}"
    if spec.holds == "position":
        return f"{spec.words} {'opened' if new > old else 'closed'}{where}"
    if not isinstance(spec.holds, Range):
        return difference.words
    changed = spec.more or f"more {spec.words}" if new > old else spec.less or f"less {spec.words}"
    return f"{changed}{where}"
