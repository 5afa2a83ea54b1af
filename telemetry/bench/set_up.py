"""Set-up: pressure, spring, preload and damping for a wished sag at this rider's mass; a starting point."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from telemetry.mechanics.damper_points import MeasuredDamper
from telemetry.model.bench_masses import DampingWish, SagWish, SetUp
from telemetry.model.finding import End
from telemetry.units import STANDARD_GRAVITY_M_S2

from .clicks import WAYS, Position, Way, clicks_for
from .damper import shaft_slopes_n_s_m
from .masses import Carried, sag_mm, vertical_rate_n_m
from .parts import BAR, MM, EndSprings
from .stated import Stated

WISHED_SAG: Mapping[End, tuple[int, ...]] = MappingProxyType({"front": (15, 20, 25), "rear": (25, 30, 35)})
"""% of travel, rider aboard; common practice, no source."""
WISHED_DAMPING = (0.2, 0.3, 0.4)
"""Share of critical, both ways' mean: usual from 0.2 to 0.5 (common practice, no source)."""
PRESSURES_BAR = (0.2, 60.0)
RATES_N_MM = (0.5, 1000.0)
"""Within which pressure and rate are sought: what a ride day's keys may hold."""


def set_up_part(
    stated: Stated,
    springs: EndSprings,
    own: Carried,
    damper: MeasuredDamper | None,
    positions: Mapping[Way, Sequence[Position]],
) -> SetUp:
    """Return what an end would be set to for each wished sag and damping ratio."""
    load = own.sprung_kg * STANDARD_GRAVITY_M_S2 * springs.sine
    return SetUp(
        sag=tuple(_for_sag(stated, springs, load, percent) for percent in WISHED_SAG[stated.end]),
        damping=() if damper is None else _damping(springs, own, damper, positions),
        is_air="positive_air" in springs.gas,
    )


def _for_sag(stated: Stated, springs: EndSprings, load_n: float, percent: int) -> SagWish:
    travel = percent / 100 * springs.full_mm
    return SagWish(
        percent=percent,
        pressure_bar=_pressure_bar(stated, springs, load_n, travel),
        rate_n_mm=_rate_n_mm(springs, load_n, travel),
        preload_mm=_preload_mm(springs, load_n, travel),
    )


def _pressure_bar(stated: Stated, springs: EndSprings, load_n: float, travel_mm: float) -> float | None:
    """Return the gauge pressure with which a travel carries a load; None of a coil, or where none does."""
    setting = stated.setup.settings.get("air_pressure_bar")
    if setting is None or "positive_air" not in springs.gas:
        return None

    def carries_n(bar: float) -> float:
        (positive,) = springs.gas["positive_air"]
        changed = {"positive_air": (replace(positive, pressure_pa=bar * BAR + positive.atmosphere_pa),)}
        if "negative_air_pressure_bar" not in stated.setup.settings and "negative_air" in springs.gas:
            (negative,) = springs.gas["negative_air"]
            changed["negative_air"] = (replace(negative, pressure_pa=bar * BAR + negative.atmosphere_pa),)
        other = replace(springs, gas={**springs.gas, **changed})
        return float(other.total_n(np.array(travel_mm)))

    low, high = PRESSURES_BAR
    least, most = carries_n(low), carries_n(high)  # a straight line between them: gas at rest goes with pressure
    return low + (high - low) * (load_n - least) / (most - least) if least < load_n < most else None


def _left_for_coil_n(springs: EndSprings, load_n: float, travel_mm: float) -> float | None:
    """Return what a coil has to carry at its shaft, N; None of an air spring."""
    if springs.coil is None:
        return None
    at = np.array(travel_mm)
    others = sum(float(force) for part, force in springs.parts_n(at, 1.0).items() if part != "coil")
    return (load_n - others) * float(springs.ratio(at))


def _rate_n_mm(springs: EndSprings, load_n: float, travel_mm: float) -> float | None:
    left = _left_for_coil_n(springs, load_n, travel_mm)
    if left is None or springs.coil is None:
        return None
    rate = left / (float(springs.stroke_m(np.array(travel_mm))) + springs.coil.preload_m) * MM
    return rate if RATES_N_MM[0] <= rate <= RATES_N_MM[1] else None


def _preload_mm(springs: EndSprings, load_n: float, travel_mm: float) -> float | None:
    """Return the preload that does it with the spring there is; None where it would be less than none."""
    left = _left_for_coil_n(springs, load_n, travel_mm)
    if left is None or springs.coil is None:
        return None
    preload = (left / springs.coil.rate_n_m - float(springs.stroke_m(np.array(travel_mm)))) / MM
    return preload if preload >= 0 else None


def _damping(
    springs: EndSprings, own: Carried, damper: MeasuredDamper, positions: Mapping[Way, Sequence[Position]]
) -> tuple[DampingWish, ...]:
    """Return what both ways' slopes would be for each wished ratio, rebound to compression as it is now."""
    (travel,) = sag_mm(springs, own)
    ratio = float(springs.ratio(np.array(travel)))
    compression, rebound = shaft_slopes_n_s_m(damper, ratio)
    mean = (compression + rebound) / 2
    rate = vertical_rate_n_m(springs, travel)
    critical = 2 * math.sqrt((rate or 0.0) * own.sprung_kg) * ratio**2 * springs.sine**2
    slopes = {"compression": compression / mean, "rebound": rebound / mean} if mean > 0 and rate is not None else {}

    def wish(wished: float) -> DampingWish:
        wanted = {way: wished * critical * share for way, share in slopes.items()}
        clicks = {way: clicks_for(positions[way], way, wanted[way], ratio) for way in WAYS}
        return DampingWish(
            ratio=wished,
            compression_n_s_m=wanted["compression"],
            rebound_n_s_m=wanted["rebound"],
            times_now=wished * critical / mean,
            compression_clicks=clicks["compression"],
            rebound_clicks=clicks["rebound"],
        )

    return tuple(map(wish, WISHED_DAMPING)) if slopes else ()
