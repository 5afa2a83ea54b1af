"""From a sensor's readings to m/s2 and rad/s."""

from __future__ import annotations

import math

from telemetry.model.sensor import InertialSensor
from telemetry.units import STANDARD_GRAVITY_M_S2

READINGS_A_G = {"g": 1.0, "milli-g": 1000.0, "m/s2": STANDARD_GRAVITY_M_S2}
READINGS_A_DEG_S = {"deg/s": 1.0, "rad/s": math.radians(1.0)}


def readings_a_g(sensor: InertialSensor) -> float:
    """Return what a sensor reads for 1 g, by its unit.

    Raises
    ------
    ValueError
        If it reads counts and how many are 1 g isn't known.
    """
    if sensor.acceleration_unit != "counts":
        return READINGS_A_G[sensor.acceleration_unit]
    if sensor.counts_per_g is None:
        raise ValueError(f"{sensor.name}: counts_per_g isn't known")
    return sensor.counts_per_g


def m_s2_a_reading(sensor: InertialSensor) -> float:
    """Return the specific force that one step of 1 in a sensor's readings is, m/s2."""
    return STANDARD_GRAVITY_M_S2 / readings_a_g(sensor)


def rad_s_a_reading(sensor: InertialSensor) -> float:
    """Return the rotation that one step of 1 in a sensor's readings is, rad/s.

    Raises
    ------
    ValueError
        If it has no gyroscope, or one that reads counts and how many are 1 degree a second isn't known.
    """
    per_deg_s = sensor.counts_per_deg_s if sensor.rotation_unit == "counts" else None
    per_deg_s = READINGS_A_DEG_S.get(sensor.rotation_unit or "", per_deg_s)
    if per_deg_s is None:
        raise ValueError(f"{sensor.name}: the unit of its rotation isn't known")
    return math.radians(1.0) / per_deg_s
