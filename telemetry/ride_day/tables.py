"""The tables of ``ride_day.toml`` as they are written: every key, its type and its range.

What is held as it is written is stated by the model's data types alone (`like`); here stands what is written otherwise.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import Discriminator, Field, Tag

from telemetry import toml_tables
from telemetry.model import day as m
from telemetry.model import sensor
from telemetry.model.plan_settings import PlanSettings
from telemetry.model.ranges import LENGTH_MM, Range
from telemetry.model.setup_keys import IN_GEOMETRY, OF_BIKE, OF_ENDS, SPECS, SettingSpec
from telemetry.model.wish import EndWish
from telemetry.toml_tables import Column, fitting, like, with_keys, within

from .value_kinds import Clicks, Equals, Finite, Pairs, Plain, Point, RunsEach, Table, TyreInsert
from .widths import with_widths


@with_widths
@like(m.RideDay, only=("date", "trail", "trail_state", "rider", "rider_mass_kg", "air_temperature_c", "altitude_m"))
class RideDayTable(Table):
    """``[ride_day]``."""

    title: str | None = None


class AdjusterTable(Table):
    """``{ clicks_from_closed = 8, of = 16 }``."""

    clicks_from_closed: Clicks | None = None
    turns_from_closed: Clicks | None = None
    of: Annotated[float, within(Range(0.25, 100, "in all"))] | None = None


MOST_LINKAGE_POINTS = 20
"""Of a table or a body; real linkages have 3 to 12 in all, and solving takes time with their third power."""
_MANY = Field(max_length=MOST_LINKAGE_POINTS)


class ScaleTable(Table):
    """``scale = { points = ["main", "axle"], mm = 446 }``: a known distance in a photograph."""

    points: list[str]
    mm: Annotated[float, within(LENGTH_MM)]
    plus_minus_mm: Annotated[float, within(Range(0, 50, "mm"))] | None = None


Scales: TypeAlias = Annotated[
    Annotated[ScaleTable, Tag("one")]
    | Annotated[list[ScaleTable], Field(max_length=12), fitting(bool, "at least 1 known distance"), Tag("several")],
    Discriminator(lambda value: "several" if isinstance(value, list) else "one"),
]


class LinkageTable(Table):
    """``[bike.rear.linkage]``."""

    fixed: Annotated[dict[str, Point], _MANY]
    moving: Annotated[dict[str, Point], _MANY]
    bodies: Annotated[dict[str, Annotated[list[str], _MANY]], _MANY]
    shock: list[str]
    axle: str
    plus_minus_mm: Annotated[float, within(Range(0, 20, "mm"))] | None = None
    photo: str | None = None
    scale: Scales | None = None
    plus_minus_px: Annotated[float, within(Range(0.05, 50, "pixels"))] | None = None
    level: list[str] | None = None
    faces: Literal["left", "right"] | None = None


def _each_speed_once(value: object) -> bool:
    if not isinstance(value, list) or not 2 <= len(value) <= MOST_POINTS:
        return False
    pairs = [item for item in value if isinstance(item, list) and len(item) == 2]  # each pair tells of itself
    speeds = [speed for speed, _ in pairs if isinstance(speed, int | float)]
    return len(set(speeds)) == len(speeds)


MOST_POINTS = 200
"""Of a damper's measured forces; own choice."""
ForcePair: TypeAlias = Annotated[
    list[Finite], fitting(lambda value: isinstance(value, list) and len(value) == 2, "two numbers in brackets: mm/s, N")
]
ForcePairs: TypeAlias = Annotated[
    list[ForcePair],
    fitting(_each_speed_once, f"2 to {MOST_POINTS} pairs [mm/s at the shaft, N], each speed once"),
]

_HELD: Mapping[str, Any] = {
    "text": str,
    "file": str,
    "true or false": bool,
    "true, false or text": TyreInsert,
    "date": dt.date,
    "position": AdjusterTable,
    "linkage": LinkageTable,
    "points": ForcePairs,
}


def _settings(specs: Iterable[tuple[str, SettingSpec]]) -> dict[str, Any]:
    """Return optional keys of a table, each holding what its setting does."""
    kinds = {
        key: Annotated[float, within(spec.holds)] if isinstance(spec.holds, Range) else _HELD[spec.holds]
        for key, spec in specs
    }
    return {key: (kind | None, None) for key, kind in kinds.items()}


@with_widths
@with_keys(_settings((spec.key, spec) for spec in OF_ENDS))
class EndTable(Table):
    """``[bike.front]``, ``[setups.X.rear]`` ...: what one end may hold; `scale` belongs to its linkage."""

    scale: Scales | None = None


@with_widths
@with_keys(_settings((key, SPECS[states]) for key, (_, states) in IN_GEOMETRY.items()))
class GeometryTable(Table):
    """``[bike.geometry]``; what no setup changes stands here alone."""

    chainstay_mm: Annotated[float, within(LENGTH_MM)] | None = None
    reach_mm: Annotated[float, within(LENGTH_MM)] | None = None
    stack_mm: Annotated[float, within(LENGTH_MM)] | None = None
    head_tube_mm: Annotated[float, within(LENGTH_MM)] | None = None


@with_widths
@with_keys(_settings((spec.key, spec) for spec in OF_BIKE))
@like(m.Bike, without=("geometry", "geometry_plus_minus"))
class BikeTable(Table):
    """``[bike]``."""

    front: EndTable = EndTable()
    rear: EndTable = EndTable()
    geometry: GeometryTable = GeometryTable()


@like(m.TimeColumn)
class TimeTable(Table):
    """``time = { column = "t_ms", unit = "ms" }``."""


@like(m.LongRows)
class LongTable(Table):
    """``long = { sensor = "name", value = "mm" }``."""


@like(m.LogOptions)
class LogPartTable(Table):
    """``[log.front]``, ``[log.rear]``."""

    time: TimeTable | None = None
    long: LongTable | None = None
    decimal: Literal[".", ","] | None = None


class LogTable(LogPartTable):
    """``[log]``."""

    same_clock: bool | None = None
    front: LogPartTable | None = None
    rear: LogPartTable | None = None


@like(sensor.DisplacementSensor, without=("name",))
class DisplacementTable(Table):
    """A sensor of kind ``displacement``."""

    points: Pairs
    measures: Literal["stroke", "travel"] | None = None
    counts_range: Point | None = None


@like(sensor.InertialSensor, without=("name",))
class InertialTable(Table):
    """A sensor of kind ``inertial``."""

    columns: dict[Literal["ax", "ay", "az", "gx", "gy", "gz"], Column]


@like(sensor.GroundSpeedSensor, without=("name",))
class GroundSpeedTable(Table):
    """A sensor of kind ``ground_speed``."""


@like(sensor.WheelPulseSensor, without=("name",))
class WheelPulsesTable(Table):
    """A sensor of kind ``wheel_pulses``."""


@like(sensor.DistanceSensor, without=("name",))
class DistanceTable(Table):
    """A sensor of kind ``distance``."""

    unit: Literal["m"] = "m"


@like(sensor.PositionFixSensor, without=("name",))
class PositionFixTable(Table):
    """A sensor of kind ``position_fix``."""


@like(sensor.MarkerSensor, without=("name",))
class MarkerTable(Table):
    """A sensor of kind ``marker``."""

    equals: Equals


SENSORS: Mapping[str, tuple[type[Table], type]] = {
    "displacement": (DisplacementTable, sensor.DisplacementSensor),
    "inertial": (InertialTable, sensor.InertialSensor),
    "ground_speed": (GroundSpeedTable, sensor.GroundSpeedSensor),
    "wheel_pulses": (WheelPulsesTable, sensor.WheelPulseSensor),
    "distance": (DistanceTable, sensor.DistanceSensor),
    "position_fix": (PositionFixTable, sensor.PositionFixSensor),
    "marker": (MarkerTable, sensor.MarkerSensor),
}
"""Each kind's table, and what it says."""


@with_widths
@with_keys(_settings((spec.key, spec) for spec in OF_BIKE))
class SetupBikeTable(Table):
    """``[setups.X.bike]``."""


class SetupTable(Table):
    """``[setups.X]``."""

    label: str | None = None
    based_on: str | None = None
    front: EndTable = EndTable()
    rear: EndTable = EndTable()
    bike: SetupBikeTable = SetupBikeTable()
    sensors: dict[str, dict[str, Any]] = Field(default_factory=dict)
    other: dict[str, Plain] = Field(default_factory=dict)


class TwoLogsTable(Table):
    """``log = { front = "f_3.csv", rear = "r_3.csv" }``."""

    front: str
    rear: str


def _log_form(value: object) -> str:
    return "two" if isinstance(value, dict) else "one"


@like(m.RunEntry, without=("rear_log",))
class RunTable(Table):
    """``[[runs]]``."""

    log: Annotated[Annotated[str, Tag("one")] | Annotated[TwoLogsTable, Tag("two")], Discriminator(_log_form)]
    setup: str
    name: str | None = None
    started_at: dt.datetime | None = None
    same_clock: bool | None = None
    order: Annotated[int, within(Range(1, 10_000, whole=True))] | None = None
    sensors: dict[str, dict[str, Any]] = Field(default_factory=dict)


@like(m.StaticEntry, without=("sensors", "before_order"))
class StaticTable(Table):
    """``[[static]]``."""

    log: str
    setup: str | None = None
    before_run: str | None = None
    end: Literal["front", "rear"] | None = None
    settled_from: Literal["compressed", "extended"] | None = Field(default=None, alias="from")


@like(m.Mark, without=("marker",))
class MarkTable(Table):
    """``[[marks]]``."""


@like(m.TrailStretch)
class StretchTable(Table):
    """``[[stretches]]``."""


@like(m.ComparisonSettings, without=("kept_in", "kept_days"))
class ComparisonTable(Table):
    """``[comparison]``."""

    baseline: str | None = None
    candidate: str | None = None
    candidates: list[str] | None = None
    focus: list[str] = Field(default_factory=list)
    smallest_change: dict[str, Any] = Field(default_factory=dict)
    named_at: dt.datetime | None = None
    planned_runs: RunsEach | list[RunsEach] | None = None
    planned_looks: Any = None
    spread_from: list[str] | None = None


@like(PlanSettings)
class PlanTable(Table):
    """``[plan]``."""

    spread: dict[str, Finite] = Field(default_factory=dict)
    spread_from: str | None = None


@like(EndWish)
class EndWishTable(Table):
    """``[wish.front]``, ``[wish.rear]``."""


class WishTable(Table):
    """``[wish]``: a row, or several; how ends are to sit."""

    less: str | list[str] = Field(default_factory=list)
    more: str | list[str] = Field(default_factory=list)
    keep: str | list[str] = Field(default_factory=list)
    front: EndWishTable = EndWishTable()
    rear: EndWishTable = EndWishTable()


@like(m.RideDay, only=("hard_bottom_out_mm_s",))
class MeasuresTable(Table):
    """``[measures]``."""


@like(m.RideDay, only=("cutoff_hz",))
class ConditioningTable(Table):
    """``[conditioning]``."""


class ShopTable(Table):
    """``[shop]``."""

    name: str = ""
    contact: str = ""
    logo: str = ""
    language: str = ""


class CustomerTable(Table):
    """``[customer]``."""

    name: str = ""
    bike: str = ""


class Document(Table):
    """The whole file."""

    ride_day: RideDayTable
    bike: BikeTable = BikeTable()
    log: LogTable = LogTable()
    sensors: dict[str, dict[str, Any]] = Field(default_factory=dict)
    setups: dict[str, SetupTable] = Field(default_factory=dict)
    runs: list[RunTable] = Field(default_factory=list)
    static: list[StaticTable] = Field(default_factory=list)
    marks: list[MarkTable] = Field(default_factory=list)
    stretches: list[StretchTable] = Field(default_factory=list)
    comparison: ComparisonTable = ComparisonTable()
    plan: PlanTable | None = None
    wish: WishTable | None = None
    measures: MeasuresTable = MeasuresTable()
    conditioning: ConditioningTable = ConditioningTable()
    shop: ShopTable = ShopTable()
    customer: CustomerTable = CustomerTable()


def keys_of(table: type[toml_tables.Table]) -> frozenset[str]:
    """Return the keys one table knows, in their metric spelling."""
    return frozenset(field.alias or name for name, field in table.model_fields.items())


@cache
def known_keys(table: type[Table] = Table) -> frozenset[str]:
    """Return every key that a table, or one derived from it, knows, in its metric spelling: of all tables, else."""
    return keys_of(table).union(*map(known_keys, table.__subclasses__()))
