"""Calibration: from a sensor's reading to millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from telemetry.model.arrays import Floats
from telemetry.model.sensor import DisplacementSensor


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A least-squares line: ``mm = slope * (reading - centre_reading) + centre_mm``."""

    slope: float
    centre_reading: float
    centre_mm: float

    @property
    def offset_mm(self) -> float:
        """Millimetres at reading 0."""
        return self.centre_mm - self.slope * self.centre_reading

    def mm(self, readings: Floats) -> Floats:
        """Return millimetres, same shape."""
        return self.slope * readings + self.offset_mm


def fit_line(points: Sequence[tuple[float, float]]) -> Line:
    """Fit mm against reading by ordinary least squares.

    Parameters
    ----------
    points : sequence of (reading, mm)
        Two or more, not all of one reading.

    Returns
    -------
    Line

    Raises
    ------
    ValueError
        If all readings are equal.

    Examples
    --------
    >>> fit_line([(0.0, 0.0), (4000.0, 160.0)]).slope
    0.04
    """
    reading, mm = np.array(points, dtype=float).T
    centre_reading, centre_mm = float(np.mean(reading)), float(np.mean(mm))
    spread = reading - centre_reading
    squares = float(spread @ spread)
    if squares == 0:
        raise ValueError("all calibration points have the same reading")
    return Line(
        slope=float(spread @ (mm - centre_mm)) / squares,
        centre_reading=centre_reading,
        centre_mm=centre_mm,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A monotone shape-preserving curve through the points; its end slopes continue outside them."""

    readings: tuple[float, ...]
    millimetres: tuple[float, ...]

    def mm(self, readings: Floats) -> Floats:
        """Return millimetres, same shape."""
        curve = PchipInterpolator(np.array(self.readings), np.array(self.millimetres))
        slope = curve.derivative()
        first, last = self.readings[0], self.readings[-1]
        inside = np.clip(readings, first, last)
        beyond = readings - inside
        edge = np.where(beyond < 0, float(slope(first)), float(slope(last)))
        return np.asarray(curve(inside)) + edge * beyond


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """A sensor's calibration and how well its points fit it.

    Attributes
    ----------
    slope_mm : float
        Millimetres per reading, signed: the line's slope, or the curve's mean slope.
    residual_mm : float
        Largest distance of a point from the calibration, mm.
    """

    form: Line | Curve
    slope_mm: float
    residual_mm: float
    words: str

    def mm(self, readings: Floats) -> Floats:
        """Return millimetres of travel or stroke, same shape."""
        return self.form.mm(readings)


def calibrate(sensor: DisplacementSensor) -> Calibration:
    """Return the calibration a displacement sensor's points give.

    Parameters
    ----------
    sensor : DisplacementSensor

    Returns
    -------
    Calibration

    Raises
    ------
    ValueError
        If the points can't be calibrated with.
    """
    points = sorted(sensor.points)
    if sensor.calibration == "curve":
        readings, millimetres = zip(*points, strict=True)
        slope = (millimetres[-1] - millimetres[0]) / (readings[-1] - readings[0])
        words = f"monotone curve through {len(points)} points"
        curve = Curve(readings=readings, millimetres=millimetres)
        return Calibration(form=curve, slope_mm=slope, residual_mm=0.0, words=words)
    line = fit_line(points)
    reading, mm = np.array(points, dtype=float).T
    residual = float(np.max(np.abs(line.mm(reading) - mm)))
    words = f"line through {len(points)} points, {line.slope:.6g} mm a reading, {line.offset_mm:.5g} mm at 0"
    return Calibration(form=line, slope_mm=line.slope, residual_mm=residual, words=words)
