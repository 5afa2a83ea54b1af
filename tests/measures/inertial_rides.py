"""Rides with inertial sensors put together from arrays: for what is measured without a displacement sensor."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from telemetry.model.finding import End
from telemetry.model.inertial import Attitude, InertialSignal, Mounting, On
from telemetry.model.ride import Ride
from telemetry.units import STANDARD_GRAVITY_M_S2

LEVEL = Mounting(to_bike=np.eye(3), residual_deg=0.0, heading_known=True, found_from="made")


def inertial(
    upward_m_s2: np.ndarray,
    *,
    end: End = "front",
    on: On = "chassis",
    rotation_rad_s: np.ndarray | None = None,
    gyroscope: bool = True,
) -> InertialSignal:
    """Return a level sensor that goes up and down only, turning about y as given."""
    count = upward_m_s2.shape[0]
    none = np.zeros(count)
    turning = np.column_stack([none, none if rotation_rad_s is None else rotation_rad_s, none])
    return InertialSignal(
        sensor=f"{end}_{on}",
        end=end,
        on=on,
        specific_force_m_s2=np.column_stack([none, none, upward_m_s2 + STANDARD_GRAVITY_M_S2]),
        rotation_rad_s=turning if gyroscope else None,
        mounting=LEVEL,
        attitude=Attitude(pitch_rad=none, roll_rad=none, within_deg=1.0, upward_m_s2=upward_m_s2, forward_m_s2=none),
        noise_m_s2=0.02,
        saturated=np.zeros(count, dtype=bool),
    )


def inertial_ride(
    *signals: InertialSignal,
    rate_hz: float = 200.0,
    segments: tuple[tuple[int, int], ...] | None = None,
    name: str = "bare",
) -> Ride:
    """Return a ride of these sensors alone, within the log's own bounds."""
    count = signals[0].attitude.upward_m_s2.shape[0]
    time_s = np.arange(count) / rate_hz
    return Ride(
        name=name,
        setup="a",
        time_s=time_s,
        rate_hz=rate_hz,
        segments=segments or ((0, count),),
        ends=MappingProxyType({}),
        start_s=0.0,
        end_s=float(time_s[-1]),
        start_from="log",
        end_from="log",
        ground_speed=None,
        findings=(),
        history=(),
        inertial=MappingProxyType({signal.site: signal for signal in signals}),
    )


def shaken(seconds: float, seed: int, rate_hz: float = 200.0, rms_m_s2: float = 3.0) -> np.ndarray:
    """Return upward acceleration of a trail: the same places are rough each time, each ride shakes in its own way."""
    count = round(seconds * rate_hz)
    places, own = np.random.default_rng(1), np.random.default_rng(seed)
    rough = np.exp(np.convolve(places.standard_normal(count), np.hanning(round(2 * rate_hz)), "same") / rate_hz**0.5)
    shaking = np.convolve(own.standard_normal(count), np.hanning(round(0.08 * rate_hz)), "same")
    upward = rms_m_s2 * rough / rough.mean() * shaking / shaking.std()
    second = round(rate_hz)
    return np.asarray(upward - np.convolve(upward, np.ones(second) / second, "same"))  # what goes up comes down


def pushed(rate_hz: float = 200.0, *, depth_mm: float = 60.0, every_s: float = 0.7) -> np.ndarray:
    """Return upward acceleration of three pushes, each a raised cosine down and back."""
    time_s = np.arange(round(3 * every_s * rate_hz)) / rate_hz
    turn = 2 * np.pi / every_s
    return np.asarray(-depth_mm / 2000 * turn**2 * np.cos(turn * time_s))
