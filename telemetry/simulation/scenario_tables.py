"""The tables of a scenario file: every key with its unit in its name and its range."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, ConfigDict, Field

from telemetry import toml_tables
from telemetry.model.finding import End
from telemetry.model.ranges import Range
from telemetry.toml_tables import Within

from .inertial_made import AccelerationUnit, RotationUnit


class Table(toml_tables.Table):
    """A table of a scenario: numbers are finite."""

    model_config = ConfigDict(allow_inf_nan=False)


def _range(least: float, most: float) -> AfterValidator:
    """Return the check that a number lies within its range."""
    words = " to ".join(str(bound) if isinstance(bound, int) else f"{bound:g}" for bound in (least, most))
    return AfterValidator(Within(Range(least, most, said=words)))


def _pair(least: float, most: float) -> AfterValidator:
    """Return the check that two numbers lie within their range, the first no more than the second."""

    def check(pair: list[float]) -> list[float]:
        if not least <= pair[0] <= pair[1] <= most:
            raise ValueError(f"two numbers from {least:g} to {most:g}, the smaller first")
        return pair

    return AfterValidator(check)


MOST_RUNS = 60
Share = Annotated[float, _range(0, 1)]
_Pair = Annotated[list[float], Field(min_length=2, max_length=2)]
_Triple = Annotated[list[float], Field(min_length=3, max_length=3)]


class DayTable(Table):
    """``[day]``: what the ride day is called, its seed, and the setups in the order ridden."""

    title: str
    date: dt.date
    seed: Annotated[int, _range(0, 2**63 - 1)]
    order: Annotated[list[str], Field(min_length=1, max_length=MOST_RUNS)]
    first_start: dt.time = dt.time(9, 0)
    minutes_between: Annotated[float, _range(1, 240)] = 20
    trail: str = ""
    trail_state: str = ""
    rider: str = ""
    air_temperature_c: Annotated[float | None, _range(-40, 60)] = None
    altitude_m: Annotated[float | None, _range(-500, 6000)] = None
    speed_spread_percent: Annotated[float, _range(0, 20)] = 0.5
    stance_spread_mm: Annotated[float, _range(0, 100)] = 10
    pushes: bool = True
    bounds_stated: bool = True
    parts_stated: bool = False


class ObstacleTable(Table):
    """One of ``obstacles``: a shape, where it begins in its stretch, and how often it comes again."""

    kind: Literal["bump", "kerb", "drop", "braking_bumps", "jump", "tabletop"]
    at_m: Annotated[float, _range(0, 100_000)]
    height_mm: Annotated[float, _range(-2000, 2000)]
    length_mm: Annotated[float | None, _range(1, 20_000)] = None
    wavelength_m: Annotated[float | None, _range(0.1, 20)] = None
    count: Annotated[int | None, _range(1, 1000)] = None
    ramp_m: Annotated[float | None, _range(0.1, 50)] = None
    gap_m: Annotated[float | None, _range(0.3, 50)] = None
    landing_m: Annotated[float | None, _range(0.1, 50)] = None
    times: Annotated[int, _range(1, 10_000)] = 1
    every_m: Annotated[float | None, _range(0.1, 10_000)] = None


class StretchTable(Table):
    """One of ``[[trail.stretches]]``."""

    length_m: Annotated[float, _range(1, 100_000)]
    road_class: Literal["A", "B", "C", "D", "E", "F", "G", "H"]
    waviness: Annotated[float, _range(1, 3.5)] = 2.0
    speed_m_s: Annotated[float, _range(0.5, 30)]
    obstacles: list[ObstacleTable] = Field(default_factory=list)


class NaturalTable(Table):
    """``natural``: a trail drawn from the seed."""

    length_m: Annotated[float, _range(60, 20_000)]
    speed_m_s: Annotated[float, _range(2, 30)]
    road_class: Literal["A", "B", "C", "D", "E", "F", "G", "H"] = "D"
    waviness: Annotated[float, _range(1, 3.5)] = 2.0
    gradient_percent: Annotated[float, _range(-40, 40)] = -6
    turn_every_m: Annotated[float, _range(10, 10_000)] = 45
    turn_radius_m: Annotated[_Pair, _pair(2, 200)] = Field(default=[4, 12])
    rocks_per_100_m: Annotated[float, _range(0, 300)] = 8
    rock_mm: Annotated[_Pair, _pair(5, 500)] = Field(default=[20, 80])
    roots_per_100_m: Annotated[float, _range(0, 300)] = 8
    root_mm: Annotated[_Pair, _pair(5, 200)] = Field(default=[10, 35])
    dips_per_100_m: Annotated[float, _range(0, 100)] = 3
    dip_mm: Annotated[_Pair, _pair(20, 2000)] = Field(default=[120, 450])
    braking_bumps_mm: Annotated[float, _range(0, 400)] = 60
    braking_bump_m: Annotated[_Pair, _pair(0.3, 10)] = Field(default=[0.8, 1.6])
    drops_per_km: Annotated[float, _range(0, 50)] = 5
    drop_mm: Annotated[_Pair, _pair(50, 2000)] = Field(default=[150, 500])
    jumps_per_km: Annotated[float, _range(0, 50)] = 5
    lip_mm: Annotated[_Pair, _pair(100, 2000)] = Field(default=[250, 600])
    braking_m_s2: Annotated[float, _range(0.5, 12)] = 3.5
    accelerating_m_s2: Annotated[float, _range(0.2, 10)] = 1.5
    cornering_m_s2: Annotated[float, _range(1, 12)] = 5
    pedal_hz: Annotated[float, _range(0, 2.5)] = 1.3


class MarkTable(Table):
    """One of ``marks``: a place on the trail that the ride day names in every run."""

    at_m: Annotated[float, _range(0, 100_000)]
    name: Annotated[str, Field(min_length=1)]


class TrailTable(Table):
    """``[trail]``: the same ground for every run; the rider's line varies it."""

    seed: Annotated[int, _range(0, 2**63 - 1)]
    line_percent: Annotated[float, _range(0, 30)] = 3
    stretches: list[StretchTable] = Field(default_factory=list)
    natural: NaturalTable | None = None
    marks: list[MarkTable] = Field(default_factory=list)


class PartTable(Table):
    """``[bike.front]`` or ``[bike.rear]``: springs, damper, friction, stops, along the leg or shaft."""

    travel_mm: Annotated[float | None, _range(20, 400)] = None
    stroke_mm: Annotated[float | None, _range(10, 200)] = None
    leverage: Annotated[list[Annotated[list[float], Field(min_length=2, max_length=2)]] | None, Field(min_length=2)] = (
        None
    )
    unsprung_kg: Annotated[float, _range(0.5, 60)]
    tyre_n_mm: Annotated[float, _range(20, 600)]
    tyre_n_s_m: Annotated[float, _range(0, 3000)] = 200
    wheel_radius_mm: Annotated[float, _range(150, 450)]
    air_pressure_bar: Annotated[float | None, _range(0.1, 40)] = None
    air_area_mm2: Annotated[float | None, _range(50, 5000)] = None
    air_volume_ml: Annotated[float | None, _range(10, 2000)] = None
    volume_spacers_ml: Annotated[float, _range(0, 500)] = 0
    negative_area_mm2: Annotated[float | None, _range(50, 5000)] = None
    negative_volume_ml: Annotated[float | None, _range(1, 1000)] = None
    spring_rate_n_mm: Annotated[float | None, _range(0.5, 500)] = None
    preload_mm: Annotated[float, _range(0, 60)] = 0
    lower_leg_volume_each_ml: Annotated[float | None, _range(50, 2000)] = None
    lower_leg_volume_spring_side_ml: Annotated[float | None, _range(50, 2000)] = None
    lower_leg_volume_damper_side_ml: Annotated[float | None, _range(50, 2000)] = None
    lower_leg_oil_each_ml: Annotated[float | None, _range(0, 500)] = None
    lower_leg_oil_spring_side_ml: Annotated[float | None, _range(0, 500)] = None
    lower_leg_oil_damper_side_ml: Annotated[float | None, _range(0, 500)] = None
    lower_leg_area_mm2: Annotated[float | None, _range(100, 5000)] = None
    lower_leg_crossover: bool = False
    oil_gap_mm: Annotated[float | None, _range(20, 600)] = None
    oil_gap_area_mm2: Annotated[float | None, _range(100, 10_000)] = None
    compression_below_n_s_m: Annotated[float, _range(0, 100_000)]
    compression_knee_mm_s: Annotated[float, _range(1, 5000)]
    compression_above_n_s_m: Annotated[float, _range(0, 100_000)]
    rebound_below_n_s_m: Annotated[float, _range(0, 100_000)]
    rebound_knee_mm_s: Annotated[float, _range(1, 5000)]
    rebound_above_n_s_m: Annotated[float, _range(0, 100_000)]
    viscosity_share: Annotated[float, _range(0.05, 20)] = 1.0
    end_share: Annotated[float, _range(0, 0.99)] = 0.8
    end_factor: Annotated[float, _range(0.1, 20)] = 1.0
    friction_n: Annotated[float, _range(0, 500)]
    friction_band_mm_s: Annotated[float, _range(1, 100)] = 10
    bumper_touch_mm: Annotated[float, _range(5, 400)]
    bumper_n_mm: Annotated[float, _range(0, 5000)]
    bumper_n_mm2: Annotated[float, _range(0, 5000)] = 0
    top_out_mm: Annotated[float, _range(0, 60)]
    top_out_n_mm: Annotated[float, _range(1, 5000)]
    written: dict[str, Any] = Field(default_factory=dict)


class BikeTable(Table):
    """``[bike]``: masses and measures; the frame is all that both ends carry but the rider's moving mass."""

    name: str
    frame_kg: Annotated[float, _range(5, 250)]
    pitch_inertia_kg_m2: Annotated[float, _range(0.5, 100)]
    front_ahead_mm: Annotated[float, _range(200, 1200)]
    rear_behind_mm: Annotated[float, _range(200, 1200)]
    head_angle_deg: Annotated[float, _range(55, 80)]
    ride_exponent: Annotated[float, _range(1.0, 1.4)] = 1.3
    centre_height_mm: Annotated[float | None, _range(200, 1500)] = None
    front_brake_percent: Annotated[float, _range(0, 100)] = 65
    anti_squat_percent: Annotated[float, _range(0, 200)] = 60
    anti_rise_percent: Annotated[float, _range(0, 200)] = 50
    grip: Annotated[float, _range(0.2, 2)] = 1.0
    swingarm_mm: Annotated[float, _range(200, 1000)] = 450
    front: dict[str, Any]
    rear: dict[str, Any]


class RiderTable(Table):
    """``[rider]``: the moving mass on legs and arms."""

    moving_kg: Annotated[float, _range(20, 200)]
    legs_share: Share = 0.78
    legs_n_m: Annotated[float, _range(500, 100_000)] = 6000
    legs_n_s_m: Annotated[float, _range(0, 10_000)] = 750
    arms_n_m: Annotated[float, _range(0, 50_000)] = 1500
    arms_n_s_m: Annotated[float, _range(0, 10_000)] = 250
    pedals_ahead_mm: Annotated[float, _range(-800, 800)] = -60
    hands_ahead_mm: Annotated[float, _range(0, 1200)] = 420
    seat_ahead_mm: Annotated[float, _range(-800, 400)] = -250
    height_mm: Annotated[float, _range(300, 2500)] = 1100
    holding_hz: Annotated[float, _range(0, 3)] = 1.0


class SensorTable(Table):
    """``[logger.fork]`` or ``[logger.shock]``."""

    column: str
    points: Annotated[
        list[Annotated[list[float], Field(min_length=2, max_length=2)]], Field(min_length=2, max_length=2)
    ]
    noise_mm: Annotated[float, _range(0, 10)] = 0.02
    hysteresis_mm: Annotated[float, _range(0, 10)] = 0.0
    offset_mm: Annotated[float, _range(-50, 50)] = 0.0


class WheelImuTable(Table):
    """``[logger.wheel_imu]``: an accelerometer and gyroscope on the front axle."""

    column_prefix: str = "wheel_"
    acceleration_unit: AccelerationUnit = "g"
    rotation: bool = True
    rotation_unit: RotationUnit = "deg/s"
    acceleration_noise_m_s2_rthz: Annotated[float, _range(0, 1)] = 0.002
    rotation_noise_deg_s_rthz: Annotated[float, _range(0, 10)] = 0.01
    acceleration_bias_m_s2: _Triple = Field(default=[0, 0, 0])
    rotation_bias_deg_s: _Triple = Field(default=[0, 0, 0])
    misalignment_deg: _Triple = Field(default=[0, 0, 0])
    full_scale_g: Annotated[float, _range(1, 400)] = 16
    full_scale_deg_s: Annotated[float, _range(50, 8000)] = 2000
    low_pass_hz: Annotated[float | None, _range(1, 1000)] = None


class RearWheelImuTable(WheelImuTable):
    """``[logger.rear_wheel_imu]``: the same on the rear axle."""

    column_prefix: str = "rear_wheel_"


class ChassisImuTable(WheelImuTable):
    """``[logger.chassis_imu]``: the same on the frame: at its centre of mass, above the front axle, or on the bar."""

    column_prefix: str = "chassis_"
    at: Literal["centre", "front", "bar"] = "centre"
    at_mm: Annotated[list[Annotated[float, _range(-2000, 2000)]] | None, Field(min_length=2, max_length=2)] = None


class RearChassisImuTable(WheelImuTable):
    """``[logger.rear_chassis_imu]``: the same on the frame above the rear axle."""

    column_prefix: str = "rear_chassis_"
    at_mm: Annotated[list[Annotated[float, _range(-2000, 2000)]] | None, Field(min_length=2, max_length=2)] = None


def end_of(name: str) -> End:
    """Return the end at which the inertial sensor of a table of that name sits."""
    return "rear" if name.startswith("rear") else "front"


class RearClockTable(Table):
    """``[logger.rear_clock]``: what the rear's own logger does otherwise than the front's."""

    rate_hz: Annotated[float | None, _range(20, 2000)] = None
    drift_ppm: Annotated[float | None, _range(-1000, 1000)] = None
    switched_on_s: Annotated[float, _range(0, 60)] = 0


class GapTable(Table):
    """One of ``gaps``: rows that a run's log lost."""

    run: Annotated[int, _range(1, 60)]
    at_s: Annotated[float, _range(0, 100_000)]
    length_s: Annotated[float, _range(0.001, 600)]


class LoggerTable(Table):
    """``[logger]``: one sensor or more."""

    rate_hz: Annotated[float, _range(20, 2000)] = 500
    bits: Annotated[int, _range(8, 16)] = 12
    jitter_percent: Annotated[float, _range(0, 25)] = 0
    drift_ppm: Annotated[float, _range(-1000, 1000)] = 0
    time_unit: Literal["s", "ms", "us"] = "ms"
    time_column: str = "t_ms"
    wraps_at_bits: Literal[16, 24, 32] | None = None
    clock_starts_s: Annotated[float, _range(0, 1_000_000)] = 0
    spikes_per_min: Annotated[float, _range(0, 60)] = 0
    dropouts_per_min: Annotated[float, _range(0, 600)] = 0
    dropout_s: Annotated[float, _range(0, 10)] = 0.05
    gaps: list[GapTable] = Field(default_factory=list)
    gzip: bool = False
    ground_speed: bool = False
    two_loggers: bool = False
    rear_clock: RearClockTable | None = None
    fork: SensorTable | None = None
    shock: SensorTable | None = None
    chassis_imu: ChassisImuTable | None = None
    wheel_imu: WheelImuTable | None = None
    rear_chassis_imu: RearChassisImuTable | None = None
    rear_wheel_imu: RearWheelImuTable | None = None

    def displacement(self) -> dict[End, SensorTable]:
        """Return the position sensors there are, by end."""
        found: dict[End, SensorTable | None] = {"front": self.fork, "rear": self.shock}
        return {end: own for end, own in found.items() if own is not None}

    def inertial(self) -> dict[str, WheelImuTable]:
        """Return the inertial sensors there are, by the name of their table."""
        names = ("chassis_imu", "wheel_imu", "rear_chassis_imu", "rear_wheel_imu")
        return {name: own for name in names if (own := getattr(self, name)) is not None}


class RemountTable(Table):
    """One of ``[[remounts]]``: from that run on a sensor sits elsewhere, and its calibration doesn't know."""

    before_run: Annotated[int, _range(2, 60)]
    end: Literal["front", "rear"]
    offset_mm: Annotated[float, _range(-50, 50)]


class SetupTable(Table):
    """``[setups.NAME]``: keys of the bike's ends that this setup replaces."""

    label: str = ""
    front: dict[str, Any] = Field(default_factory=dict)
    rear: dict[str, Any] = Field(default_factory=dict)
    bike: dict[str, Any] = Field(default_factory=dict)


class RecordingTable(Table):
    """One of ``[[recordings]]``, made off the trail before the run of that number."""

    kind: Literal["lifted", "sag", "settle", "bounce", "still"]
    before_run: Annotated[int, _range(1, 60)] = 1
    load: Literal["standing", "seated", "bike_alone"] | None = None
    settled_from: Literal["compressed", "extended"] | None = None


class ComparisonTable(Table):
    """``[comparison]``, copied into the ride day."""

    baseline: str | None = None
    candidates: list[str] = Field(default_factory=list)
    focus: list[str] = Field(default_factory=list)
    smallest_change: dict[str, str] = Field(default_factory=dict)
    named_at: dt.datetime | None = None
    planned_runs: int | list[int] | None = None


class Scenario(Table):
    """A whole scenario file."""

    day: DayTable
    trail: TrailTable
    bike: BikeTable
    rider: RiderTable
    logger: LoggerTable
    setups: Annotated[dict[str, SetupTable], Field(min_length=1, max_length=MOST_RUNS)]
    recordings: list[RecordingTable] = Field(default_factory=list)
    remounts: list[RemountTable] = Field(default_factory=list)
    comparison: ComparisonTable | None = None
    shop: dict[str, str] = Field(default_factory=dict)
    customer: dict[str, str] = Field(default_factory=dict)
