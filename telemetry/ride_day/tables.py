"""The tables of ``ride_day.toml`` as they are written: every key, its type and its range."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from functools import cache
from typing import Annotated, Any, Literal, TypeAlias, TypeVar

from pydantic import Discriminator, Field, Tag, create_model

from telemetry.model.ranges import Range
from telemetry.model.setup_keys import IN_GEOMETRY, OF_BIKE, OF_ENDS, SPECS, SettingSpec

from . import ranges as r
from .values import Column, Equals, Plain, Point, Table, TyreInsert


class RideDayTable(Table):
    """``[ride_day]``."""

    title: str | None = None
    date: dt.date
    trail: str = ""
    trail_state: str = ""
    rider: str = ""
    rider_mass_kg: r.RiderKg | None = None
    air_temperature_c: r.TemperatureC | None = None
    altitude_m: r.AltitudeM | None = None


class AdjusterTable(Table):
    """``{ clicks_from_closed = 8, of = 16 }``."""

    clicks_from_closed: r.Clicks | None = None
    turns_from_closed: r.Clicks | None = None
    of: r.Clicks | None = None


MOST_LINKAGE_POINTS = 20
"""Of a table or a body; real linkages have 3 to 12 in all, and solving takes time with their third power."""
_MANY = Field(max_length=MOST_LINKAGE_POINTS)


class LinkageTable(Table):
    """``[bike.rear.linkage]``."""

    fixed: Annotated[dict[str, Point], _MANY]
    moving: Annotated[dict[str, Point], _MANY]
    bodies: Annotated[dict[str, Annotated[list[str], _MANY]], _MANY]
    shock: list[str]
    axle: str
    plus_minus_mm: r.PlusMinusMm | None = None


_HELD: Mapping[str, Any] = {
    "text": str,
    "file": str,
    "true or false": bool,
    "true, false or text": TyreInsert,
    "date": dt.date,
    "position": AdjusterTable,
    "linkage": LinkageTable,
}
_AnyTable = TypeVar("_AnyTable", bound=Table)


def _held(spec: SettingSpec) -> Any:
    """Return the type of what a setup's key holds."""
    return Annotated[float, r.within(spec.holds)] if isinstance(spec.holds, Range) else _HELD[spec.holds]


def _with_keys(specs: Mapping[str, SettingSpec]) -> Callable[[type[_AnyTable]], type[_AnyTable]]:
    """Give a table optional keys, each holding what its setting does."""
    fields: dict[str, Any] = {key: (_held(spec) | None, None) for key, spec in specs.items()}

    def extended(table: type[_AnyTable]) -> type[_AnyTable]:
        return create_model(table.__name__, __base__=table, __doc__=table.__doc__, **fields)

    return extended


@_with_keys({spec.key: spec for spec in OF_ENDS})
class EndTable(Table):
    """``[bike.front]``, ``[setups.X.rear]`` ...: what one end may hold."""


@_with_keys({key: SPECS[states] for key, (_, states) in IN_GEOMETRY.items()})
class GeometryTable(Table):
    """``[bike.geometry]``; a chainstay's length is checked and not used."""

    chainstay_mm: r.LengthMm | None = None


class BikeTable(Table):
    """``[bike]``."""

    name: str = ""
    wheelbase_mm: r.LengthMm | None = None
    head_angle_deg: r.AngleDeg | None = None
    mass_kg: r.MassKg | None = None
    front: EndTable = EndTable()
    rear: EndTable = EndTable()
    geometry: GeometryTable = GeometryTable()


class TimeTable(Table):
    """``time = { column = "t_ms", unit = "ms" }``."""

    column: Column
    unit: Literal["s", "ms", "us", "ns", "min", "days", "date_time"] | None = None


class LogPartTable(Table):
    """``[log.front]``, ``[log.rear]``."""

    time: TimeTable | None = None
    rate_hz: r.RateHz | None = None
    delimiter: str | None = None
    decimal: Literal[".", ","] | None = None
    thousands: str | None = None
    encoding: str | None = None
    header_row: r.HeaderRow | None = None
    comment: str | None = None
    day_first: bool | None = None
    hex_counts: bool | None = None


class LogTable(LogPartTable):
    """``[log]``."""

    front: LogPartTable | None = None
    rear: LogPartTable | None = None


class DisplacementTable(Table):
    """A sensor of kind ``displacement``."""

    kind: Literal["displacement"]
    end: Literal["front", "rear"]
    column: Column
    points: list[Point]
    measures: Literal["stroke", "travel"] | None = None
    calibration: Literal["line", "curve"] = "line"
    counts_range: Point | None = None


class InertialTable(Table):
    """A sensor of kind ``inertial``."""

    kind: Literal["inertial"]
    end: Literal["front", "rear"]
    on: Literal["chassis", "wheel"] = "chassis"
    columns: dict[Literal["ax", "ay", "az", "gx", "gy", "gz"], Column]
    acceleration_unit: Literal["g", "m/s2"]
    rotation_unit: Literal["deg/s", "rad/s"] | None = None


class GroundSpeedTable(Table):
    """A sensor of kind ``ground_speed``."""

    kind: Literal["ground_speed"]
    column: Column
    unit: Literal["m/s", "km/h"]


class WheelPulsesTable(Table):
    """A sensor of kind ``wheel_pulses``."""

    kind: Literal["wheel_pulses"]
    column: Column
    pulses_per_turn: r.Pulses
    wheel_circumference_mm: r.CircumferenceMm


class DistanceTable(Table):
    """A sensor of kind ``distance``."""

    kind: Literal["distance"]
    column: Column
    unit: Literal["m"] = "m"


class PositionFixTable(Table):
    """A sensor of kind ``position_fix``."""

    kind: Literal["position_fix"]
    lat: Column
    lon: Column


class MarkerTable(Table):
    """A sensor of kind ``marker``."""

    kind: Literal["marker"]
    column: Column
    equals: Equals


SensorTable: TypeAlias = Annotated[
    DisplacementTable
    | InertialTable
    | GroundSpeedTable
    | WheelPulsesTable
    | DistanceTable
    | PositionFixTable
    | MarkerTable,
    Field(discriminator="kind"),
]


@_with_keys({spec.key: spec for spec in OF_BIKE})
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


class RunTable(Table):
    """``[[runs]]``."""

    log: Annotated[Annotated[str, Tag("one")] | Annotated[TwoLogsTable, Tag("two")], Discriminator(_log_form)]
    setup: str
    name: str | None = None
    started_at: dt.datetime | None = None
    order: r.Order | None = None
    start_s: r.Seconds | None = None
    end_s: r.Seconds | None = None
    note: str = ""
    air_temperature_c: r.TemperatureC | None = None
    pressure_after_front_bar: r.PressureBar | None = None
    pressure_after_rear_bar: r.PressureBar | None = None
    lever_front: str | None = None
    lever_rear: str | None = None
    rider: str | None = None
    date: dt.date | None = None
    trail_state: str | None = None
    sensors: dict[str, dict[str, Any]] = Field(default_factory=dict)
    leave_out: str | None = None


class StaticTable(Table):
    """``[[static]]``."""

    log: str
    kind: Literal["lifted", "sag", "settle", "bounce", "still"]
    setup: str | None = None
    before_run: str | None = None
    load: Literal["standing", "seated", "bike_alone"] | None = None
    settled_from: Literal["compressed", "extended"] | None = Field(default=None, alias="from")
    pulled: bool = False


class MarkTable(Table):
    """``[[marks]]``."""

    run: str
    at_s: r.Seconds
    name: str


class ComparisonTable(Table):
    """``[comparison]``."""

    baseline: str | None = None
    candidate: str | None = None
    candidates: list[str] | None = None
    focus: list[str] = Field(default_factory=list)
    smallest_change: dict[str, Any] = Field(default_factory=dict)
    named_at: dt.datetime | None = None
    planned_runs: r.RunsEach | list[r.RunsEach] | None = None
    planned_looks: Any = None
    spread_from: list[str] | None = None
    align: Literal["riding_time", "travel"] = "riding_time"


class PlanTable(Table):
    """``[plan]``."""

    spread: dict[str, r.Finite] = Field(default_factory=dict)
    spread_from: str | None = None
    run_min: r.Minutes | None = None
    return_min: r.Minutes | None = None
    change_over_min: r.Minutes | None = None
    day_min: r.DayMinutes | None = None
    can_be_undone: bool = True


class MeasuresTable(Table):
    """``[measures]``."""

    hard_bottom_out_mm_s: r.SpeedMmS = 600.0


class ConditioningTable(Table):
    """``[conditioning]``."""

    cutoff_hz: r.CutoffHz = 60.0


class ShopTable(Table):
    """``[shop]``."""

    name: str = ""
    contact: str = ""


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
    comparison: ComparisonTable = ComparisonTable()
    plan: PlanTable | None = None
    measures: MeasuresTable = MeasuresTable()
    conditioning: ConditioningTable = ConditioningTable()
    shop: ShopTable = ShopTable()
    customer: CustomerTable = CustomerTable()


def keys_of(table: type[Table]) -> frozenset[str]:
    """Return the keys one table knows, in their metric spelling."""
    return frozenset(field.alias or name for name, field in table.model_fields.items())


@cache
def known_keys(table: type[Table] = Table) -> frozenset[str]:
    """Return every key that a table, or one derived from it, knows, in its metric spelling: of all tables, else."""
    return keys_of(table).union(*map(known_keys, table.__subclasses__()))
