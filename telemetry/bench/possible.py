"""Figures that can't be those of parts, each by itself or beside another: mostly in another unit, or two swapped.

All ranges are common practice, no source: from children's bikes to dirt bikes, narrow enough to catch a wrong unit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from types import MappingProxyType

from telemetry.model.day import EndSetup, RideDay, Setup
from telemetry.model.finding import ENDS, Place
from telemetry.model.ranges import Range
from telemetry.model.setting import ForcePoints

from .known import WIDTH_SHARES
from .possible_lengths import RATIO, WHEEL_MM, impossible_lengths
from .stated import PartError

USUAL: Mapping[str, Range] = MappingProxyType(
    {
        "air_pressure_bar": Range(0, 30, "bar"),
        "negative_air_pressure_bar": Range(0, 30, "bar"),
        "air_volume_ml": Range(5, 3000, "ml"),
        "negative_air_volume_ml": Range(1, 1000, "ml"),
        "lower_leg_oil_each_ml": Range(0.5, 1000, "ml"),
        "lower_leg_oil_spring_side_ml": Range(0.5, 1000, "ml"),
        "lower_leg_oil_damper_side_ml": Range(0.5, 1000, "ml"),
        "lower_leg_volume_each_ml": Range(10, 2000, "ml"),
        "lower_leg_volume_spring_side_ml": Range(10, 2000, "ml"),
        "lower_leg_volume_damper_side_ml": Range(10, 2000, "ml"),
        "preload_mm": Range(0, 60, "mm"),
        "ratio": RATIO,
        "axle_to_crown_mm": Range(250, 1100, "mm"),
        "offset_mm": Range(5, 120, "mm"),
        "wheel_diameter_mm": WHEEL_MM,
        "front_wheel_diameter_mm": WHEEL_MM,
        "rear_wheel_diameter_mm": WHEEL_MM,
        "tyre_stiffness_n_mm": Range(20, 600, "N/mm"),
        "shock_length_mm": Range(80, 700, "mm from eye to eye"),
        "head_angle_deg": Range(55, 80, said="a number from 55 to 80 degrees, from the ground"),
        "wheelbase_mm": Range(700, 1800, "mm"),
        "bottom_bracket_height_mm": Range(150, 600, "mm"),
        "chainstay_mm": Range(250, 800, "mm"),
        "reach_mm": Range(200, 700, "mm"),
        "stack_mm": Range(350, 900, "mm"),
        "head_tube_mm": Range(60, 300, "mm"),
        "oil_level_mm": Range(20, 300, "mm"),
        "damper_oil_cst_40c": Range(2, 250, "cSt at 40 °C"),
        "damper_oil_viscosity_index": Range(20, 480, said="a number from 20 to 480 (ASTM D2270)"),
        "front_share": Range(0.2, 0.75, said="a number from 0.2 to 0.75 (the front wheel's share of rider and bike)"),
        "air_temperature_c": Range(-30, 50, "°C"),
    }
)
"""Within which the bench takes a figure for that of a bike."""
USUAL_AT: Mapping[tuple[Place, str], Range] = MappingProxyType(
    {
        ("front", "spring_rate_n_mm"): Range(1, 40, "N/mm at the fork"),
        ("rear", "spring_rate_n_mm"): Range(5, 300, "N/mm at the shock"),
    }
)
MAY_BE_NONE = frozenset(key for key in USUAL if key.startswith(("lower_leg_oil_", "negative_air_volume")))
"""Where 0 says that there is none of it."""
LEAST_ON_AIR_BAR = 0.7
"""Of a spring that has nothing but air to carry with: 10 psi."""
MOST_UNSPRUNG_SHARE, MOST_UNSPRUNG_BOTH = 0.5, 0.8
"""Of the bike's mass: at one end, at both."""
UNSPRUNG = "wheel, tyre, rotor and what moves with them"
MOST_NEGATIVE_SHARE = 2.0
"""Of the positive chamber's pressure and volume, that the negative one's may be; own choice: beyond, it draws in."""
BUMPER_WITHIN = 0.5
"""A bumper is first felt in the last part of the travel so long."""
SLOWEST_POINT_MM_S, WEAKEST_POINT_N, STRONGEST_POINT_N = 20.0, 5.0, 50_000.0
"""Of the outermost of a damper's points: below or above, they are in another unit."""
FALLS_BY_WIDTHS = 2.0
"""By so many widths two forces of a damper may lie apart and still be alike; own choice."""
SMALLER = "a smaller one: it runs within that"
KNEES = (("knee_compression_mm_s", 1), ("knee_rebound_mm_s", -1))


def impossible(day: RideDay, setup: Setup) -> Iterator[PartError]:
    """Yield what of a setup's figures, as stated, can't be those of a bike's parts."""
    held: dict[Place, Mapping[str, object]] = {
        "both": {key: item.value for key, item in setup.bike.items()},
        "front": {key: item.value for key, item in setup.front.settings.items()},
        "rear": {key: item.value for key, item in setup.rear.settings.items()},
    }
    alone = [error for place, values in held.items() for error in _beyond(place, values)]
    alone += _beyond("both", day.bike.geometry, table="bike.geometry")
    yield from alone
    if not alone:  # else one figure is blamed for the unit of another
        yield from impossible_lengths(day, setup)
        for end in ENDS:
            yield from _of_negative_air(setup.at(end))
    if day.air_temperature_c is not None:
        yield from _beyond("both", {"air_temperature_c": day.air_temperature_c}, table="ride_day")
    yield from _of_masses(setup)
    for end in ENDS:
        own = setup.at(end)
        yield from _of_air(own)
        yield from _of_lengths(own)
        yield from _of_damper(own)


def _of_masses(setup: Setup) -> Iterator[PartError]:
    """Yield unsprung masses that leave too little of the bike."""
    held = setup.bike.get("mass_kg")
    mass = None if held is None or not isinstance(held.value, int | float) else float(held.value)
    unsprung = {end: own for end in ENDS if (own := _number(setup.at(end), "unsprung_mass_kg")) is not None}
    if mass is None:
        return
    for end, own in unsprung.items():
        if own > MOST_UNSPRUNG_SHARE * mass:
            expected = f"at most {MOST_UNSPRUNG_SHARE * mass:g} kg, half of the bike: {UNSPRUNG}"
            yield PartError(end, "unsprung_mass_kg", f"{own:g} kg", expected)
            return
    both = sum(unsprung.values())
    if both > MOST_UNSPRUNG_BOTH * mass:
        found = f"{unsprung['rear']:g} kg, {both:g} kg with the front's, of a bike of {mass:g} kg"
        expected = f"at most {MOST_UNSPRUNG_BOTH * mass:g} kg at both ends together: {UNSPRUNG}"
        yield PartError("rear", "unsprung_mass_kg", found, expected)


def _beyond(place: Place, values: Mapping[str, object], table: str = "") -> Iterator[PartError]:
    for key, value in values.items():
        bounds = USUAL_AT.get((place, key), USUAL.get(key))
        if bounds is None or isinstance(value, bool) or not isinstance(value, int | float) or bounds.holds(value):
            continue
        if value == 0 and key in MAY_BE_NONE:
            continue
        none = "0 or " if key in MAY_BE_NONE else ""
        found = f"{value:g} {bounds.unit.split(' ')[0]}".rstrip()
        yield PartError(place, key, found, f"{none}{bounds.words}", table=table, beyond=(float(value), bounds))


def _number(own: EndSetup, key: str) -> float | None:
    value = own.number(key)
    return None if value is None else float(value)


def _of_air(own: EndSetup) -> Iterator[PartError]:
    """Yield what of an air spring doesn't go together."""
    rod, piston, stanchion = (_number(own, key) for key in ("air_rod_mm", "air_piston_mm", "stanchion_mm"))
    if rod is not None and piston is not None and rod >= piston:
        yield PartError(own.end, "air_rod_mm", f"a rod of {rod:g} mm in a piston of {piston:g} mm", SMALLER)
    if piston is not None and stanchion is not None and piston >= stanchion:
        found = f"a piston of {piston:g} mm in a stanchion of {stanchion:g} mm"
        yield PartError(own.end, "air_piston_mm", found, SMALLER)
    bar, volume = _number(own, "air_pressure_bar"), _number(own, "air_volume_ml")
    alone = volume is not None and piston is not None and "spring_rate_n_mm" not in own.settings
    if alone and bar is not None and bar < LEAST_ON_AIR_BAR:
        expected = f"{LEAST_ON_AIR_BAR:g} bar or more (10 psi): nothing else carries here"
        bounds = Range(LEAST_ON_AIR_BAR, USUAL["air_pressure_bar"].high, "bar")
        yield PartError(own.end, "air_pressure_bar", f"{bar:g} bar", expected, beyond=(bar, bounds))


def _of_negative_air(own: EndSetup) -> Iterator[PartError]:
    """Yield what of a negative chamber doesn't go with itself or with the positive one."""
    bar, volume = _number(own, "negative_air_pressure_bar"), _number(own, "negative_air_volume_ml")
    against, beside = _number(own, "air_pressure_bar"), _number(own, "air_volume_ml")
    if bar is not None and volume is not None and (bar == 0) != (volume == 0):
        found = f"{bar:g} bar in a negative chamber of {volume:g} ml"
        expected = "pressure and volume of one that is there, or neither key where there is none"
        yield PartError(own.end, "negative_air_pressure_bar", found, expected)
    elif bar is not None and against and bar > MOST_NEGATIVE_SHARE * against:
        found = f"{bar:g} bar against {against:g} bar in the positive chamber"
        expected = (
            f"at most {MOST_NEGATIVE_SHARE * against:g} bar: it would pull the wheel up by itself; or both in one unit"
        )
        yield PartError(own.end, "negative_air_pressure_bar", found, expected)
    if volume is not None and beside and volume > MOST_NEGATIVE_SHARE * beside:
        found = f"{volume:g} ml beside {beside:g} ml of the positive chamber"
        expected = f"at most {MOST_NEGATIVE_SHARE * beside:g} ml, topped out: measure both again"
        yield PartError(own.end, "negative_air_volume_ml", found, expected)


def _of_lengths(own: EndSetup) -> Iterator[PartError]:
    """Yield lengths that don't go together with travel or stroke."""
    preload, stroke = _number(own, "preload_mm"), own.stroke_mm if own.end == "rear" else own.full_travel_mm
    if preload is not None and stroke is not None and preload > stroke and USUAL["preload_mm"].holds(preload):
        yield PartError(own.end, "preload_mm", f"{preload:g} mm", f"less than the stroke, {stroke:g} mm")
    touch, full = own.bumper_touch_mm, own.full_travel_mm
    if touch is not None and full is not None and touch < BUMPER_WITHIN * full:
        expected = f"where the bumper is first felt, from topped out: within the last half of {full:.4g} mm"
        yield PartError(own.end, "bumper_touch_mm", f"{touch:g} mm", expected)


def _of_damper(own: EndSetup) -> Iterator[PartError]:
    setting = own.settings.get("damper_points")
    if setting is None or not isinstance(setting.value, tuple):
        return
    points: ForcePoints = tuple(sorted(setting.value))
    found = _in_other_units(points)
    if found:
        yield PartError(own.end, "damper_points", *found)
        return
    yield from _falling(own, points, setting.plus_minus)
    for key, way in KNEES:
        knee, last = _number(own, key), max((way * speed for speed, _ in points), default=0.0)
        if knee is not None and 0 < last <= knee:
            expected = f"a knee between the speeds of damper_points, below {last:g} mm/s"
            yield PartError(own.end, key, f"{knee:g} mm/s", expected)


def _in_other_units(points: ForcePoints) -> tuple[str, str] | None:
    """Return what is found and expected of points that can't be mm/s and N; None of others."""
    fastest, strongest = (max(abs(point[place]) for point in points) for place in (0, 1))
    if fastest < SLOWEST_POINT_MM_S:
        speeds = ", ".join(f"{1e3 * speed:g}" for speed, _ in points[:3])
        return f"speeds up to {fastest:g} mm/s", f"mm/s at the shaft: were these m/s? Then {speeds}, …"
    if 0 < strongest < WEAKEST_POINT_N:
        forces = ", ".join(f"{1e3 * force:g}" for _, force in points[:3])
        return f"forces up to {strongest:g} N", f"N at the shaft: were these kN? Then {forces}, …"
    if strongest > STRONGEST_POINT_N:
        return f"forces up to {strongest:g} N", f"N at the shaft, below {STRONGEST_POINT_N:g}: speed first, then force"
    return None


def _falling(own: EndSetup, points: ForcePoints, plus_minus: float | None) -> Iterator[PartError]:
    """Yield forces that fall, further than they are known to, with the speed: no damper does that."""
    rest = dict(points).get(0.0, 0.0)
    for way in (1, -1):
        side = sorted((way * speed, way * (force - rest)) for speed, force in points if way * speed > 0)
        for (slow, strong), (fast, weak) in pairwise(side):
            known_to = WIDTH_SHARES["damper_points"] * abs(strong) if plus_minus is None else plus_minus
            if 0 < weak < strong - FALLS_BY_WIDTHS * known_to:
                found = (
                    f"{way * strong + rest:g} N at {way * slow:g} mm/s, but {way * weak + rest:g} N at {way * fast:g}"
                )
                expected = (
                    f"forces that grow with speed, or stay within {FALLS_BY_WIDTHS * known_to:.2g} N, twice what they "
                    "are known to (plus_minus): measure again, and look which of a pair is mm/s"
                )
                yield PartError(own.end, "damper_points", found, expected)
                return
