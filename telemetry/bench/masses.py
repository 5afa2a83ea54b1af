"""Masses: what each end carries, where it comes to rest under that, and how fast it swings."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from telemetry.model.bench_figures import Lacking
from telemetry.model.bench_masses import Masses
from telemetry.units import STANDARD_GRAVITY_M_S2

from .parts import EndSprings, springs_of
from .stated import PartError, Stated

HEAVIER_KG = 5.0
"""What a change of the rider's mass is told for: a full pack."""
AGREE_SHARE = 0.25
"""A stated sprung mass and the one that follows from share and masses may differ by so much; own choice."""
WITH_MASSES = "sag, natural frequency and damping ratio"
TOTAL_KEYS = ("rider_mass_kg", "mass_kg", "front_share")


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What an end carries.

    Attributes
    ----------
    sprung_kg : float
    unsprung_kg : float or None
    per_rider_kg : float or None
        What one kilogram more of the rider adds to it.
    battery_kg : float or None
        What of it is the battery, its share taken as that of rider and bike.
    """

    sprung_kg: float
    unsprung_kg: float | None
    per_rider_kg: float | None
    battery_kg: float | None


def carried(stated: Stated) -> Carried | None:
    """Return what an end carries: as weighed, else by its share of rider and bike; None where neither is stated.

    Raises
    ------
    PartError
        Where the two contradict each other, or more is unsprung than the bike weighs.
    """
    weighed = stated.number("sprung_mass_kg")
    rider, bike, share = (stated.of_bike(key) for key in TOTAL_KEYS)
    unsprung = _unsprung_kg(stated, bike)
    by_share: float | None = None
    own = None if share is None else share if stated.end == "front" else 1.0 - share
    if rider is not None and bike is not None and own is not None and unsprung is not None:
        by_share = own * (rider + bike) - unsprung
    if by_share is not None and own is not None and unsprung is not None and by_share <= 0:
        found = (
            f"{share:g}, which leaves {by_share + unsprung:.1f} kg on the {stated.end} wheel, {unsprung:.1f} unsprung"
        )
        raise PartError("both", "front_share", found, "more on each wheel than is unsprung there")
    if weighed is not None and by_share is not None and abs(weighed - by_share) > AGREE_SHARE * by_share:
        found = f"{weighed:.1f} kg, while front_share, rider and bike give {by_share:.1f} kg"
        raise PartError(stated.end, "sprung_mass_kg", found, "figures that agree within 25 %")
    sprung = weighed if weighed is not None else by_share
    if sprung is None:
        return None
    battery = stated.of_bike("battery_mass_kg")
    if battery is not None and bike is not None and battery >= bike:
        raise PartError("both", "battery_mass_kg", f"{battery:g} kg", f"less than the whole bike's {bike:g} kg")
    return Carried(
        sprung_kg=sprung,
        unsprung_kg=unsprung,
        per_rider_kg=own,
        battery_kg=None if battery is None or own is None else own * battery,
    )


def _unsprung_kg(stated: Stated, bike_kg: float | None) -> float | None:
    own = stated.number("unsprung_mass_kg")
    if own is not None:
        if bike_kg is not None and own >= bike_kg:
            raise PartError(stated.end, "unsprung_mass_kg", f"{own:g} kg", f"less than the bike's {bike_kg:g} kg")
        return own
    return None if bike_kg is None else bike_kg * stated.assumed(f"unsprung_share_{stated.end}")


def sag_mm(springs: EndSprings, own: Carried, *extra_kg: float) -> tuple[float, ...]:
    """Return the wheel travel at which the end comes to rest, without friction, mm, as it is and with so much more."""
    loads = (own.sprung_kg + np.array([0.0, *extra_kg])) * STANDARD_GRAVITY_M_S2
    return tuple(springs.travel_under_mm(loads).tolist())


def vertical_rate_n_m(springs: EndSprings, travel_mm: float) -> float | None:
    """Return the rate with which the body swings about a travel, N/m, vertical, the gas fast about where it rests.

    None at either end of the travel, where it doesn't swing, and where the springs give way.
    """
    if not 0 < travel_mm < springs.full_mm:
        return None
    rate = 1e3 * springs.rate_n_mm(travel_mm, springs.fast_exponent, travel_mm) / springs.sine**2
    return rate if rate > 0 else None


def masses_part(
    stated: Stated, springs: EndSprings, own: Carried, ratio_of: Callable[[float, float], float | None]
) -> Masses:
    """Return an end's masses, how it sits and swings, and what a change of mass makes of that.

    Parameters
    ----------
    stated : Stated
    springs : EndSprings
    own : Carried
    ratio_of : callable
        The damping ratio at a travel (mm) with a sprung mass (kg); None where no damper is known.
    """
    changes = {"heavier": _times(own.per_rider_kg, HEAVIER_KG), "no battery": _times(own.battery_kg, -1.0)}
    known = {name: change for name, change in changes.items() if change is not None}
    rest, *changed = sag_mm(springs, own, *known.values())
    sags = dict(zip(known, changed, strict=True))
    rate = vertical_rate_n_m(springs, rest)
    tyre = stated.number("tyre_stiffness_n_mm")
    heavier, sits = known.get("heavier"), sags.get("heavier")
    hop = None
    if tyre is not None and own.unsprung_kg is not None and rate is not None:
        hop = math.sqrt((1e3 * tyre + rate) / own.unsprung_kg) / (2 * math.pi)
    return Masses(
        sprung_kg=own.sprung_kg,
        unsprung_kg=own.unsprung_kg,
        full_mm=springs.full_mm,
        stroke_full_m=float(springs.stroke_m(np.array(springs.full_mm))),
        sag_mm=rest,
        sag_stroke_m=float(springs.stroke_m(np.array(rest))),
        load_n=own.sprung_kg * STANDARD_GRAVITY_M_S2,
        natural_hz=None if rate is None else math.sqrt(rate / own.sprung_kg) / (2 * math.pi),
        hop_hz=hop,
        damping_ratio=ratio_of(rest, own.sprung_kg),
        heavier_kg=HEAVIER_KG,
        heavier_sag_mm=sits,
        heavier_damping=None if sits is None or heavier is None else ratio_of(sits, own.sprung_kg + heavier),
        battery_kg=stated.of_bike("battery_mass_kg"),
        no_battery_sag_mm=sags.get("no battery"),
    )


def _times(figure: float | None, by: float) -> float | None:
    return None if figure is None else figure * by


def lacking_masses(stated: Stated) -> Lacking | None:
    """Return why an end's load isn't known, and by which keys it would be."""
    if carried(stated) is not None:
        return None
    gone = [key for key in TOTAL_KEYS if key not in stated.bike and key not in stated.day]
    reason = f"{', '.join(gone)} not stated; or sprung_mass_kg at this end, weighed with a scale under the wheel"
    return Lacking(what=WITH_MASSES, end=stated.end, reason=reason)


def lacking_swing(stated: Stated) -> Lacking | None:
    """Return why an end that is known to carry something isn't told how it swings."""
    own, springs = carried(stated), springs_of(stated)
    if own is None:
        return None
    if springs is None:
        return Lacking(what=WITH_MASSES, end=stated.end, reason="its springs aren't known")
    (rest,) = sag_mm(springs, own)
    if vertical_rate_n_m(springs, rest) is not None:
        return None
    where = "stays topped out" if rest <= 0 else "is pressed to its end" if rest >= springs.full_mm else "gives way"
    reason = f"at rest it {where} under {own.sprung_kg:.1f} kg: check pressure, spring and masses"
    return Lacking(what="natural frequency and damping ratio", end=stated.end, reason=reason)
