"""An end's springs, damper and stops out of its table, and what of the table can't be built."""

from __future__ import annotations

from itertools import pairwise

from telemetry.dynamics.car import Wheel
from telemetry.dynamics.suspension import Gas, Suspension, sine_of
from telemetry.mechanics.air_spring import AirSpring
from telemetry.mechanics.coil_spring import AirGap, CoilSpring
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.mechanics.stops import BumpStop, TopOut
from telemetry.model.day import LeverageTable
from telemetry.model.finding import End

from . import scenario_tables as t

MM, ML, MM2, BAR = 1e-3, 1e-6, 1e-6, 1e5
RATE_HZ = 4000.0
LEAST_RATIO, MOST_RATIO = 0.5, 8.0
"""As a ride day's `ratio`; real ones lie between 2 and 4 (common practice, no source)."""
REACHES = 1e-6
BUILT = "parts that can be built"


class UnfitPartError(ValueError):
    """One key of an end's table doesn't fit: `key`, what was `found`, what is `expected`."""

    def __init__(self, key: str, found: str, expected: str) -> None:
        self.key = key
        self.found = found
        self.expected = expected
        super().__init__(found)


def _require_together(part: t.PartTable, *names: str) -> None:
    given = [name for name in names if getattr(part, name) is not None]
    lacking = [name for name in names if getattr(part, name) is None]
    if given and lacking:
        raise ValueError(f"{', '.join(given)} without {', '.join(lacking)}")


def _each(part: t.PartTable, what: str) -> tuple[float, ...] | None:
    """Return a leg's figure, ml: one for both legs, or the spring side's and the damper side's; None if not stated."""
    each, sides = f"lower_leg_{what}_each_ml", [f"lower_leg_{what}_{side}_side_ml" for side in ("spring", "damper")]
    _require_together(part, *sides)
    own = [getattr(part, side) for side in sides]
    single = getattr(part, each)
    if own[0] is None:
        return None if single is None else (single,)
    if single is not None:
        raise UnfitPartError(sides[0], f"{sides[0]} beside {each}", "one figure for each leg, or one for each side")
    return tuple(own)


def _lower_legs(part: t.PartTable) -> LowerLegs | None:
    volumes, oil = _each(part, "volume"), _each(part, "oil")
    if volumes is None or part.lower_leg_area_mm2 is None:
        told = {"a volume of lower legs": volumes, "lower_leg_area_mm2": part.lower_leg_area_mm2, "oil": oil}
        given = [name for name, value in told.items() if value is not None]
        if given or part.lower_leg_crossover:
            found = f"{' and '.join(given) or 'lower_leg_crossover'} alone"
            raise UnfitPartError("lower_leg_area_mm2", found, "lower legs' volume and area together, or neither")
        return None
    return LowerLegs(
        volume_each_m3=tuple(value * ML for value in volumes),
        oil_each_m3=tuple(value * ML for value in oil or (0.0,)),
        area_each_m2=(part.lower_leg_area_mm2 * MM2,),
        crossover=part.lower_leg_crossover,
    )


def _gas(part: t.PartTable) -> tuple[Gas, ...]:
    _require_together(part, "air_pressure_bar", "air_area_mm2", "air_volume_ml")
    _require_together(part, "negative_area_mm2", "negative_volume_ml")
    _require_together(part, "oil_gap_mm", "oil_gap_area_mm2")
    found: list[Gas] = []
    if part.air_pressure_bar is not None and part.air_area_mm2 is not None and part.air_volume_ml is not None:
        found.append(
            AirSpring(
                area_m2=part.air_area_mm2 * MM2,
                volume_m3=(part.air_volume_ml - part.volume_spacers_ml) * ML,
                pressure_pa=part.air_pressure_bar * BAR + ATMOSPHERE_PA,
                negative_area_m2=(part.negative_area_mm2 or 0.0) * MM2,
                negative_volume_m3=(part.negative_volume_ml or 0.0) * ML,
            )
        )
    legs = _lower_legs(part)
    if legs is not None:
        found.append(legs)
    if part.oil_gap_mm is not None and part.oil_gap_area_mm2 is not None:
        found.append(AirGap(area_m2=part.oil_gap_area_mm2 * MM2, oil_level_m=part.oil_gap_mm * MM))
    return tuple(found)


def _leverage(part: t.PartTable, stroke_mm: float) -> LeverageTable:
    """Return the rear's curve, which has to cover the whole stroke in millimetres.

    Raises
    ------
    UnfitPartError
    """
    if part.leverage is None or part.leverage[0] != [0, 0]:
        found = "no leverage" if part.leverage is None else "a first row [{:g}, {:g}]".format(*part.leverage[0])
        raise UnfitPartError("leverage", found, "rows from [0, 0] on: [[0, 0], [stroke, travel], ...] in mm")
    rows = f"leverage[{len(part.leverage)}]"
    last_mm = part.leverage[-1][0]
    for number, ((stroke, travel), (next_stroke, next_travel)) in enumerate(pairwise(part.leverage), 2):
        if next_stroke <= stroke or next_travel <= travel:
            found = f"[{next_stroke:g}, {next_travel:g}] after [{stroke:g}, {travel:g}]"
            raise UnfitPartError(f"leverage[{number}]", found, "stroke and travel that both increase")
        ratio = (next_travel - travel) / (next_stroke - stroke)
        if not LEAST_RATIO <= ratio <= MOST_RATIO:
            found = f"a ratio of {ratio:.3g} from {stroke:g} to {next_stroke:g} mm of stroke"
            expected = f"{LEAST_RATIO:g} to {MOST_RATIO:g}, wheel travel over shock stroke, both in mm"
            raise UnfitPartError(f"leverage[{number}]", found, expected)
    if last_mm < stroke_mm * (1 - REACHES):
        found = f"a last row at {last_mm:g} mm of stroke"
        raise UnfitPartError(rows, found, f"rows in mm up to stroke_mm, {stroke_mm:g}")
    strokes, travels = (tuple(column) for column in zip(*part.leverage, strict=True))
    return LeverageTable(stroke_mm=strokes, travel_mm=travels, source="leverage")


def _damper(part: t.PartTable) -> Damper:
    return Damper(
        compression=DamperSide(
            slope_below_n_s_m=part.compression_below_n_s_m,
            knee_m_s=part.compression_knee_mm_s * MM,
            slope_above_n_s_m=part.compression_above_n_s_m,
        ),
        rebound=DamperSide(
            slope_below_n_s_m=part.rebound_below_n_s_m,
            knee_m_s=part.rebound_knee_mm_s * MM,
            slope_above_n_s_m=part.rebound_above_n_s_m,
        ),
        viscosity_share=part.viscosity_share,
    )


def suspension_of(part: t.PartTable, end: End, head_angle_deg: float) -> Suspension:
    """Return an end's suspension.

    Raises
    ------
    UnfitPartError, ValueError
        If a part can't be made of its figures.
    """
    key = "travel_mm" if end == "front" else "stroke_mm"
    stroke = getattr(part, key)
    if stroke is None:
        raise UnfitPartError(key, "nothing", f"a value: full travel of the {'fork' if end == 'front' else 'shock'}, mm")
    if part.bumper_touch_mm > stroke:
        found = f"bumper_touch_mm {part.bumper_touch_mm:g} beyond {stroke:g} mm"
        raise UnfitPartError("bumper_touch_mm", found, f"{key} at most: it is felt within the travel")
    leverage = _leverage(part, stroke) if end == "rear" else None
    gas = _gas(part)
    coils: tuple[CoilSpring, ...] = ()
    if part.spring_rate_n_mm is not None:
        coils = (CoilSpring(rate_n_m=part.spring_rate_n_mm / MM, preload_m=part.preload_mm * MM),)
    if not gas and not coils:
        raise ValueError("no spring: air_pressure_bar with air_area_mm2 and air_volume_ml, or spring_rate_n_mm")
    return Suspension(
        gas=gas,
        coils=coils,
        damper=_damper(part),
        friction_n=part.friction_n,
        friction_band_m_s=part.friction_band_mm_s * MM,
        bump=BumpStop(
            touch_m=part.bumper_touch_mm * MM, rate_n_m=part.bumper_n_mm / MM, progression_n_m2=part.bumper_n_mm2 / MM2
        ),
        top=TopOut(length_m=part.top_out_mm * MM, rate_n_m=part.top_out_n_mm / MM),
        stroke_m=stroke * MM,
        vertical=sine_of(head_angle_deg) if end == "front" else 1.0,
        end_share=part.end_share,
        end_factor=part.end_factor,
        leverage=leverage,
    )


def require_slow_enough(part: t.PartTable, least_ratio: float) -> None:
    """Refuse damping that would stop the unsprung mass within a step: what comes of it is no bike's motion.

    Raises
    ------
    ValueError
    """
    compression = max(part.compression_below_n_s_m, part.compression_above_n_s_m) * max(1.0, part.end_factor)
    rebound = max(part.rebound_below_n_s_m, part.rebound_above_n_s_m)
    shaft_n_s_m = part.viscosity_share * max(compression, rebound) + part.friction_n / (part.friction_band_mm_s * MM)
    wheel_n_s_m = shaft_n_s_m / least_ratio**2 + part.tyre_n_s_m
    most_n_s_m = part.unsprung_kg * RATE_HZ
    if wheel_n_s_m > most_n_s_m:
        raise ValueError(
            f"{wheel_n_s_m:.0f} N s/m at the wheel of dampers, friction within its band and tyre, which "
            f"{part.unsprung_kg:g} kg can't follow in steps of {1e3 / RATE_HZ:g} ms: {most_n_s_m:.0f} at most"
        )


def wheel_of(part: t.PartTable) -> Wheel:
    """Return an end's wheel on its tyre."""
    return Wheel(mass_kg=part.unsprung_kg, tyre_n_m=part.tyre_n_mm / MM, tyre_n_s_m=part.tyre_n_s_m)
