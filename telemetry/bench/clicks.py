"""Clicks for a wished damping: between positions at which the day's setups state measured forces."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from telemetry.mechanics.damper_points import MeasuredDamper
from telemetry.model.bench_figures import Lacking
from telemetry.model.setting import AdjusterPosition

from .damper import measured_damper, shaft_slopes_n_s_m
from .stated import Stated

Way: TypeAlias = Literal["compression", "rebound"]
WAYS: tuple[Way, ...] = ("compression", "rebound")
_NAMED_AT = r"{}\D*?(\d+(?:\.\d+)?)"
"""A position within words: ``rebound 9``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A damper's forces with an adjuster so many clicks (or turns) from closed."""

    from_closed: float
    unit: str
    damper: MeasuredDamper


def positions_of(ends: Iterable[Stated]) -> Mapping[Way, tuple[Position, ...]]:
    """Return at which positions the same end of several setups states forces, by way, each once, closed first.

    Where the points were measured is what ``damper_points_at`` says, else where the adjuster stands of the first setup
    that states them: one that goes by another's points says nothing of its own position.
    """
    found: dict[Way, dict[float, Position]] = {way: {} for way in WAYS}
    told = []
    for stated in ends:
        points = stated.setup.value("damper_points")
        if points in told:
            continue
        told.append(points)
        damper = measured_damper(stated)
        for way in WAYS if damper is not None else ():
            at = measured_at(stated, way)
            if at is not None and damper is not None:
                found[way].setdefault(at[0], Position(from_closed=at[0], unit=at[1], damper=damper))
    return {way: tuple(held[clicks] for clicks in sorted(held)) for way, held in found.items()}


def own_position(stated: Stated, way: Way) -> AdjusterPosition | None:
    """Return where a setup's adjuster of a direction stands, low speed's where there are two; None if not stated."""
    own = (stated.setup.value(key) for key in (way, f"low_speed_{way}"))
    return next((value for value in own if isinstance(value, AdjusterPosition)), None)


def measured_at(stated: Stated, way: Way) -> tuple[float, str] | None:
    """Return at how many clicks (or turns) from closed an end's points were measured, one way; None if nothing says."""
    position = own_position(stated, way)
    unit = "clicks" if position is None else position.unit
    named = re.search(_NAMED_AT.format(way), str(stated.setup.value("damper_points_at") or "").lower())
    if named is not None:
        return float(named.group(1)), unit
    return None if position is None else (position.from_closed, position.unit)


def lacking_clicks(stated: Stated) -> Iterator[Lacking]:
    """Yield where an end's adjusters stand elsewhere than when its damper was measured."""
    if measured_damper(stated) is None:
        return
    for way in WAYS:
        at, own = measured_at(stated, way), own_position(stated, way)
        if at is not None and own is not None and own.from_closed != at[0]:
            reason = (
                f"damper_points were measured at {way} {at[0]:g} from closed, this setup has {own.from_closed:g}: "
                "state those measured here too"
            )
            yield Lacking(what=f"damper at its own {way}", end=stated.end, reason=reason)


def clicks_for(positions: Sequence[Position], way: Way, wanted_n_s_m: float, ratio: float) -> float | None:
    """Return the position that gives a slope at the shaft, by a straight line between those measured.

    None outside them, or where fewer than two are known: nothing is said of clicks that nobody measured.
    """
    if len(positions) < 2:
        return None
    slopes = np.array([shaft_slopes_n_s_m(own.damper, ratio)[WAYS.index(way)] for own in positions])
    clicks = np.array([own.from_closed for own in positions])
    order = np.argsort(slopes)
    if not slopes[order[0]] <= wanted_n_s_m <= slopes[order[-1]]:
        return None
    return float(np.interp(wanted_n_s_m, slopes[order], clicks[order]))
