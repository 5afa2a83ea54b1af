"""Recordings off the trail given by levels, not by dynamics: held still, sagged under a load, lifted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from scipy.signal import butter, sosfilt

from telemetry.model.arrays import Floats
from telemetry.model.ranges import Range

from .ranges import check_ranges
from .signals import Signals

TREMOR_MM = 0.03  # this and the band: a guess, no source; the speed it makes stays far under "still"
TREMOR_BAND_HZ = (1.0, 8.0)
SETTLE_S = 2.0  # for the band-pass to forget that it began from nothing


def tremor(samples: int, rate_hz: float, sd_mm: float, rng: np.random.Generator) -> Floats:
    """Return how hands that hold a bike move its suspension, mm.

    Parameters
    ----------
    samples : int
        1 or more.
    rate_hz : float
        Above 20.
    sd_mm : float
        Standard deviation it is drawn with, mm, >= 0.
    rng : numpy Generator

    Returns
    -------
    float array, shape (samples,)
        White noise through a second-order band-pass of 1 to 8 Hz, its standard deviation that of the process, not
        of the piece drawn.
    """
    sos = butter(2, TREMOR_BAND_HZ, "bandpass", fs=rate_hz, output="sos")
    settle = int(SETTLE_S * rate_hz)
    impulse = np.zeros(settle)
    impulse[0] = 1.0
    gain = float(np.sqrt(np.sum(np.square(sosfilt(sos, impulse)))))  # sd of white noise passed, by its impulse response
    shaken = np.asarray(sosfilt(sos, rng.standard_normal(settle + samples)), dtype=float)
    return shaken[settle:] * (sd_mm / gain)


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """One position of both ends: where they rest, or where they end.

    Attributes
    ----------
    fork_travel_mm, shock_stroke_mm : float
        -20 to 500; below 0 where the top-out spring gives way under a hanging wheel.

    Raises
    ------
    ValueError
        If a value lies outside its range.
    """

    fork_travel_mm: Annotated[float, Range(-20, 500)]
    shock_stroke_mm: Annotated[float, Range(-20, 500)]

    def __post_init__(self) -> None:
        check_ranges(self)


def held(
    levels: Levels,
    duration_s: float,
    rate_hz: float,
    rng: np.random.Generator,
    *,
    tremor_mm: float = TREMOR_MM,
) -> Signals:
    """Return a bike that is held at its levels: a `still`, a `sag` or a `lifted` recording.

    Parameters
    ----------
    levels : Levels
    duration_s : float
        Above two samples.
    rate_hz : float
        Of the signals, above 20.
    rng : numpy Generator
    tremor_mm : float
        Standard deviation of what the hands add to both ends, each by itself, mm, >= 0.

    Returns
    -------
    Signals
        No end goes beyond topped out, or beyond its own level where that lies further: there the tremor is cut off.
    """
    samples = round(duration_s * rate_hz) + 1
    nothing = np.zeros(samples)
    fork, shock = (
        np.maximum(level + tremor(samples, rate_hz, tremor_mm, rng), min(level, 0.0))
        for level in (levels.fork_travel_mm, levels.shock_stroke_mm)
    )
    return Signals(
        time_s=np.arange(samples) / rate_hz,
        fork_travel_mm=fork,
        shock_stroke_mm=shock,
        ground_speed_m_s=nothing,
    )
