"""The loggers a scenario asks for: one for both ends or one an end, each run with its own gaps and mountings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from telemetry.model.finding import End
from telemetry.toml_tables import made

from . import scenario_tables as t
from .clock_made import Clock
from .faults import Faults
from .inertial_made import ACCELERATION_AXES, ROTATION_AXES, MadeInertial
from .logger import MadeLogger
from .sensors_made import MadeDisplacement, MadeSpeed
from .signals import CHASSIS, CHASSIS_FRONT, FRONT_WHEEL

SPEED_COLUMN = "speed_m_s"
SPEED_NOISE_M_S = 0.05
SPIKE_COUNTS = 900.0


def mounted_at_mm(tables: t.Scenario, run: int, end: End) -> float:
    """Return how far off its calibration an end's sensor sits in a run, mm.

    Parameters
    ----------
    tables : Scenario
    run : int
        From 1; recordings made before it are already made with its mounting.
    end : {"front", "rear"}
    """
    own = tables.logger.fork if end == "front" else tables.logger.shock
    moved = [item for item in tables.remounts if item.end == end and item.before_run <= run]
    return max(moved, key=lambda item: item.before_run).offset_mm if moved else own.offset_mm


def inertial_columns(table: t.WheelImuTable) -> dict[str, str]:
    """Return the columns of an inertial sensor by axis."""
    axes = (*ACCELERATION_AXES, *ROTATION_AXES) if table.rotation else ACCELERATION_AXES
    return {axis: table.column_prefix + axis for axis in axes}


def _displacement(tables: t.Scenario, run: int, end: End) -> MadeDisplacement:
    own = tables.logger.fork if end == "front" else tables.logger.shock
    offset_mm = mounted_at_mm(tables, run, end)
    return made(MadeDisplacement, own, end=end, offset_mm=offset_mm, bits=tables.logger.bits)


def _inertial(table: t.LoggerTable) -> Iterator[MadeInertial]:
    chassis = CHASSIS_FRONT if table.chassis_imu is not None and table.chassis_imu.at == "front" else CHASSIS
    for place, own in ((chassis, table.chassis_imu), (FRONT_WHEEL, table.wheel_imu)):
        if own is not None:
            yield made(MadeInertial, own, place=place, columns=inertial_columns(own))


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


def _whole_logger(tables: t.Scenario, run: int) -> MadeLogger:
    table = tables.logger
    return MadeLogger(
        clock=_clock(table),
        displacement=(_displacement(tables, run, "front"), _displacement(tables, run, "rear")),
        inertial=tuple(_inertial(table)),
        speed=MadeSpeed(column=SPEED_COLUMN, noise_m_s=SPEED_NOISE_M_S) if table.ground_speed else None,
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
    Of two loggers the front's also holds ground speed and inertial sensors.
    """
    whole = _whole_logger(tables, run)
    if not tables.logger.two_loggers:
        return (whole,)
    front, rear = whole.displacement
    rear_logger = MadeLogger(clock=_rear_clock(tables.logger), displacement=(rear,), faults=whole.faults)
    return replace(whole, displacement=(front,)), rear_logger


def recording_logger(tables: t.Scenario, before_run: int) -> MadeLogger:
    """Return the logger of a recording off the trail: always one for both ends, and without faults.

    Parameters
    ----------
    tables : Scenario
    before_run : int
        The run it is made before, from 1.
    """
    return replace(_whole_logger(tables, before_run), faults=Faults())
