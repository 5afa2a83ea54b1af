"""A ride day as it was written down: bike, setups, runs and recordings off the trail."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from types import MappingProxyType
from typing import Literal, TypeAlias

from telemetry.sheet import Sheet, Shown, table

from . import ranges as r
from .finding import ENDS, End
from .linkage import Linkage
from .picture import Picture
from .plan_settings import PlanSettings
from .sensor import ColumnName, DisplacementSensor, InertialSensor, Sensor
from .setting import Setting, SettingValue
from .wish import Wish


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeColumn:
    """Where a log's clock stands; ``unit`` None means: find it out."""

    column: ColumnName
    unit: Literal["s", "ms", "us", "ns", "min", "days", "date_time"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LongRows:
    """The columns of a log that writes one reading a row: which sensor's it is, and the reading."""

    sensor: ColumnName
    value: ColumnName


@dataclass(frozen=True, slots=True, kw_only=True)
class LogOptions:
    """What is pinned about a log's form; None means: find it out from the file."""

    time: TimeColumn | None = None
    long: LongRows | None = None
    rate_hz: r.RateHz | None = None
    delimiter: str | None = None
    decimal: str | None = None
    thousands: str | None = None
    encoding: str | None = None
    header_row: r.HeaderRow | None = None  # counted from 1; 0: the log has none
    comment: str | None = None
    day_first: bool | None = None
    hex_counts: bool | None = None


SetupPlace: TypeAlias = Literal["front", "rear", "bike"]
SAME_TRAVEL_MM = 0.05
"""By so much full travel may differ and still count as the same. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverageTable:
    """Wheel travel against shock stroke, mm; both start at 0 and increase. A constant ratio is two points."""

    stroke_mm: tuple[float, ...]
    travel_mm: tuple[float, ...]
    source: str  # "leverage.csv", "ratio = 2.64", "linkage"


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSetup:
    """One end of the bike under one setup, everything inherited already resolved.

    Attributes
    ----------
    full_travel_mm : float or None
        None where it isn't stated; then the end can't be measured.
    full_travel_from : str
        ``"measured_travel_mm"``, ``"travel_mm"``, ``"leverage"``, ``"ratio"``, ``"linkage"`` or ``""``.
    bumper_touch_mm : float or None
        Where the bumper is first felt, in wheel travel.
    leverage : LeverageTable or None
        At the rear only.
    linkage : Linkage or None
        What the curve was worked out from, where it was, with the shock that is fitted.
    settings : mapping of key to Setting
        Every key in force, the bike's own included.
    """

    end: End
    full_travel_mm: float | None
    full_travel_from: str
    stroke_mm: float | None = None
    bumper_touch_mm: float | None = None
    leverage: LeverageTable | None = None
    linkage: Linkage | None = None
    settings: Mapping[str, Setting] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def is_stated(self) -> bool:
        """Whether full travel is what the maker states, neither measured nor by a curve."""
        return self.full_travel_from == "travel_mm"

    def value(self, key: str) -> SettingValue | None:
        """Return a setting in its metric unit, or None where it isn't stated."""
        setting = self.settings.get(key)
        return None if setting is None else setting.value

    def number(self, key: str) -> float | None:
        """Return a numeric setting in its metric unit, or None where it isn't stated."""
        value = self.value(key)
        return float(value) if isinstance(value, int | float) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """A setup with `based_on` resolved. `sensors` are the day's, with this setup's replacements."""

    name: str
    label: str
    front: EndSetup
    rear: EndSetup
    bike: Mapping[str, Setting]
    other: Mapping[str, str]
    sensors: Mapping[str, Sensor]

    def at(self, end: End) -> EndSetup:
        """Return one end."""
        return self.front if end == "front" else self.rear

    def fitting(self, sensor: DisplacementSensor) -> tuple[DisplacementSensor, ...]:
        """Return a run's sensor, and the same as this setup has it: a run's own keys don't undo its setup's zero."""
        usual = self.sensors.get(sensor.name)
        return (sensor, usual) if isinstance(usual, DisplacementSensor) and usual != sensor else (sensor,)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunEntry:
    """One run of the day. `sensors` are resolved for this run; `order` counts from 1 in the order ridden.

    `same_clock` tells whether both its logs are one logger's; None where nobody says.
    """

    name: str
    log: Path
    rear_log: Path | None
    setup: str
    order: int
    sensors: Mapping[str, Sensor]
    started_at: datetime | None = None
    start_s: r.Seconds | None = None
    end_s: r.Seconds | None = None
    note: str = ""
    air_temperature_c: r.TemperatureC | None = None
    pressure_after_front_bar: r.PressureBar | None = None
    pressure_after_rear_bar: r.PressureBar | None = None
    lever_front: str | None = None
    lever_rear: str | None = None
    rider: str | None = None
    date: date | None = None
    trail_state: str | None = None
    leave_out: str | None = None
    same_clock: bool | None = None

    @property
    def measured_ends(self) -> tuple[End, ...]:
        """Ends at which position or acceleration is read."""
        kinds = (DisplacementSensor, InertialSensor)
        found = {sensor.end for sensor in self.sensors.values() if isinstance(sensor, kinds)}
        return tuple(end for end in ENDS if end in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class StaticEntry:
    """A recording made off the trail. `before_order` is the order of the run it stands before.

    `end` is the only one that was recorded, where each has a logger of its own.
    """

    log: Path
    kind: Literal["lifted", "sag", "settle", "bounce", "still"]
    setup: str | None
    sensors: Mapping[str, Sensor]
    before_order: int
    load: Literal["standing", "seated", "bike_alone"] | None = None
    settled_from: Literal["compressed", "extended"] | None = None
    pulled: bool = False
    end: End | None = None

    @property
    def name(self) -> str:
        """The log's file name."""
        return self.log.name

    def made_with(self, sensors: Sequence[DisplacementSensor]) -> bool:
        """Tell whether the recording was made with one of these sensors, all its keys alike."""
        return any(self.sensors.get(sensor.name) == sensor for sensor in sensors)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place on the trail in one run, seconds after that log's first row.

    `marker` is the sensor whose press it is; empty where it was written down.
    """

    run: str
    at_s: r.Seconds
    name: str
    marker: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailStretch:
    """A named stretch of trail, and where one run rode it, seconds after that log's first row.

    `run`, `start_s` and `end_s` are None where only its name is stated: named before riding, placed by a run later.
    """

    name: str
    run: str | None = None
    start_s: r.Seconds | None = None
    end_s: r.Seconds | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallestChange:
    """The smallest change that matters to this rider, as entered.

    `form` says how to read `amount`: ``"points"``, ``"mm"`` or ``"unit"`` in the measure's own unit,
    ``"percent"`` of the baseline, ``"factor"`` for x1.5.
    """

    amount: float
    form: Literal["points", "mm", "unit", "percent", "factor"]
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonSettings:
    """The ``[comparison]`` table. `smallest_change` and `focus` are by (measure, end); None is every end.

    `planned_runs` are the numbers of runs of each at which verdicts are made, increasing; empty where none was stated.
    `spread_from` are the files of earlier days whose spread is taken, three or more; none of any day where it is empty;
    None: of this bike's kept days, in `kept_in` where that isn't None, and of the versions `kept_days` alone where that
    isn't; neither is a key of the file.
    `align` says how the same places are found where neither marks nor distance tell them.
    """

    baseline: str | None = None
    candidates: tuple[str, ...] = ()
    focus: tuple[tuple[str, str | None], ...] = ()
    smallest_change: Mapping[tuple[str, str | None], SmallestChange] = field(
        default_factory=lambda: MappingProxyType({})
    )
    named_at: datetime | None = None
    planned_runs: tuple[int, ...] = ()
    spread_from: tuple[Path, ...] | None = None
    kept_in: Path | None = None
    kept_days: tuple[str, ...] | None = None
    align: Literal["riding_time", "travel"] = "riding_time"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bike:
    """The bike before any setup. `geometry` holds the keys of ``[bike.geometry]`` in mm.

    `geometry_plus_minus` says how well they are known; of its other keys the setups' settings do. `kind` is what the
    shop calls bikes like it.
    """

    name: str = ""
    kind: str = ""
    wheelbase_mm: r.LengthMm | None = None
    head_angle_deg: r.AngleDeg | None = None
    mass_kg: r.MassKg | None = None
    geometry: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    geometry_plus_minus: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RideDay(Shown):
    """One bike, one place, one day, several runs; validated. `runs` stand in the order ridden.

    `source` is the file's content that all of it was read from, byte for byte. `plus_minus` says how well figures of
    ``[ride_day]`` are known, by key, in the key's unit.
    """

    path: Path
    title: str
    date: date
    bike: Bike
    sensors: Mapping[str, Sensor]
    setups: Mapping[str, Setup]
    runs: tuple[RunEntry, ...]
    static: tuple[StaticEntry, ...]
    marks: tuple[Mark, ...] = ()
    stretches: tuple[TrailStretch, ...] = ()
    log: LogOptions = LogOptions()
    front_log: LogOptions | None = None
    rear_log: LogOptions | None = None
    comparison: ComparisonSettings = ComparisonSettings()
    plan: PlanSettings | None = None
    hard_bottom_out_mm_s: r.SpeedMmS = 600.0
    cutoff_hz: r.CutoffHz = 60.0
    trail: str = ""
    trail_state: str = ""
    rider: str = ""
    wish: Wish | None = None
    rider_mass_kg: r.RiderKg | None = None
    air_temperature_c: r.TemperatureC | None = None
    altitude_m: r.AltitudeM | None = None
    plus_minus: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    shop: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    customer: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    logo: Picture | None = None
    source: bytes = field(default=b"", compare=False, repr=False)

    @property
    def in_short(self) -> str:
        """Title and date, how many setups, runs and recordings off the trail."""
        parts = {"setups": self.setups, "runs": self.runs, "recordings off the trail": self.static}
        return f"{self.title}, {self.date}: {', '.join(f'{len(found)} {name}' for name, found in parts.items())}"

    @property
    def sheet(self) -> Sheet:
        """Bike and trail; every setup, run and recording with its log."""
        runs = [[run.name, run.setup, run.log.name, run.note or run.leave_out or ""] for run in self.runs]
        static = [[item.kind, item.setup or "", item.name, f"before run {item.before_order}"] for item in self.static]
        tables = (
            table(["setup", "label"], [[name, own.label] for name, own in self.setups.items()], right_from=2),
            table(["run", "setup", "log", "note"], runs, right_from=4),
            table(["recording", "setup", "log", "made"], static, right_from=4),
        )
        place = " · ".join(filter(None, [self.bike.name, self.trail, self.trail_state]))
        return (place, *(found for found in tables if found.rows))

    def _ends_of(self, kind: type[DisplacementSensor | InertialSensor]) -> frozenset[End]:
        stated = [self.sensors, *(own.sensors for own in self.setups.values()), *(run.sensors for run in self.runs)]
        return frozenset(one.end for own in stated for one in own.values() if isinstance(one, kind))

    @property
    def travel_ends(self) -> frozenset[End]:
        """Ends whose position a sensor reads."""
        return self._ends_of(DisplacementSensor)

    @property
    def inertial_ends(self) -> frozenset[End]:
        """Ends with an inertial sensor."""
        return self._ends_of(InertialSensor)

    @property
    def ends_by_acceleration(self) -> frozenset[End]:
        """Ends with an inertial sensor and none that reads their position."""
        return self.inertial_ends - self.travel_ends

    @property
    def only_acceleration(self) -> bool:
        """Whether inertial sensors are all that it has."""
        return bool(self.inertial_ends) and not self.travel_ends

    @property
    def stretch_names(self) -> tuple[str, ...]:
        """Names of its stretches of trail, each once."""
        return tuple(dict.fromkeys(stretch.name for stretch in self.stretches))

    @property
    def fingerprint(self) -> str:
        """What tells the file's content from any other: its SHA-256."""
        return hashlib.sha256(self.source).hexdigest()

    @property
    def folder(self) -> Path:
        """The folder that holds the file; every log lies inside it."""
        return self.path.parent

    @property
    def logs(self) -> frozenset[Path]:
        """Every log that a run or a recording names."""
        runs = {path for run in self.runs for path in (run.log, run.rear_log) if path is not None}
        return frozenset(runs | {item.log for item in self.static})

    def run(self, name: str) -> RunEntry:
        """Return the run of that name.

        Raises
        ------
        KeyError
            If the day has no such run.
        """
        for entry in self.runs:
            if entry.name == name:
                return entry
        raise KeyError(name)
