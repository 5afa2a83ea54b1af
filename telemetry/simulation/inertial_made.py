"""What an accelerometer and a gyroscope make of a bike's signals: gravity, noise, bias, a case put on askew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

import numpy as np
from scipy.signal import butter, sosfilt, sosfilt_zi
from scipy.spatial.transform import Rotation

from telemetry.model.arrays import Floats
from telemetry.model.ranges import Range
from telemetry.units import STANDARD_GRAVITY_M_S2

from .body import Felt, Place
from .ranges import check_ranges

Triple = tuple[float, float, float]
AccelerationUnit: TypeAlias = Literal["g", "m/s2", "milli-g", "counts"]
RotationUnit: TypeAlias = Literal["deg/s", "rad/s", "counts"]
DECIMALS = {"g": 5, "m/s2": 4, "milli-g": 2, "counts": 0, "deg/s": 4, "rad/s": 6}
"""A converter's step is 0.5 milli-g at 16 g and 16 bits."""
ACCELERATION_AXES, ROTATION_AXES = ("ax", "ay", "az"), ("gx", "gy", "gz")


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeInertial:
    """An accelerometer, with or without a gyroscope. Axes: x forward, y left, z up, before misalignment.

    Attributes
    ----------
    place : Place
    columns : mapping of axis to column
        All of ``ax ay az``, and all or none of ``gx gy gz``.
    acceleration_unit : {"g", "m/s2", "milli-g", "counts"}
    rotation_unit : {"deg/s", "rad/s", "counts"}
        Counts are steps of the converter, 0 at none.
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
    low_pass_hz : float
        Of its own low-pass, 1 to 5000, a second-order Butterworth; 0: none.

    Raises
    ------
    ValueError
        If a value lies outside its range, or axes are missing.
    """

    place: Place
    columns: Mapping[str, str]
    acceleration_unit: AccelerationUnit = "g"
    rotation_unit: RotationUnit = "deg/s"
    acceleration_noise_m_s2_rthz: Annotated[float, Range(0, 1)] = 0.0
    rotation_noise_deg_s_rthz: Annotated[float, Range(0, 10)] = 0.0
    acceleration_bias_m_s2: Triple = (0.0, 0.0, 0.0)
    rotation_bias_deg_s: Triple = (0.0, 0.0, 0.0)
    misalignment_deg: Triple = (0.0, 0.0, 0.0)
    full_scale_g: Annotated[float, Range(1, 400)] = 16.0
    full_scale_deg_s: Annotated[float, Range(50, 8000)] = 2000.0
    bits: Annotated[int, Range(8, 24)] = 16
    low_pass_hz: Annotated[float, Range(0, 5000)] = 0.0

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

    @property
    def counts_per_g(self) -> float:
        """Steps of its converter to one standard gravity."""
        return float(2 ** (self.bits - 1) / self.full_scale_g)

    @property
    def counts_per_deg_s(self) -> float:
        """Steps of its converter to a degree a second."""
        return float(2 ** (self.bits - 1) / self.full_scale_deg_s)

    @property
    def decimals(self) -> dict[str, int]:
        """Each column with the decimals it is written with: finer than a step of its converter."""
        found = {}
        for axis, column in self.columns.items():
            unit = self.acceleration_unit if axis in ACCELERATION_AXES else self.rotation_unit
            found[column] = DECIMALS[unit]
        return found


def low_passed(sensor: MadeInertial, own: Felt, rate_hz: float) -> Felt:
    """Return what passes the sensor's own low-pass, late as it makes it; it has settled on the first sample.

    Parameters
    ----------
    sensor : MadeInertial
    own : Felt
    rate_hz : float
        Of what is felt, above twice the low-pass.
    """
    if sensor.low_pass_hz == 0:
        return own
    sos = butter(2, sensor.low_pass_hz, fs=rate_hz, output="sos")
    settled = sosfilt_zi(sos)[:, :, None]
    force, rotation = (
        sosfilt(sos, signal, axis=0, zi=settled * signal[0])[0] for signal in (own.force_m_s2, own.rotation_rad_s)
    )
    return Felt(force_m_s2=force, rotation_rad_s=rotation)


def _converted(true: Floats, sd: float, full_scale: float, bits: int, rng: np.random.Generator) -> Floats:
    """Return values with noise, in whole steps of a converter, within its range; `true` isn't changed."""
    step = 2 * full_scale / 2**bits
    noisy = true + rng.normal(0.0, sd, true.shape)
    read: Floats = np.clip(np.rint(noisy / step), -(2.0 ** (bits - 1)), 2.0 ** (bits - 1) - 1) * step
    return read


def inertial_readings(sensor: MadeInertial, own: Felt, rate_hz: float, rng: np.random.Generator) -> dict[str, Floats]:
    """Return what an inertial sensor reads, by column.

    Parameters
    ----------
    sensor : MadeInertial
    own : Felt
        What it feels at the sampled instants, in bike axes.
    rate_hz : float
        The logger's; a sample's noise is the density times ``sqrt(rate_hz / 2)``.
    rng : numpy Generator

    Returns
    -------
    dict of column to float array, shape (n,)
    """
    turned = Rotation.from_euler("xyz", sensor.misalignment_deg, degrees=True).inv()
    band = np.sqrt(rate_hz / 2)
    scale = {
        "m/s2": 1.0,
        "g": 1 / STANDARD_GRAVITY_M_S2,
        "milli-g": 1e3 / STANDARD_GRAVITY_M_S2,
        "counts": sensor.counts_per_g / STANDARD_GRAVITY_M_S2,
    }[sensor.acceleration_unit]
    force = turned.apply(own.force_m_s2) + np.array(sensor.acceleration_bias_m_s2)
    full_scale = sensor.full_scale_g * STANDARD_GRAVITY_M_S2
    read = scale * _converted(force, sensor.acceleration_noise_m_s2_rthz * band, full_scale, sensor.bits, rng)
    found = {sensor.columns[axis]: read[:, place] for place, axis in enumerate(ACCELERATION_AXES)}
    if sensor.turns:
        scale = {"deg/s": 1.0, "rad/s": np.pi / 180, "counts": sensor.counts_per_deg_s}[sensor.rotation_unit]
        rate = turned.apply(np.degrees(own.rotation_rad_s)) + np.array(sensor.rotation_bias_deg_s)
        sd = sensor.rotation_noise_deg_s_rthz * band
        read = scale * _converted(rate, sd, sensor.full_scale_deg_s, sensor.bits, rng)
        found |= {sensor.columns[axis]: read[:, place] for place, axis in enumerate(ROTATION_AXES)}
    return found
