"""Springs: force at the wheel along travel, by part, slow and fast."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from telemetry.mechanics.gas import atmosphere_at_pa
from telemetry.model.bench_figures import Lacking
from telemetry.model.bench_springs import Forces, Springs

from .parts import SIDES, SLOW, EndSprings, springs_of
from .stated import Stated

STEPS = 100
"""Of a curve's travel."""
SHARES = (30, 60, 80, 90, 100)
"""% of full travel at which the force is told."""
WARMER_K, HIGHER_M = 10.0, 1000.0
"""What a fork warms by in use, and a climb."""
KELVIN = 273.15
AIR_KEYS = ("air_pressure_bar", "air_volume_ml", "air_piston_mm")
NEGATIVE_KEYS = ("negative_air_volume_ml", "air_rod_mm")


def springs_part(stated: Stated, springs: EndSprings, sag_mm: float | None) -> Springs:
    """Return an end's springs along its travel.

    Parameters
    ----------
    stated : Stated
    springs : EndSprings
    sag_mm : float or None
        Wheel travel about which the gas moves when it is ridden; None where it isn't known: from topped out.
    """
    travel = np.linspace(0.0, springs.full_mm, STEPS + 1)
    fast = springs.fast_exponent
    temperature = stated.of_bike("air_temperature_c")
    return Springs(
        end=stated.end,
        travel_mm=travel,
        shares=SHARES,
        slow=_forces(springs, travel, SLOW, None),
        fast=_forces(springs, travel, fast, sag_mm),
        rate_sag_n_mm=None if sag_mm is None else springs.rate_n_mm(sag_mm),
        warmer_n=_moved_n(springs, (temperature if temperature is not None else 20.0) + KELVIN, None),
        higher_n=_moved_n(springs, None, stated.of_bike("altitude_m") or 0.0),
    )


def _forces(springs: EndSprings, travel: np.ndarray, exponent: float, settled_mm: float | None) -> Forces:
    parts = springs.parts_n(travel, exponent, settled_mm)
    return Forces(
        exponent=exponent,
        settled_mm=settled_mm,
        parts=parts,
        total_n=np.asarray(sum(parts.values())),
        energy_j=springs.energy_j(exponent, settled_mm),
    )


def _moved_n(springs: EndSprings, kelvin: float | None, altitude_m: float | None) -> float | None:
    """Return by how much all gas pushes more half-way in, N, when it is warmer, or ridden higher up; None without."""
    if not springs.gas:
        return None
    half = np.array(springs.full_mm / 2)
    stroke, ratio = springs.stroke_m(half), float(springs.ratio(half))
    found = 0.0
    for chamber in (chamber for chambers in springs.gas.values() for chamber in chambers):
        if kelvin is not None:
            found += chamber.area_m2 * float(chamber.pressure_at_pa(stroke, SLOW)) * WARMER_K / kelvin
        elif altitude_m is not None:
            found += chamber.area_m2 * (atmosphere_at_pa(altitude_m) - atmosphere_at_pa(altitude_m + HIGHER_M))
    return found / ratio


def lacking_springs(stated: Stated) -> Iterator[Lacking]:
    """Yield what of an end's springs can't be told, and by which keys it could."""
    have = stated.setup.settings
    springs = springs_of(stated)
    if springs is None:
        yield Lacking(what="springs", end=stated.end, reason=_why_none(stated))
        return
    if "positive_air" in springs.gas and "negative_air" not in springs.gas and have_negative(stated):
        reason = (
            f"{_not_stated(stated, NEGATIVE_KEYS)}: without it the spring comes out too strong near the top and sag "
            "too small; negative_air_volume_ml = 0 where there is none"
        )
        yield Lacking(what="negative air", end=stated.end, reason=reason)
    if stated.end == "front" and "lower_legs" not in springs.gas and "air_gap" not in springs.gas:
        yield Lacking(what="lower legs", end="front", reason=_not_stated(stated, leg_keys(stated)))
    if springs.bumper is None and "bumper_touch_mm" not in have:
        yield Lacking(what="bumper", end=stated.end, reason=_not_stated(stated, ("bumper_touch_mm",)))


def lacking_beside(stated: Stated, others: Iterable[Stated]) -> Lacking | None:
    """Return why springs can't be told beside those of other setups: what these alone state would read as gone."""
    have = stated.setup.settings.keys()
    for what, is_there in (
        ("lower legs", stated.end == "front" and "oil_level_mm" not in have),
        ("negative air", set(AIR_KEYS) <= have and have_negative(stated)),
    ):
        if is_there and not _in_full(stated, what) and any(_in_full(own, what) for own in others):
            reason = f"{what} not stated in full, as another setup's"
            return Lacking(what="springs", end=stated.end, reason=reason)
    return None


def _in_full(stated: Stated, what: str) -> bool:
    """Tell by its keys whether lower legs or negative air are stated."""
    have = stated.setup.settings.keys()
    if what == "negative air":
        return have_negative(stated) and {*AIR_KEYS, *NEGATIVE_KEYS} <= have
    return set(leg_keys(stated)) <= have


def have_negative(stated: Stated) -> bool:
    """Tell whether there is a negative chamber, as far as it isn't stated to be none."""
    return stated.setup.number("negative_air_volume_ml") != 0


def leg_keys(stated: Stated) -> tuple[str, ...]:
    """Return the keys that lower legs take: a figure for each leg, or for each side where one side's is stated."""
    have = stated.setup.settings
    found: list[str] = []
    for what in ("volume", "oil"):
        sides = [f"lower_leg_{what}_{side}_side_ml" for side in SIDES]
        found += sides if any(key in have for key in sides) else [f"lower_leg_{what}_each_ml"]
    return (*found, "stanchion_mm")


def _not_stated(stated: Stated, keys: tuple[str, ...]) -> str:
    lacking = [key for key in keys if key not in stated.setup.settings]
    return f"{' and '.join(lacking or keys)} not stated"


def _why_none(stated: Stated) -> str:
    if stated.setup.full_travel_mm is None:
        return "full travel isn't known: state travel_mm, at the rear stroke_mm with leverage, ratio or linkage"
    if stated.end == "rear" and stated.setup.leverage is None:
        return "leverage, ratio or linkage not stated, nor stroke_mm with it: a shock works through it"
    if "air_pressure_bar" in stated.setup.settings:
        return _not_stated(stated, AIR_KEYS)
    return f"no spring stated: {', '.join(AIR_KEYS)}, or spring_rate_n_mm"
