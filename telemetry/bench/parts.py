"""An end's springs out of what is stated of them, and the force they make at the wheel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from telemetry.mechanics.air_spring import AirSpring
from telemetry.mechanics.coil_spring import AirGap, CoilSpring
from telemetry.mechanics.gas import ATMOSPHERE_PA, Chamber, atmosphere_at_pa
from telemetry.mechanics.leverage import LeverageCurve, curve_of
from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.mechanics.stops import BumpStop
from telemetry.model.arrays import Floats

from .stated import PartError, Stated

MM, ML, BAR = 1e-3, 1e-6, 1e5
SLOW = 1.0
"""Sag and settling: gas has time to give its heat away [Currey1988]."""
SIDES = ("spring", "damper")
GAS_LEFT = "gas that is left at full travel: measure the volume, and what takes it up, again"
HELD_WITHIN = "what goes in to be smaller than what it goes into"
FINE_STEPS = 800
"""Of the travel that a load is sought in: within 0.01 mm."""
NEAR_MM = 0.5
"""A rate at the wheel is taken over so much to either side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSprings:
    """What carries an end, along its leg or shaft, and how the wheel feels it.

    Attributes
    ----------
    full_mm : float
        Full travel at the wheel.
    curve : LeverageCurve or None
        At the rear; None at the front, whose axle moves with the legs.
    sine : float
        Vertical share of the wheel's path.
    gas : mapping of part to chambers
        ``positive_air``, ``negative_air``, ``lower_legs``, ``air_gap``.
    coil : CoilSpring or None
    bumper : BumpStop or None
    fast_exponent : float
    """

    full_mm: float
    curve: LeverageCurve | None
    sine: float
    gas: Mapping[str, tuple[Chamber, ...]]
    coil: CoilSpring | None
    bumper: BumpStop | None
    fast_exponent: float

    def stroke_m(self, travel_mm: Floats) -> Floats:
        """Return the travel of leg or shaft at each wheel travel, m."""
        travel = np.asarray(travel_mm, dtype=float)
        return MM * (travel if self.curve is None else self.curve.stroke_mm(travel))

    def ratio(self, travel_mm: Floats) -> Floats:
        """Return wheel travel over travel of leg or shaft at each wheel travel."""
        travel = np.asarray(travel_mm, dtype=float)
        return np.ones_like(travel) if self.curve is None else self.curve.ratio(self.curve.stroke_mm(travel))

    def held_mm(self, travel_mm: Floats, beyond_mm: float) -> Floats:
        """Return wheel travels held where gas is told: so far beyond either end, or half way to where none is left."""
        ends = np.array([0.0, self.full_mm])
        stroke, ratio = self.stroke_m(ends), self.ratio(ends)
        beyond = [beyond_mm, beyond_mm]
        for chamber in (one for chambers in self.gas.values() for one in chambers if one.area_m2 != 0):
            empty_m = chamber.volume_m3 / chamber.area_m2
            side = int(empty_m > 0)
            beyond[side] = min(beyond[side], float(abs(empty_m - stroke[side]) * ratio[side]) / MM / 2)
        return np.clip(travel_mm, -beyond[0], self.full_mm + beyond[1])

    def parts_n(self, travel_mm: Floats, exponent: float, settled_mm: float | None = None) -> dict[str, Floats]:
        """Return each part's force at the wheel, N along its path, positive where it resists compression.

        Parameters
        ----------
        travel_mm : float array
            Of the wheel.
        exponent : float
            Of the gas.
        settled_mm : float, optional
            Where the gas came to rest; else it moves from where it was filled.
        """
        stroke, ratio = self.stroke_m(travel_mm), self.ratio(travel_mm)
        settled = None if settled_mm is None else float(self.stroke_m(np.array(settled_mm)))
        forces: dict[str, Floats] = {
            part: np.asarray(sum(chamber.force_n(stroke, exponent, settled) for chamber in chambers))
            for part, chambers in self.gas.items()
        }
        if self.coil is not None:
            forces["coil"] = self.coil.force_n(stroke)
        if self.bumper is not None:
            forces["bumper"] = self.bumper.force_n(stroke)
        return {part: np.asarray(force / ratio) for part, force in forces.items()}

    def total_n(self, travel_mm: Floats, exponent: float = SLOW, settled_mm: float | None = None) -> Floats:
        """Return the force of all parts at the wheel, N; parameters as for `parts_n`."""
        return np.asarray(sum(self.parts_n(travel_mm, exponent, settled_mm).values()))

    def rate_n_mm(self, travel_mm: float, exponent: float = SLOW, settled_mm: float | None = None) -> float:
        """Return the rate at the wheel at one travel, N/mm; parameters as for `parts_n`."""
        at = np.clip(np.array([travel_mm - NEAR_MM, travel_mm + NEAR_MM]), 0.0, self.full_mm)
        force = self.total_n(at, exponent, settled_mm)
        return float((force[1] - force[0]) / (at[1] - at[0]))

    def energy_j(self, exponent: float, settled_mm: float | None = None) -> float:
        """Return what it takes to bring the wheel from topped out to full travel, J."""
        stroke = self.stroke_m(np.array(self.full_mm))
        settled = None if settled_mm is None else float(self.stroke_m(np.array(settled_mm)))
        energies = [
            chamber.energy_j(stroke, exponent, settled) for chambers in self.gas.values() for chamber in chambers
        ]
        energies += [part.energy_j(stroke) for part in (self.coil, self.bumper) if part is not None]
        return float(sum(energies))

    def travel_under_mm(self, load_n: Floats) -> Floats:
        """Return the wheel travel at which each vertical load is carried at rest, without friction, mm.

        0 where the springs carry more topped out, full travel where they carry less there. Of several travels that
        carry it, as where an air spring without its negative chamber draws in, the deepest.
        """
        travel = np.linspace(0.0, self.full_mm, FINE_STEPS + 1)
        deepest = np.minimum.accumulate(self.total_n(travel)[::-1])[::-1]
        return np.asarray(np.interp(np.asarray(load_n, dtype=float) * self.sine, deepest, travel))


def section_m2(diameter_mm: float) -> float:
    """Return a circle's area, m²; diameter in mm."""
    return math.pi / 4 * (diameter_mm * MM) ** 2


def springs_of(stated: Stated) -> EndSprings | None:
    """Return an end's springs; None where full travel or any spring isn't stated.

    Raises
    ------
    PartError
        If the figures contradict each other: more oil than volume, gas that is used up before full travel.
    """
    gas, coil = gas_of(stated), coil_of(stated)
    if coil is None and not gas.keys() & {"positive_air", "air_gap"}:
        return None
    if stated.end == "rear" and stated.setup.leverage is None:
        return None
    return _built(stated, gas, coil)


def any_springs_of(stated: Stated) -> EndSprings | None:
    """Return what of an end's springs is stated, be it nothing; None where full travel isn't known.

    A rear end without its leverage has none that the wheel could feel.

    Raises
    ------
    PartError
    """
    if stated.end == "rear" and stated.setup.leverage is None:
        return _built(stated, {}, None)
    return _built(stated, gas_of(stated), coil_of(stated))


def _built(stated: Stated, gas: Mapping[str, tuple[Chamber, ...]], coil: CoilSpring | None) -> EndSprings | None:
    full, leverage = stated.setup.full_travel_mm, stated.setup.leverage
    if full is None:
        return None
    springs = EndSprings(
        full_mm=full,
        curve=None if leverage is None else curve_of(leverage),
        sine=math.sin(math.radians(head_angle_deg(stated))) if stated.end == "front" else 1.0,
        gas=gas,
        coil=coil,
        bumper=None,
        fast_exponent=stated.assumed("fast_exponent") if gas else SLOW,
    )
    _require_gas_to_the_end(stated, springs)
    return _with_bumper(springs, stated)


def head_angle_deg(stated: Stated) -> float:
    """Return the head angle, an assumed one where none is stated."""
    own = stated.of_bike("head_angle_deg")
    return stated.assumed("head_angle_deg") if own is None else own


def atmosphere_pa(stated: Stated) -> float:
    """Return the atmosphere's pressure where the bike is ridden, the standard one where no altitude is stated."""
    altitude = stated.of_bike("altitude_m")
    return ATMOSPHERE_PA if altitude is None else atmosphere_at_pa(altitude)


def gas_of(stated: Stated) -> dict[str, tuple[Chamber, ...]]:
    """Return the chambers that are stated in full, by part."""
    found: dict[str, tuple[Chamber, ...]] = {}
    spring = air_spring_of(stated)
    if spring is not None:
        names = ("positive_air", "negative_air")
        found |= {part: (chamber,) for part, chamber in zip(names, spring.chambers, strict=False)}
    legs = lower_legs_of(stated)
    if legs is not None:
        found["lower_legs"] = legs.chambers
    gap = air_gap_of(stated)
    if gap is not None:
        found["air_gap"] = (gap.chamber,)
    return found


def coil_of(stated: Stated) -> CoilSpring | None:
    """Return the coil spring; None where no rate is stated."""
    rate = stated.number("spring_rate_n_mm")
    if rate is None:
        return None
    return CoilSpring(rate_n_m=rate / MM, preload_m=(stated.number("preload_mm") or 0.0) * MM)


def spacers_ml(stated: Stated) -> float:
    """Return what volume spacers take off, ml."""
    count = stated.setup.number("volume_spacers")
    if not count:
        return 0.0
    each = stated.number("spacer_ml")
    return count * (stated.assumed("spacer_ml") if each is None else each)


def air_spring_of(stated: Stated) -> AirSpring | None:
    """Return the air spring; None where pressure, volume or piston isn't stated."""
    pressure, volume, piston = (stated.number(key) for key in ("air_pressure_bar", "air_volume_ml", "air_piston_mm"))
    if pressure is None or volume is None or piston is None:
        return None
    spacers, outside = spacers_ml(stated), atmosphere_pa(stated)
    if spacers >= volume:
        found = f"{spacers:.0f} ml of spacers in {volume:g} ml"
        raise PartError(stated.end, "volume_spacers", found, HELD_WITHIN)
    negative = _negative(stated, piston)
    own = stated.number("negative_air_pressure_bar")
    spring = AirSpring(
        area_m2=section_m2(piston),
        volume_m3=volume * ML,
        pressure_pa=pressure * BAR + outside,
        negative_area_m2=negative[0],
        negative_volume_m3=negative[1],
        negative_pressure_pa=None if own is None else own * BAR + outside,
        atmosphere_pa=outside,
    )
    return spring.with_spacers(spacers * ML)


def _negative(stated: Stated, piston_mm: float) -> tuple[float, float]:
    """Return area and volume of the negative chamber; none where either isn't stated."""
    volume, rod = stated.number("negative_air_volume_ml"), stated.number("air_rod_mm")
    if not volume or rod is None:
        return 0.0, 0.0
    if rod >= piston_mm:  # as drawn; as stated it was looked at
        raise PartError(stated.end, "air_rod_mm", f"{rod:g} mm in {piston_mm:g} mm", HELD_WITHIN)
    return section_m2(piston_mm) - section_m2(rod), volume * ML


def of_each_leg(stated: Stated, what: str) -> tuple[float, ...] | None:
    """Return a figure of the lower legs, ml: one for both, or the spring side's and the damper side's."""
    each = stated.number(f"lower_leg_{what}_each_ml")
    sides = [stated.number(f"lower_leg_{what}_{side}_side_ml") for side in SIDES]
    if each is not None:
        return (each,)
    return None if sides[0] is None or sides[1] is None else (sides[0], sides[1])


def leg_area_m2(stated: Stated) -> float | None:
    """Return what enters a lower leg, m²: the stanchion, or its wall alone where it is open below."""
    outer = stated.number("stanchion_mm")
    if outer is None:
        return None
    inner = outer - 2 * stated.assumed("stanchion_wall_mm") if stated.setup.value("stanchion_open_below") else 0.0
    return section_m2(outer) - section_m2(inner)


def lower_legs_of(stated: Stated) -> LowerLegs | None:
    """Return the lower legs; None where volume, oil or stanchion isn't stated.

    Raises
    ------
    PartError
        If there is more oil than volume, or no gas left at full travel.
    """
    volumes, oil, area = of_each_leg(stated, "volume"), of_each_leg(stated, "oil"), leg_area_m2(stated)
    if volumes is None or oil is None or area is None:
        return None
    full = stated.setup.full_travel_mm or 0.0
    for leg in range(2):
        empty, held = volumes[min(leg, len(volumes) - 1)], oil[min(leg, len(oil) - 1)]
        if held >= empty:
            raise PartError(stated.end, oil_key(stated, leg), f"{held:g} ml of oil in {empty:g} ml", HELD_WITHIN)
        if area * full * MM >= (empty - held) * ML:
            found = (
                f"{empty - held:.1f} ml of gas topped out, of which full travel takes {area * full * MM / ML:.1f} ml"
            )
            raise PartError(stated.end, oil_key(stated, leg), found, GAS_LEFT)
    closed = stated.number("lower_leg_closed_at_mm") or 0.0
    if closed >= full > 0:
        raise PartError(stated.end, "lower_leg_closed_at_mm", f"{closed:g} mm", f"less than full travel, {full:g} mm")
    outside, bled = atmosphere_pa(stated), stated.number("lower_leg_bled_altitude_m")
    return LowerLegs(
        volume_each_m3=tuple(value * ML for value in volumes),
        oil_each_m3=tuple(value * ML for value in oil),
        area_each_m2=(area,),
        closed_at_m=closed * MM,
        crossover=bool(stated.setup.value("lower_leg_crossover")),
        closed_pa=outside if bled is None else atmosphere_at_pa(bled),
        atmosphere_pa=outside,
    )


def oil_key(stated: Stated, leg: int) -> str:
    """Return the key that a leg's oil is stated by."""
    each = "lower_leg_oil_each_ml"
    return each if each in stated.setup.settings else f"lower_leg_oil_{SIDES[leg]}_side_ml"


def air_gap_of(stated: Stated) -> AirGap | None:
    """Return the gas above the oil of a fork with coils; None where level or stanchion isn't stated."""
    level, outer, full = stated.number("oil_level_mm"), stated.number("stanchion_mm"), stated.setup.full_travel_mm
    if level is None or outer is None or full is None or "spring_rate_n_mm" not in stated.setup.settings:
        return None
    inner = outer - 2 * stated.assumed("stanchion_wall_mm")
    outside = atmosphere_pa(stated)
    gap = AirGap.from_compressed(area_m2=2 * section_m2(inner), level_m=level * MM, full_m=full * MM)
    return replace(gap, closed_pa=outside, atmosphere_pa=outside)


_TOO_SMALL: Mapping[str, str] = {"positive_air": "air_volume_ml", "air_gap": "oil_level_mm"}


def _require_gas_to_the_end(stated: Stated, springs: EndSprings) -> None:
    """Refuse gas of a spring that is used up before full travel; that of lower legs was looked at."""
    stroke = springs.stroke_m(np.array(springs.full_mm))
    for part in _TOO_SMALL:
        for chamber in springs.gas.get(part, ()):
            taken = chamber.area_m2 * float(stroke)
            if taken >= chamber.volume_m3:
                found = (
                    f"{chamber.volume_m3 / ML:.1f} ml of gas topped out, of which full travel takes {taken / ML:.1f}"
                )
                by_spacers = part == "positive_air" and taken < chamber.volume_m3 + spacers_ml(stated) * ML
                key = "volume_spacers" if by_spacers else _TOO_SMALL[part]
                raise PartError(stated.end, key, found, GAS_LEFT)


def _with_bumper(springs: EndSprings, stated: Stated) -> EndSprings:
    """Return the springs with the bumper, as stiff as bumpers are; without it where no setup states its first touch.

    Where another setup does, this one has a bumper too, first felt where it usually is: with one setup's bumper alone
    the last of the travel would differ by a bumper.
    """
    touch = stated.number("bumper_touch_mm")
    if touch is None and "bumper_touch_mm" in stated.elsewhere:
        touch = springs.full_mm * min(stated.assumed("bumper_touch_share"), 0.99)
    if touch is None or touch >= springs.full_mm:
        return springs
    at, end = (float(springs.stroke_m(np.array(travel))) for travel in (touch, springs.full_mm))
    shaft = stated.assumed("bumper_end_force_n") * float(springs.ratio(np.array(springs.full_mm)))
    stop = BumpStop(touch_m=at, rate_n_m=0.0, progression_n_m2=shaft / (end - at) ** 2)
    return replace(springs, bumper=stop)
