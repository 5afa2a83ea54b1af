"""The loggers a scenario asks for: one for both ends or one an end, each run with its own gaps and mountings."""

from __future__ import annotations

from dataclasses import replace

from telemetry.model.finding import ENDS, End
from telemetry.toml_tables import made

from . import scenario_tables as t
from .body import Place
from .clock_made import Clock
from .faults import Faults
from .inertial_made import ACCELERATION_AXES, ROTATION_AXES, MadeInertial
from .logger import MadeLogger
from .sensors_made import MadeDisplacement, MadeSpeed

SPEED_COLUMN = "speed_m_s"
SPEED_NOISE_M_S = 0.05
SPIKE_COUNTS = 900.0
BAR_UP_MM = 450.0
"""Of the bar above the frame's centre of mass; own choice."""
MM = 1e-3


def mounted_at_mm(tables: t.Scenario, run: int, end: End) -> float:
    """Return how far off its calibration an end's sensor sits in a run, mm.

    Parameters
    ----------
    tables : Scenario
    run : int
        From 1; recordings made before it are already made with its mounting.
    end : {"front", "rear"}
    """
    own = tables.logger.displacement()[end]
    moved = [item for item in tables.remounts if item.end == end and item.before_run <= run]
    return max(moved, key=lambda item: item.before_run).offset_mm if moved else own.offset_mm


def inertial_columns(table: t.WheelImuTable) -> dict[str, str]:
    """Return the columns of an inertial sensor by axis."""
    axes = (*ACCELERATION_AXES, *ROTATION_AXES) if table.rotation else ACCELERATION_AXES
    return {axis: table.column_prefix + axis for axis in axes}


def _displacement(tables: t.Scenario, run: int, end: End) -> MadeDisplacement:
    own = tables.logger.displacement()[end]
    offset_mm = mounted_at_mm(tables, run, end)
    return made(MadeDisplacement, own, end=end, offset_mm=offset_mm, bits=tables.logger.bits)


def _place(tables: t.Scenario, name: str, own: t.WheelImuTable) -> Place:
    """Return where an inertial sensor sits: as its table says, or where its kind does."""
    if name == "wheel_imu":
        return Place(on="front_axle")
    if name == "rear_wheel_imu":
        return Place(on="rear_axle")
    stated = getattr(own, "at_mm", None)
    kinds = {
        "centre": (0.0, 0.0),
        "front": (tables.bike.front_ahead_mm, 0.0),
        "bar": (tables.rider.hands_ahead_mm, BAR_UP_MM),
        "rear": (-tables.bike.rear_behind_mm, 0.0),
    }
    ahead_mm, up_mm = stated or kinds[own.at if isinstance(own, t.ChassisImuTable) else "rear"]
    return Place(ahead_m=ahead_mm * MM, up_m=up_mm * MM)


def made_inertial(tables: t.Scenario, name: str) -> MadeInertial:
    """Return the inertial sensor of a table, by the table's name."""
    own = tables.logger.inertial()[name]
    low_pass_hz = own.low_pass_hz or 0.0
    place = _place(tables, name, own)
    return made(MadeInertial, own, place=place, columns=inertial_columns(own), low_pass_hz=low_pass_hz)


def _clock(table: t.LoggerTable) -> Clock:
    return made(
        Clock,
        table,
        jitter_share=table.jitter_percent / 100,
        unit=table.time_unit,
        column=table.time_column,
        start_s=table.clock_starts_s,
    )


def _rear_clock(table: t.LoggerTable) -> Clock:
    own = table.rear_clock or t.RearClockTable()
    return replace(
        _clock(table),
        rate_hz=table.rate_hz if own.rate_hz is None else own.rate_hz,
        drift_ppm=table.drift_ppm if own.drift_ppm is None else own.drift_ppm,
        switched_on_s=own.switched_on_s,
    )


def _faults(table: t.LoggerTable, run: int) -> Faults:
    return Faults(
        dropout_rate_per_min=table.dropouts_per_min,
        dropout_s=table.dropout_s if table.dropouts_per_min else 0.0,
        gaps=tuple((gap.at_s, gap.length_s) for gap in table.gaps if gap.run == run),
        spikes_per_min=table.spikes_per_min,
        spike_counts=SPIKE_COUNTS if table.spikes_per_min else 0.0,
    )


def _whole_logger(tables: t.Scenario, run: int, ends: tuple[End, ...] = ENDS) -> MadeLogger:
    """Return a logger with the sensors of both ends, or of one."""
    table = tables.logger
    speed = table.ground_speed and "front" in ends
    return MadeLogger(
        clock=_clock(table) if "front" in ends else _rear_clock(table),
        displacement=tuple(_displacement(tables, run, end) for end in table.displacement() if end in ends),
        inertial=tuple(made_inertial(tables, name) for name in table.inertial() if t.end_of(name) in ends),
        speed=MadeSpeed(column=SPEED_COLUMN, noise_m_s=SPEED_NOISE_M_S) if speed else None,
        faults=_faults(table, run),
    )


def run_loggers(tables: t.Scenario, run: int) -> tuple[MadeLogger, ...]:
    """Return the loggers of a run: one, or the front's and the rear's.

    Parameters
    ----------
    tables : Scenario
    run : int
        From 1.

    Raises
    ------
    ValueError
        If two columns share a name, or a sensor or clock can't be made of its figures.

    Notes
    -----
    Of two loggers each holds its end's sensors, the front's also ground speed.
    """
    if not tables.logger.two_loggers:
        return (_whole_logger(tables, run),)
    return _whole_logger(tables, run, ("front",)), _whole_logger(tables, run, ("rear",))


def recording_logger(tables: t.Scenario, before_run: int) -> MadeLogger:
    """Return the logger of a recording off the trail: always one for both ends, and without faults.

    Parameters
    ----------
    tables : Scenario
    before_run : int
        The run it is made before, from 1.
    """
    return replace(_whole_logger(tables, before_run), faults=Faults())
