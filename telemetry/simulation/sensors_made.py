"""What position and speed sensors make of a bike's signals: play, offset, noise, whole counts within a range.

Nothing here filters before it samples: cheap loggers have no anti-alias filter (common practice, no source), so
what moves faster than half the rate folds down into the log as it does in theirs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End
from telemetry.model.ranges import Range

from .ranges import check_ranges

KM_H = 3.6


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeDisplacement:
    """A position sensor on fork or shock, read by a converter.

    Attributes
    ----------
    column : str
    end : {"front", "rear"}
        Fork travel, or shock stroke.
    points : ((reading, mm), (reading, mm))
        Its calibration as the tuner has it, a straight line; readings in counts.
    noise_mm : float
        Standard deviation of a sample, white, mm, 0 to 20.
    hysteresis_mm : float
        Whole play of its joints, mm, 0 to 20; it starts in the middle of it.
    offset_mm : float
        Mounting offset the calibration doesn't know of, mm, -100 to 100.
    bits : int
        Of the converter, 8 to 24.

    Raises
    ------
    ValueError
        If a value lies outside its range, or the points share a reading or a length.
    """

    column: str
    end: End
    points: tuple[tuple[float, float], tuple[float, float]]
    noise_mm: Annotated[float, Range(0, 20)] = 0.0
    hysteresis_mm: Annotated[float, Range(0, 20)] = 0.0
    offset_mm: Annotated[float, Range(-100, 100)] = 0.0
    bits: Annotated[int, Range(8, 24)] = 12

    def __post_init__(self) -> None:
        check_ranges(self)
        (first, first_mm), (second, second_mm) = self.points
        if first == second or first_mm == second_mm:
            raise ValueError(f"MadeDisplacement.points: found {self.points}; expected two readings and two lengths")

    @property
    def counts_a_mm(self) -> float:
        """Counts a millimetre, signed."""
        (first, first_mm), (second, second_mm) = self.points
        return (second - first) / (second_mm - first_mm)

    @property
    def top_count(self) -> float:
        """The converter's highest reading; its lowest is 0."""
        return 2.0**self.bits - 1


def played(position: Floats, play: float) -> Floats:
    """Return what follows a position through joints with play (backlash).

    Parameters
    ----------
    position : float array, shape (n,)
    play : float
        Whole width of the dead band, in the position's unit, >= 0.

    Returns
    -------
    float array, shape (n,)
        Starts in the middle of the play.

    Notes
    -----
    ``y_k = min(max(y_(k-1), x_k - play/2), x_k + play/2)``: the play operator. Within a stretch that only rises it
    is the larger of where the stretch began and ``x - play/2``, within one that falls the smaller, so that only
    turning points are gone through one by one.
    """
    if position.shape[0] < 2 or play == 0:
        return position.copy()
    half = play / 2
    rising = np.diff(position) > 0
    turns = np.flatnonzero(rising[1:] != rising[:-1]) + 1
    begins = np.concatenate([[0], turns])
    upward = rising[begins]
    at_end = position[np.concatenate([turns, [position.shape[0] - 1]])]
    held = [float(position[0])]
    for end, up in zip(at_end.tolist(), upward.tolist(), strict=True):
        held.append(max(held[-1], end - half) if up else min(held[-1], end + half))
    lengths = np.diff(np.concatenate([begins, [position.shape[0] - 1]]))
    lengths[0] += 1  # the first sample belongs to the first stretch, a turning point to the one it ends
    begun, up = np.repeat(held[:-1], lengths), np.repeat(upward, lengths)
    followed: Floats = np.where(up, np.maximum(begun, position - half), np.minimum(begun, position + half))
    return followed


def counts(sensor: MadeDisplacement, position_mm: Floats, rng: np.random.Generator) -> Floats:
    """Return what the converter reads at sampled positions.

    Parameters
    ----------
    sensor : MadeDisplacement
    position_mm : float array, shape (n,)
        Of the sensor's moving part, play already in it.
    rng : numpy Generator

    Returns
    -------
    float array, shape (n,)
        Whole counts within 0 and ``2**bits - 1``.
    """
    (reading, at_mm), _ = sensor.points
    noisy = position_mm + sensor.offset_mm + rng.normal(0.0, sensor.noise_mm, position_mm.shape)
    read: Floats = np.clip(np.rint(reading + sensor.counts_a_mm * (noisy - at_mm)), 0.0, sensor.top_count)
    return read


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeSpeed:
    """A ground-speed sensor.

    Attributes
    ----------
    column : str
    unit : {"m/s", "km/h"}
    noise_m_s : float
        Standard deviation of a sample, white, m/s whatever the unit, 0 to 10. It never reads below 0.

    Raises
    ------
    ValueError
        If a value lies outside its range.
    """

    column: str
    unit: Literal["m/s", "km/h"] = "m/s"
    noise_m_s: Annotated[float, Range(0, 10)] = 0.0

    def __post_init__(self) -> None:
        check_ranges(self)


def speed_readings(sensor: MadeSpeed, speed_m_s: Floats, rng: np.random.Generator) -> Floats:
    """Return what a ground-speed sensor reads, in its unit, shape (n,)."""
    noisy = np.maximum(speed_m_s + rng.normal(0.0, sensor.noise_m_s, speed_m_s.shape), 0.0)
    return noisy if sensor.unit == "m/s" else noisy * KM_H
