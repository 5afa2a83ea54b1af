"""What an accelerometer and a gyroscope make of a bike's signals: gravity, noise, bias, a case put on askew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
from scipy.spatial.transform import Rotation

from telemetry.model.arrays import Floats
from telemetry.model.ranges import Range
from telemetry.units import STANDARD_GRAVITY_M_S2

from .ranges import check_ranges

Triple = tuple[float, float, float]
ACCELERATION_AXES, ROTATION_AXES = ("ax", "ay", "az"), ("gx", "gy", "gz")


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeInertial:
    """An accelerometer, with or without a gyroscope. Axes: x forward, y left, z up, before misalignment.

    Attributes
    ----------
    place : str
        A key of the signals' accelerations.
    columns : mapping of axis to column
        All of ``ax ay az``, and all or none of ``gx gy gz``.
    acceleration_unit : {"g", "m/s2"}
        Rotation is written in deg/s.
    acceleration_noise_m_s2_rthz, rotation_noise_deg_s_rthz : float
        Noise density, white, one-sided; a unit per root of hertz, 0 to 1 and 0 to 10.
    acceleration_bias_m_s2, rotation_bias_deg_s : three floats
        Each within 20 m/s2 and 100 deg/s.
    misalignment_deg : three floats
        Turns of the case about the bike's x, then y, then z, each within 180.
    full_scale_g, full_scale_deg_s : float
        Readings saturate here, 1 to 400 and 50 to 8000.
    bits : int
        Of its converter over both signs, 8 to 24.

    Raises
    ------
    ValueError
        If a value lies outside its range, or axes are missing.
    """

    place: str
    columns: Mapping[str, str]
    acceleration_unit: Literal["g", "m/s2"] = "g"
    acceleration_noise_m_s2_rthz: Annotated[float, Range(0, 1)] = 0.0
    rotation_noise_deg_s_rthz: Annotated[float, Range(0, 10)] = 0.0
    acceleration_bias_m_s2: Triple = (0.0, 0.0, 0.0)
    rotation_bias_deg_s: Triple = (0.0, 0.0, 0.0)
    misalignment_deg: Triple = (0.0, 0.0, 0.0)
    full_scale_g: Annotated[float, Range(1, 400)] = 16.0
    full_scale_deg_s: Annotated[float, Range(50, 8000)] = 2000.0
    bits: Annotated[int, Range(8, 24)] = 16

    def __post_init__(self) -> None:
        check_ranges(self)
        if set(self.columns) not in ({*ACCELERATION_AXES}, {*ACCELERATION_AXES, *ROTATION_AXES}):
            raise ValueError(f"MadeInertial.columns: found {sorted(self.columns)}; expected ax ay az, or those and g's")
        bounds = (("acceleration_bias_m_s2", 20.0), ("rotation_bias_deg_s", 100.0), ("misalignment_deg", 180.0))
        for name, most in bounds:
            triple = getattr(self, name)
            if len(triple) != 3 or not all(abs(value) <= most for value in triple):
                raise ValueError(f"MadeInertial.{name}: found {triple}; expected three numbers within {most:g}")

    @property
    def turns(self) -> bool:
        """Whether it holds a gyroscope."""
        return "gx" in self.columns


def _converted(true: Floats, sd: float, full_scale: float, bits: int, rng: np.random.Generator) -> Floats:
    """Return values with noise, in whole steps of a converter, within its range; `true` isn't changed."""
    step = 2 * full_scale / 2**bits
    noisy = true + rng.normal(0.0, sd, true.shape)
    read: Floats = np.clip(np.rint(noisy / step), -(2.0 ** (bits - 1)), 2.0 ** (bits - 1) - 1) * step
    return read


def inertial_readings(
    sensor: MadeInertial,
    upward_m_s2: Floats,
    pitch_rate_rad_s: Floats | None,
    rate_hz: float,
    rng: np.random.Generator,
) -> dict[str, Floats]:
    """Return what an inertial sensor reads, by column.

    Parameters
    ----------
    sensor : MadeInertial
    upward_m_s2 : float array, shape (n,)
        Upward acceleration of its place at the sampled instants.
    pitch_rate_rad_s : float array, shape (n,), or None
        Positive nose down; None where the sensor has no gyroscope.
    rate_hz : float
        The logger's; a sample's noise is the density times ``sqrt(rate_hz / 2)``.
    rng : numpy Generator

    Returns
    -------
    dict of column to float array, shape (n,)

    Notes
    -----
    Specific force ``(0, 0, a + g)`` and rotation ``(0, pitch rate, 0)``, seen from the turned case. The bike is
    taken as upright and level: braking and the tilt of gravity with pitch aren't in it, its length is.
    """
    turned = Rotation.from_euler("xyz", sensor.misalignment_deg, degrees=True).inv()
    band = np.sqrt(rate_hz / 2)
    force = np.zeros((upward_m_s2.shape[0], 3))
    force[:, 2] = upward_m_s2 + STANDARD_GRAVITY_M_S2
    scale = 1.0 if sensor.acceleration_unit == "m/s2" else 1 / STANDARD_GRAVITY_M_S2
    felt = turned.apply(force) + np.array(sensor.acceleration_bias_m_s2)
    full_scale = sensor.full_scale_g * STANDARD_GRAVITY_M_S2
    read = scale * _converted(felt, sensor.acceleration_noise_m_s2_rthz * band, full_scale, sensor.bits, rng)
    found = {sensor.columns[axis]: read[:, place] for place, axis in enumerate(ACCELERATION_AXES)}
    if sensor.turns and pitch_rate_rad_s is not None:
        rate = np.zeros_like(force)
        rate[:, 1] = np.degrees(pitch_rate_rad_s)
        felt = turned.apply(rate) + np.array(sensor.rotation_bias_deg_s)
        sd = sensor.rotation_noise_deg_s_rthz * band
        read = _converted(felt, sd, sensor.full_scale_deg_s, sensor.bits, rng)
        found |= {sensor.columns[axis]: read[:, place] for place, axis in enumerate(ROTATION_AXES)}
    return found
