"""Signals with known shapes, and a plain logger to log them with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.simulation.body import BodyMotion, Geometry
from telemetry.simulation.body_made import moved_by_hand
from telemetry.simulation.clock_made import Clock
from telemetry.simulation.faults import Faults
from telemetry.simulation.logger import MadeLogger
from telemetry.simulation.sensors_made import MadeDisplacement
from telemetry.simulation.signals import Signals

RATE_HZ = 5000.0
FORK = MadeDisplacement(column="A0", end="front", points=((212.0, 0.0), (3770.0, 170.0)))
SHOCK = MadeDisplacement(column="A1", end="rear", points=((3601.0, 0.0), (305.0, 62.5)))


def swinging(lasts_s: float = 20.0) -> Signals:
    """Return fork and shock that swing on two incommensurate sines each, fork 20 to 140 mm, shock 5 to 55 mm."""
    time_s = np.arange(round(lasts_s * RATE_HZ) + 1) / RATE_HZ
    fork = 80 + 40 * np.sin(2 * np.pi * 1.7 * time_s) + 20 * np.sin(2 * np.pi * 7.3 * time_s)
    shock = 30 + 15 * np.sin(2 * np.pi * 1.9 * time_s) + 10 * np.sin(2 * np.pi * 6.1 * time_s)
    return Signals(
        time_s=time_s,
        fork_travel_mm=fork,
        shock_stroke_mm=shock,
        ground_speed_m_s=6 + np.sin(time_s / 3),
        body=replace(level_body(time_s.shape[0], RATE_HZ), normal_m_s2=9.80665 + 3 * np.sin(2 * np.pi * 2 * time_s)),
    )


GEOMETRY = Geometry(
    front_ahead_m=0.75, rear_behind_m=0.5, front_down_m=0.2, rear_down_m=0.22, fork_sine=0.9, swingarm_m=0.45
)


def level_body(count: int, rate_hz: float) -> BodyMotion:
    """Return a frame that stands level and still."""
    nothing = np.zeros(count)
    return moved_by_hand(nothing, nothing, (0.0, 0.0), GEOMETRY, rate_hz)


def constant(fork_mm: float, lasts_s: float = 60.0) -> Signals:
    samples = np.zeros(round(lasts_s * RATE_HZ) + 1)
    time_s = np.arange(samples.shape[0]) / RATE_HZ
    return Signals(time_s=time_s, fork_travel_mm=samples + fork_mm, shock_stroke_mm=samples + 10.0)


def logger(faults: Faults | None = None, **clock: object) -> MadeLogger:
    settings = {"rate_hz": 500.0, **clock}
    return MadeLogger(clock=Clock(**settings), displacement=(FORK, SHOCK), faults=faults or Faults())
