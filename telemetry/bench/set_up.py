"""Set-up: pressure, spring, preload and damping for a wished sag at this rider's mass; a starting point."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from telemetry.mechanics.damper_points import MeasuredDamper
from telemetry.model.bench import EndBench
from telemetry.model.bench_figures import Lacking
from telemetry.model.bench_masses import DampingWish, SagWish, SetUp
from telemetry.model.finding import End
from telemetry.model.wish import EndWish
from telemetry.units import STANDARD_GRAVITY_M_S2

from .clicks import WAYS, Position, Way, clicks_for
from .damper import shaft_slopes_n_s_m
from .masses import Carried, sag_mm, vertical_rate_n_m
from .parts import BAR, MM, EndSprings
from .possible import LEAST_ON_AIR_BAR, USUAL, USUAL_AT
from .stated import Stated

WISHED_SAG: Mapping[End, tuple[int, ...]] = MappingProxyType({"front": (15, 20, 25), "rear": (25, 30, 35)})
"""% of travel, rider aboard; common practice, no source."""
WISHED_DAMPING = (0.2, 0.3, 0.4)
"""Share of critical, both ways' mean: usual from 0.2 to 0.5 (common practice, no source)."""
PRESSURES_BAR = (LEAST_ON_AIR_BAR, USUAL["air_pressure_bar"].high)
"""Within which pressure is sought; a rate is within what springs of its end have."""


UNKNOWN = "its springs and what it carries aren't both known"
NOTHING_GIVES_IT = {
    True: f"no pressure from {PRESSURES_BAR[0]:g} to {PRESSURES_BAR[1]:g} bar does, with this air can and its spacers",
    False: "no spring rate that there is does, with this preload: look at preload, leverage and masses",
}
CLICKS_UNKNOWN = (
    "they are told between two positions at which the damper was measured: state damper_points and damper_points_at in "
    "two setups, one softer and one firmer than that"
)


def set_up_part(
    stated: Stated,
    springs: EndSprings,
    own: Carried,
    damper: MeasuredDamper | None,
    positions: Mapping[Way, Sequence[Position]],
) -> SetUp:
    """Return what an end would be set to for each wished sag and damping ratio."""
    load = own.sprung_kg * STANDARD_GRAVITY_M_S2 * springs.sine
    sags = _first(stated.wish.sag_percent, WISHED_SAG[stated.end])
    return SetUp(
        sag=tuple(_for_sag(stated, springs, load, percent) for percent in sags),
        damping=() if damper is None else _damping(springs, own, damper, positions, stated.wish.damping_ratio),
        is_air="positive_air" in springs.gas,
    )


def _first(wished: float | None, usual: Sequence[float]) -> tuple[float, ...]:
    """Return what is wished, then what is usual."""
    return tuple(usual) if wished is None else (wished, *(other for other in usual if other != wished))


def _for_sag(stated: Stated, springs: EndSprings, load_n: float, percent: float) -> SagWish:
    travel = percent / 100 * springs.full_mm
    return SagWish(
        percent=percent,
        wished=percent == stated.wish.sag_percent,
        pressure_bar=_pressure_bar(stated, springs, load_n, travel),
        rate_n_mm=_rate_n_mm(stated, springs, load_n, travel),
        preload_mm=_preload_mm(springs, load_n, travel),
        told_in=MappingProxyType({key: (own.unit, own.factor) for key, own in stated.told_in.items()}),
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


def _rate_n_mm(stated: Stated, springs: EndSprings, load_n: float, travel_mm: float) -> float | None:
    left = _left_for_coil_n(springs, load_n, travel_mm)
    if left is None or springs.coil is None:
        return None
    rate = left / (float(springs.stroke_m(np.array(travel_mm))) + springs.coil.preload_m) * MM
    return rate if USUAL_AT[stated.end, "spring_rate_n_mm"].holds(rate) else None


def _preload_mm(springs: EndSprings, load_n: float, travel_mm: float) -> float | None:
    """Return the preload that does it with the spring there is; None where it would be less than none."""
    left = _left_for_coil_n(springs, load_n, travel_mm)
    if left is None or springs.coil is None:
        return None
    preload = (left / springs.coil.rate_n_m - float(springs.stroke_m(np.array(travel_mm)))) / MM
    return preload if preload >= 0 else None


def _damping(
    springs: EndSprings,
    own: Carried,
    damper: MeasuredDamper,
    positions: Mapping[Way, Sequence[Position]],
    wished_ratio: float | None,
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
            wished=wished == wished_ratio,
            compression_n_s_m=wanted["compression"],
            rebound_n_s_m=wanted["rebound"],
            times_now=wished * critical / mean,
            compression_clicks=clicks["compression"],
            rebound_clicks=clicks["rebound"],
        )

    return tuple(map(wish, _first(wished_ratio, WISHED_DAMPING))) if slopes else ()


def lacking_wish(wish: EndWish, end: EndBench) -> Iterator[Lacking]:
    """Yield what of an end's wish can't be told, and what would let it."""
    held = end.set_up
    if wish.sag_percent is not None:
        what = f"what gives {wish.sag_percent:g} % sag"
        if held is None:
            yield Lacking(what=what, end=end.end, reason=UNKNOWN)
        elif not any(row.figures for row in held.sag if row.wished):
            yield Lacking(what=what, end=end.end, reason=NOTHING_GIVES_IT[held.is_air])
    if wish.damping_ratio is not None:
        what = f"what gives a damping ratio of {wish.damping_ratio:g}"
        rows = () if held is None else tuple(row for row in held.damping if row.wished)
        if not rows:
            reason = UNKNOWN if held is None else "damper_points, and springs that it swings on at sag, would give it"
            yield Lacking(what=what, end=end.end, reason=reason)
        elif all(row.compression_clicks is None and row.rebound_clicks is None for row in rows):
            yield Lacking(
                what=f"clicks for a damping ratio of {wish.damping_ratio:g}", end=end.end, reason=CLICKS_UNKNOWN
            )
