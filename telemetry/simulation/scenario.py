"""A scenario file, read and checked: the trail, and a simulated bike for every setup."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from telemetry.errors import Problem, RideDayError, clean_text
from telemetry.mechanics.air_spring import AirSpring
from telemetry.mechanics.coil_spring import AirGap, CoilSpring
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.mechanics.stops import BumpStop, TopOut
from telemetry.model.day import LeverageTable
from telemetry.model.finding import ENDS, End

from . import scenario_tables as t
from .bike import SLOW_EXPONENT, Gas, SimulatedBike, Suspension, sine_of
from .half_car import Frame, RiderBody, Wheel
from .obstacles import BrakingBumps, Bump, Drop, Jump, Kerb, Obstacle
from .road import GEOMETRIC_MEAN_M3
from .scenario_problems import table_problems, unfit_tables
from .trail import Stretch, Trail

MM, ML, MM2, BAR = 1e-3, 1e-6, 1e-6, 1e5
RATE_HZ = 4000.0
DEEPEST_SAG = 0.65
"""Own choice: the three pushes go 30 % of full travel deeper."""
KEYS_BY_KIND = {
    "bump": ("length_mm",),
    "kerb": ("length_mm",),
    "drop": ("length_mm",),
    "braking_bumps": ("wavelength_m", "count"),
    "jump": ("ramp_m", "gap_m", "landing_m"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedSetup:
    """One setup: the bike it makes, and its ends as they are written down."""

    name: str
    label: str
    bike: SimulatedBike
    front: t.PartTable
    rear: t.PartTable


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadScenario:
    """A scenario with everything resolved."""

    path: Path
    tables: t.Scenario
    trail: Trail
    setups: Mapping[str, SimulatedSetup]


def _fail(path: Path, problems: list[Problem]) -> RideDayError:
    return RideDayError(path.name, tuple(problems), "mend this one first")


def _part(path: Path, tables: t.Scenario, name: str, end: End) -> t.PartTable:
    base, own = getattr(tables.bike, end), getattr(tables.setups[name], end)
    merged = {**base, **own}
    written = [table.get("written", {}) for table in (base, own)]
    if all(isinstance(table, dict) for table in written):
        merged["written"] = {**written[0], **written[1]}
    try:
        return t.PartTable.model_validate(merged)
    except ValidationError as error:
        first = str(error.errors()[0]["loc"][0])
        at = f"setups.{name}.{end}" if first in own else f"bike.{end}"
        raise _fail(path, table_problems(error, t.PartTable, at)) from None


def _require_together(part: t.PartTable, *names: str) -> None:
    given = [name for name in names if getattr(part, name) is not None]
    lacking = [name for name in names if getattr(part, name) is None]
    if given and lacking:
        raise ValueError(f"{', '.join(given)} without {', '.join(lacking)}")


def _gas(part: t.PartTable) -> tuple[Gas, ...]:
    _require_together(part, "air_pressure_bar", "air_area_mm2", "air_volume_ml")
    _require_together(part, "negative_area_mm2", "negative_volume_ml")
    _require_together(part, "lower_leg_volume_each_ml", "lower_leg_area_mm2")
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
    if part.lower_leg_volume_each_ml is not None and part.lower_leg_area_mm2 is not None:
        found.append(
            LowerLegs(
                volume_each_m3=(part.lower_leg_volume_each_ml * ML,),
                oil_each_m3=(part.lower_leg_oil_each_ml * ML,),
                area_each_m2=(part.lower_leg_area_mm2 * MM2,),
                crossover=part.lower_leg_crossover,
            )
        )
    if part.oil_gap_mm is not None and part.oil_gap_area_mm2 is not None:
        found.append(AirGap(area_m2=part.oil_gap_area_mm2 * MM2, oil_level_m=part.oil_gap_mm * MM))
    return tuple(found)


def _suspension(part: t.PartTable, end: End, head_angle_deg: float) -> Suspension:
    """Return an end's suspension.

    Raises
    ------
    ValueError
        If a part can't be made of its figures.
    """
    stroke = part.travel_mm if end == "front" else part.stroke_mm
    if stroke is None:
        raise ValueError("no full travel: travel_mm at the front, stroke_mm at the rear")
    if part.bumper_touch_mm > stroke:
        raise ValueError(f"bumper_touch_mm {part.bumper_touch_mm:g} beyond {stroke:g} mm")
    leverage = None
    if end == "rear":
        if part.leverage is None or part.leverage[0] != [0, 0]:
            raise ValueError("no leverage that begins at [0, 0]: [[0, 0], [stroke, travel], ...]")
        strokes, travels = (tuple(column) for column in zip(*part.leverage, strict=True))
        leverage = LeverageTable(stroke_mm=strokes, travel_mm=travels, source="leverage")
    gas = _gas(part)
    coils: tuple[CoilSpring, ...] = ()
    if part.spring_rate_n_mm is not None:
        coils = (CoilSpring(rate_n_m=part.spring_rate_n_mm / MM, preload_m=part.preload_mm * MM),)
    if not gas and not coils:
        raise ValueError("no spring: air_pressure_bar with air_area_mm2 and air_volume_ml, or spring_rate_n_mm")
    return Suspension(
        gas=gas,
        coils=coils,
        damper=Damper(
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
        ),
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


def _require_slow_enough(part: t.PartTable, least_ratio: float) -> None:
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


def _require_carried(bike: SimulatedBike) -> None:
    """Refuse a bike that sinks so far under its rider that it can't be pushed or ridden.

    Raises
    ------
    ValueError
    """
    for end, suspension, sag_m in zip(ENDS, (bike.front, bike.rear), bike.sag_m(), strict=True):
        share = sag_m / suspension.full_travel_m
        if share > DEEPEST_SAG:
            raise ValueError(f"the {end} at {100 * share:.0f} % of its travel at rest, {100 * DEEPEST_SAG:g} at most")


def _wheel(part: t.PartTable) -> Wheel:
    return Wheel(mass_kg=part.unsprung_kg, tyre_n_m=part.tyre_n_mm / MM, tyre_n_s_m=part.tyre_n_s_m)


def _setup(path: Path, tables: t.Scenario, name: str) -> SimulatedSetup:
    own, bike, rider = tables.setups[name], tables.bike, tables.rider
    parts = {
        "front": _part(path, tables, name, "front"),
        "rear": _part(path, tables, name, "rear"),
    }
    ends = {}
    for end, part in parts.items():
        try:
            ends[end] = _suspension(part, "front" if end == "front" else "rear", bike.head_angle_deg)
            _require_slow_enough(part, float(ends[end].tables(SLOW_EXPONENT).ratio.min()))
        except ValueError as error:
            problem = Problem(key=f"setups.{name}.{end}", found=str(error), expected="parts that can be built")
            raise _fail(path, [problem]) from None
    made = SimulatedBike(
        frame=Frame(
            mass_kg=bike.frame_kg,
            pitch_inertia_kg_m2=bike.pitch_inertia_kg_m2,
            front_ahead_m=bike.front_ahead_mm * MM,
            rear_behind_m=bike.rear_behind_mm * MM,
        ),
        rider=RiderBody(
            mass_kg=rider.moving_kg,
            legs_share=rider.legs_share,
            legs_n_m=rider.legs_n_m,
            legs_n_s_m=rider.legs_n_s_m,
            arms_n_m=rider.arms_n_m,
            arms_n_s_m=rider.arms_n_s_m,
            pedals_ahead_m=rider.pedals_ahead_mm * MM,
            hands_ahead_m=rider.hands_ahead_mm * MM,
        ),
        front_wheel=_wheel(parts["front"]),
        rear_wheel=_wheel(parts["rear"]),
        front=ends["front"],
        rear=ends["rear"],
        ride_exponent=bike.ride_exponent,
        wheel_radius_m=(parts["front"].wheel_radius_mm * MM, parts["rear"].wheel_radius_mm * MM),
    )
    try:
        _require_carried(made)
        made.riding()
    except ValueError as error:
        problem = Problem(key=f"setups.{name}", found=str(error), expected="a bike that carries its rider")
        raise _fail(path, [problem]) from None
    return SimulatedSetup(name=name, label=own.label or name, bike=made, front=parts["front"], rear=parts["rear"])


def _obstacles(stretch: t.StretchTable) -> tuple[Obstacle, ...]:
    found: list[Obstacle] = []
    for item in stretch.obstacles:
        if item.times > 1 and item.every_m is None:
            raise ValueError(f"times = {item.times} without every_m")
        found.extend(_obstacle(item, item.at_m + time * (item.every_m or 0.0)) for time in range(item.times))
    return tuple(found)


def _needed(value: float | None, name: str, kind: str) -> float:
    if value is None:
        raise ValueError(f"a {kind} without {name}")
    return value


def _refuse_keys_of_others(item: t.ObstacleTable) -> None:
    own = KEYS_BY_KIND[item.kind]
    others = {key for keys in KEYS_BY_KIND.values() for key in keys} - set(own)
    given = sorted(key for key in others if getattr(item, key) is not None)
    if given:
        raise ValueError(f"a {item.kind} with {', '.join(given)}; its keys are {', '.join(own)}")


def _obstacle(item: t.ObstacleTable, at_m: float) -> Obstacle:
    _refuse_keys_of_others(item)
    height = item.height_mm * MM
    if item.kind == "bump":
        return Bump(at_m=at_m, height_m=height, length_m=_needed(item.length_mm, "length_mm", item.kind) * MM)
    if item.kind == "kerb":
        return Kerb(at_m=at_m, height_m=height, bevel_m=(item.length_mm or 20.0) * MM)
    if item.kind == "drop":
        return Drop(at_m=at_m, height_m=height, face_m=(item.length_mm or 50.0) * MM)
    if item.kind == "braking_bumps":
        return BrakingBumps(
            at_m=at_m,
            height_m=height,
            wavelength_m=_needed(item.wavelength_m, "wavelength_m", item.kind),
            count=int(_needed(item.count, "count", item.kind)),
        )
    return Jump(
        at_m=at_m,
        lip_m=height,
        ramp_m=_needed(item.ramp_m, "ramp_m", item.kind),
        gap_m=_needed(item.gap_m, "gap_m", item.kind),
        landing_m=_needed(item.landing_m, "landing_m", item.kind),
    )


def _trail(path: Path, table: t.TrailTable) -> Trail:
    stretches = []
    for number, item in enumerate(table.stretches, 1):
        try:
            stretches.append(
                Stretch(
                    length_m=item.length_m,
                    level_m3=GEOMETRIC_MEAN_M3[item.road_class],
                    waviness=item.waviness,
                    speed_m_s=item.speed_m_s,
                    obstacles=_obstacles(item),
                )
            )
        except ValueError as error:
            key = f"trail.stretches[{number}].obstacles"
            raise _fail(path, [Problem(key=key, found=str(error), expected="obstacles within their stretch")]) from None
    return Trail(stretches=tuple(stretches), seed=table.seed)


def read_scenario(path: Path) -> ReadScenario:
    """Read a scenario file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    ReadScenario

    Raises
    ------
    RideDayError
        With everything found wrong: an unknown key, a wrong type, a number out of its range, a part that can't be
        built, a trail on which an obstacle finds no room.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise _fail(path, [Problem(key="file", found="no such file", expected="a scenario in TOML")]) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise _fail(path, [Problem(key="file", found=clean_text(str(error)), expected="readable TOML")]) from None
    try:
        tables = t.Scenario.model_validate(data)
    except ValidationError as error:
        raise _fail(path, table_problems(error)) from None
    unfit = unfit_tables(tables)
    if unfit:
        raise _fail(path, unfit)
    trail = _trail(path, tables.trail)
    setups = {name: _setup(path, tables, name) for name in tables.setups}
    return ReadScenario(path=path, tables=tables, trail=trail, setups=setups)
