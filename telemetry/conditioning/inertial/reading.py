"""A sensor's readings in m/s2 and rad/s, and what it reads at rest in a log."""

from __future__ import annotations

import numpy as np

from telemetry.conditioning.ground import Column
from telemetry.model.arrays import Floats
from telemetry.model.log import Log
from telemetry.model.sensor import InertialSensor

from .rest import Rest, rest_of, still_blocks
from .scaling import m_s2_a_reading, rad_s_a_reading


def readings_of(sensor: InertialSensor, column: Column) -> tuple[Floats, Floats | None]:
    """Return what a sensor reads, by its stated units, in its own axes.

    Parameters
    ----------
    sensor : InertialSensor
    column : callable
        Gives a column's readings, shape (n,).

    Returns
    -------
    float array, shape (3, n), and float array, shape (3, n), or None
        Specific force, m/s2, and rotation, rad/s; None without a gyroscope.
    """

    def scaled(axes: tuple[str, str, str], factor: float) -> Floats:
        return np.stack([column(sensor.columns[axis]) for axis in axes]) * factor

    force = scaled(("ax", "ay", "az"), m_s2_a_reading(sensor))
    return force, scaled(("gx", "gy", "gz"), rad_s_a_reading(sensor)) if sensor.turns else None


def rest_in_log(log: Log, sensor: InertialSensor, source: str) -> Rest | None:
    """Return what a sensor reads in a log made at rest; None where it isn't at rest in it.

    Parameters
    ----------
    log : Log
        With the sensor's columns.
    sensor : InertialSensor
    source : str
        What the recording is called, for messages.
    """
    if not log.segments:
        return None
    force, turning = readings_of(sensor, lambda name: log.columns[name])
    still = still_blocks(force, log.rate_hz, log.segments)
    still = still if turning is None else still.not_turning(turning)
    return rest_of(source, force, turning, log.rate_hz, still.rests)
