"""What the low-pass leaves of a force that bends, beside the same force of smoothed travel: they aren't the same."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from telemetry.measures.view import RunMotion
from telemetry.model.arrays import Floats, joined
from telemetry.model.ride import EndSignal

from .knots import Knots

Smooth: TypeAlias = Callable[[Floats], Floats]
"""A low-pass of one stretch without a gap."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Smoothing:
    """How one stretch without a gap is smoothed.

    Attributes
    ----------
    low : callable
        The low-pass that travel went through, of any signal.
    wide : callable
        Travel, mm, and speed, mm/s, of cleaned travel, through a low-pass that lies a few times higher.
    """

    low: Smooth
    wide: Callable[[Floats], tuple[Floats, Floats]]


def in_pieces(run: RunMotion, signal: Floats, smooth: Smooth) -> Floats:
    """Return a signal smoothed stretch by stretch."""
    return np.asarray(joined([smooth(signal[start:stop]) for start, stop in run.ride.segments]), dtype=float)


def leverage(signal: EndSignal, travel_mm: Floats) -> Floats:
    """Return wheel speed over shaft speed at each travel; 1 where the shaft's motion isn't known."""
    if signal.shaft_ratio is None:
        return np.ones(travel_mm.shape[0])
    return np.asarray(np.interp(travel_mm, *signal.shaft_ratio), dtype=float)


def force_as_felt(
    run: RunMotion, signal: EndSignal, smoothing: Smoothing, knots: Knots, coefficients: Floats
) -> Floats:
    """Return the force of hardly smoothed travel, through the low-pass of the force, at every sample.

    Parameters
    ----------
    run, signal, smoothing
        The ride, the end, how they are smoothed.
    knots, coefficients
        Of `force_columns`, but for friction's, which went through the low-pass already.
    """
    travels, speeds = knots
    spring, damper = np.split(coefficients, [travels.shape[0]])
    damper = np.insert(damper, int(np.flatnonzero(speeds == 0)[0]), 0.0)

    def felt(cleaned_mm: Floats) -> Floats:
        travel, speed = smoothing.wide(cleaned_mm)
        lever = leverage(signal, travel)
        resisting = np.interp(speed * 1e-3 / lever, speeds, damper)
        return smoothing.low(np.interp(travel, travels, spring) + resisting / lever)

    return in_pieces(run, signal.cleaned_mm, felt)
