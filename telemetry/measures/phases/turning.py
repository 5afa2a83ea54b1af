"""Turns: the bike swings about the vertical and leans into it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch
from telemetry.model.phase import Confidence
from telemetry.model.stretches import lasting

from .slow import SlowClock

YAW_RAD_S = 0.3
LEAN_RAD = 0.05
TURN_S = 0.5
SLOW_HZ = 1.0
SURE_WITHIN_DEG = 5.0
STEEPEST_RAD = 1.2
"""Own choices: 17 deg a second is a turn of 20 m at 6 m/s, for which a bike leans 10 deg; 3 deg are enough here. No
tyre holds a lean of 69 deg."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """Where a bike turns, on a slow clock; with low confidence by its swing alone."""

    stretches: tuple[Stretch, ...]
    confidence: Confidence
    told_by: str


def yaw_rate(rotation_rad_s: Floats, pitch_rad: Floats, roll_rad: Floats) -> Floats:
    """Return rotation about the ground's vertical, rad/s, positive to the left, shape (n,).

    Parameters
    ----------
    rotation_rad_s : float array, shape (n, 3)
        In bike axes.
    pitch_rad, roll_rad : float arrays, shape (n,)
        Positive nose down, and leaning to the right.

    Notes
    -----
    The vertical in bike axes is ``(-sin p, cos p sin r, cos p cos r)``.
    """
    level = np.cos(pitch_rad)
    about: Floats = (
        -np.sin(pitch_rad) * rotation_rad_s[:, 0]
        + level * np.sin(roll_rad) * rotation_rad_s[:, 1]
        + level * np.cos(roll_rad) * rotation_rad_s[:, 2]
    )
    return about


def turned(clock: SlowClock, signals: tuple[InertialSignal, ...], counts: Bools) -> Turning | Missing:
    """Return where a bike turns.

    Parameters
    ----------
    clock : SlowClock
    signals : tuple of InertialSignal
        On the chassis.
    counts : bool array, shape (blocks,)
        What may be a turn.
    """
    headed = [
        (signal, signal.rotation_rad_s)
        for signal in signals
        if signal.rotation_rad_s is not None and signal.mounting.heading_known
    ]
    if not headed:
        return Missing("no gyroscope on the chassis whose direction is known: turns need roll and yaw rate")
    best, rotation_rad_s = min(headed, key=lambda one: one[0].attitude.within_deg)
    roll = clock.means(best.attitude.roll_rad)
    rotation = np.column_stack([clock.means(rotation_rad_s[:, axis]) for axis in range(3)])
    yaw = clock.lowpassed(yaw_rate(rotation, clock.means(best.attitude.pitch_rad), roll), SLOW_HZ)
    swings = (np.abs(yaw) >= YAW_RAD_S) & counts
    sure = best.attitude.within_deg <= SURE_WITHIN_DEG
    if sure:
        swings &= -np.sign(yaw) * clock.lowpassed(roll, SLOW_HZ) >= LEAN_RAD
    found = lasting(clock.stretches(swings), clock.rate_hz, TURN_S)
    how = "yaw rate and lean" if sure else f"yaw rate alone, roll is within {best.attitude.within_deg:.1f} deg only"
    return Turning(stretches=found, confidence="high" if sure else "low", told_by=f"{how} of the {best.end} chassis")


def heavier(clock: SlowClock, signals: tuple[InertialSignal, ...], cutoff_hz: float) -> Floats | None:
    """Return by how much of its weight a leaning bike is pressed down beyond it; None where its lean isn't known.

    Parameters
    ----------
    clock : SlowClock
    signals : tuple of InertialSignal
        On the chassis.
    cutoff_hz : float
        Of the low-pass it goes through.

    Notes
    -----
    In a steady turn gravity and the turn together stay in the bike's plane: ``1 / cos(roll) - 1``.
    """
    sure = [one for one in signals if one.rotation_rad_s is not None and one.attitude.within_deg <= SURE_WITHIN_DEG]
    if not sure:
        return None
    best = min(sure, key=lambda one: one.attitude.within_deg)
    roll = clock.lowpassed(clock.means(best.attitude.roll_rad), cutoff_hz)
    return np.asarray(1.0 / np.cos(np.clip(roll, -STEEPEST_RAD, STEEPEST_RAD)) - 1.0)
