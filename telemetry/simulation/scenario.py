"""A scenario file, read and checked: the trail, and a simulated bike for every setup."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from telemetry.errors import Problem, RideDayError, clean_text
from telemetry.mechanics.air_spring import AirSpring
from telemetry.mechanics.coil_spring import AirGap, CoilSpring
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.gas import ATMOSPHERE_PA
from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.mechanics.stops import BumpStop, TopOut
from telemetry.model.day import LeverageTable
from telemetry.model.finding import End

from . import scenario_tables as t
from .bike import Gas, SimulatedBike, Suspension, sine_of
from .half_car import Frame, RiderBody, Wheel
from .obstacles import BrakingBumps, Bump, Drop, Jump, Kerb, Obstacle
from .road import GEOMETRIC_MEAN_M3
from .trail import Stretch, Trail

MM, ML, MM2, BAR = 1e-3, 1e-6, 1e-6, 1e5


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
    return RideDayError(path.name, tuple(problems))


def _problems(error: ValidationError, at: str = "", known: tuple[str, ...] = ()) -> list[Problem]:
    found = []
    for item in error.errors(include_url=False):
        key = at
        for part in item["loc"]:
            key += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if key else str(part)
        word = str(item["loc"][-1]) if item["loc"] else ""
        if item["type"] == "extra_forbidden":
            near = difflib.get_close_matches(word, known, n=1) if known else []
            expected = f"a key this table knows; nearest: {near[0]!r}" if near else "a key this table knows"
            found.append(Problem(key=key, found=f"unknown key {word!r}", expected=expected))
        elif item["type"] == "missing":
            found.append(Problem(key=key, found="nothing", expected="a value: the key is required"))
        else:
            expected = str(item["msg"]).removeprefix("Input should be ").lower()
            found.append(Problem(key=key, found=clean_text(str(item["input"]), longest=60), expected=expected))
    return found


def _part(path: Path, base: Mapping[str, Any], setup: Mapping[str, Any], key: str) -> t.PartTable:
    merged = {**base, **setup}
    merged["written"] = {**base.get("written", {}), **setup.get("written", {})}
    try:
        return t.PartTable.model_validate(merged)
    except ValidationError as error:
        raise _fail(path, _problems(error, key, tuple(t.PartTable.model_fields))) from None


def _gas(part: t.PartTable) -> tuple[Gas, ...]:
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
    leverage = None
    if end == "rear":
        if part.leverage is None:
            raise ValueError("no leverage: [[0, 0], [stroke, travel], ...]")
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


def _wheel(part: t.PartTable) -> Wheel:
    return Wheel(mass_kg=part.unsprung_kg, tyre_n_m=part.tyre_n_mm / MM, tyre_n_s_m=part.tyre_n_s_m)


def _setup(path: Path, tables: t.Scenario, name: str) -> SimulatedSetup:
    own, bike, rider = tables.setups[name], tables.bike, tables.rider
    parts = {
        "front": _part(path, bike.front, own.front, f"setups.{name}.front"),
        "rear": _part(path, bike.rear, own.rear, f"setups.{name}.rear"),
    }
    ends = {}
    for end, part in parts.items():
        try:
            ends[end] = _suspension(part, "front" if end == "front" else "rear", bike.head_angle_deg)
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
        head_angle_rad=math.radians(bike.head_angle_deg),
    )
    try:
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


def _obstacle(item: t.ObstacleTable, at_m: float) -> Obstacle:
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


def _unknown(tables: t.Scenario) -> list[Problem]:
    names = tuple(tables.setups)
    found = []
    for number, name in enumerate(tables.day.order, 1):
        if name not in tables.setups:
            expected = f"one of {', '.join(names)}"
            found.append(Problem(key=f"day.order[{number}]", found=f"unknown setup {name!r}", expected=expected))
    for number, item in enumerate(tables.recordings, 1):
        if item.before_run > len(tables.day.order):
            expected = f"a run from 1 to {len(tables.day.order)}"
            found.append(Problem(key=f"recordings[{number}].before_run", found=str(item.before_run), expected=expected))
    return found


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
        known = tuple(key for table in _every_table() for key in table.model_fields)
        raise _fail(path, _problems(error, known=known)) from None
    unknown = _unknown(tables)
    if unknown:
        raise _fail(path, unknown)
    setups = {name: _setup(path, tables, name) for name in tables.setups}
    return ReadScenario(path=path, tables=tables, trail=_trail(path, tables.trail), setups=setups)


def _every_table() -> tuple[type[t.Table], ...]:
    return tuple(item for item in vars(t).values() if isinstance(item, type) and issubclass(item, t.Table))
