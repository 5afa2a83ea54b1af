"""Parts as stated beside what restoring-force maps show of them: one end's spring and damper, N per kg it carries."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from telemetry.mechanics.friction import friction_n
from telemetry.model.arrays import Floats
from telemetry.model.finding import End
from telemetry.model.force import BAND_LEVEL, TOLD_SPEEDS_M_S, ForceCurve, ForceMap, SpeedOf
from telemetry.model.parts_checked import CheckedForce, Part

from .known import PaperSetup
from .loads import CERTAIN

SPRING_STEEPNESS, DAMPER_FIRMNESS = 0.8, 1.4
"""How steep a spring, about the middle of what was ridden, and how firm a damper maps show at worst, as shares of the
true ones, on simulated natural trails (`python -m tests.benchmarks.force_maps`)."""
SCALE = 0.12
"""By how much a whole map may be off where a rider's weight is shared between feet and hands otherwise than his
stiffness (in simulation); no band of a map holds it."""
Z = float(norm.ppf(1 - BAND_LEVEL / 2))
DEPTHS_PCT = tuple(float(depth) for depth in range(10, 100, 10))
PLACES: dict[Part, tuple[float, ...]] = {"spring": DEPTHS_PCT, "damper": TOLD_SPEEDS_M_S}


@dataclass(frozen=True, slots=True)
class OnTrail:
    """A force that maps show, N per kg, and the half of its 90 % band."""

    value: float
    half: float


def stated_forces(paper: PaperSetup, end: End, settled_m: float, speed_of: SpeedOf) -> dict[Part, Floats]:
    """Return what an end's parts push with where maps are told, N per kg that it carries, upward at the wheel.

    Parameters
    ----------
    paper : PaperSetup
    end : End
    settled_m : float
        Wheel travel about which its gas moves.
    speed_of : {"shaft", "wheel"}
        Of what the maps' speeds are; the damper's forces are at the same place.
    """
    own = paper.ends[end]
    travel_m = 1e-5 * np.array(DEPTHS_PCT) * own.springs.full_mm
    lever = 1.0 if speed_of == "shaft" else float(own.springs.ratio(np.array(1e3 * settled_m)))
    shaft_m_s = np.array(TOLD_SPEEDS_M_S) / lever
    rubs = friction_n(shaft_m_s, own.friction_n, own.friction_band_m_s)
    per_n = 1 / (own.springs.sine * paper.body.sprung_kg[end])
    return {
        "spring": per_n * own.elastic_n(travel_m, own.springs.fast_exponent, settled_m),
        "damper": np.asarray(per_n * (own.damper.force_n(shaft_m_s) + rubs) / lever, dtype=float),
    }


def _shown(curve: ForceCurve, at: float) -> OnTrail | None:
    value = curve.value_at(at)
    if value is None:
        return None
    low, high = (float(np.interp(at, curve.at, side)) for side in (curve.low, curve.high))
    return OnTrail(value, (high - low) / 2)


def trail_forces(maps: Sequence[ForceMap], part: Part) -> list[OnTrail | None]:
    """Return the mean of an end's maps at each place where one is told; None where none is.

    Notes
    -----
    What maps of one day are off by is mostly common to them: their bands aren't narrowed for their number.
    """
    means: list[OnTrail | None] = []
    for at in PLACES[part]:
        every = (
            _shown(one.spring, at / 100 * one.full_travel_mm) if part == "spring" else _shown(one.damper, at)
            for one in maps
        )
        found = [(one.value, one.half) for one in every if one is not None]
        means.append(OnTrail(*np.mean(found, axis=0).tolist()) if found else None)
    return means


def _room(part: Part, shown: OnTrail, middle: float) -> tuple[float, float]:
    """Return between which forces the true one lies by a map's band, and by what such maps are known to be off by.

    Notes
    -----
    A damper's band holds what its firmness is off by, a spring's doesn't where it is shallowest and deepest.
    """
    if part == "damper":
        low, high = sorted((shown.value, shown.value / DAMPER_FIRMNESS))
        return min(shown.value - shown.half, low), max(shown.value + shown.half, high)
    steep = middle + (shown.value - middle) / SPRING_STEEPNESS
    return min(shown.value, steep) - shown.half, max(shown.value, steep) + shown.half


def checked(part: Part, stated: Floats, drawn: Floats, trail: Sequence[OnTrail | None]) -> tuple[CheckedForce, ...]:
    """Return stated forces beside the trail's, wherever the trail tells them.

    Parameters
    ----------
    part : {"spring", "damper"}
    stated : float array, shape (k,)
    drawn : float array, shape (draws, k)
        By drawn parts: how well the stated ones are known.
    trail : sequence of OnTrail or None, length k

    Notes
    -----
    They don't fit where they lie further apart than three things as squares: the map's room on that side, 2.6 standard
    deviations of the stated force, and by how much a rider's stance scales a map.
    """
    found = []
    told = [shown.value for shown in trail if shown is not None]
    middle = (min(told) + max(told)) / 2 if told else 0.0
    for place, (at, shown) in enumerate(zip(PLACES[part], trail, strict=True)):
        if shown is None:
            continue
        own, spread = float(stated[place]), float(np.std(drawn[:, place]))
        low, high = _room(part, shown, middle)
        room = high - shown.value if own > shown.value else shown.value - low
        found.append(
            CheckedForce(
                part=part,
                at=at,
                stated=own,
                stated_low=own - Z * spread,
                stated_high=own + Z * spread,
                trail=shown.value,
                trail_low=low,
                trail_high=high,
                fits=abs(own - shown.value) <= math.hypot(room, CERTAIN * spread, SCALE * shown.value),
            )
        )
    return tuple(found)
