"""A rigid bike whose motion is known to the last digit, and what sensors on it would read: truth for movement.

Every place moves on an exact path in the ground's axes; its acceleration is the second difference of that path at
4000 steps a second, turned into the bike's axes. None of it is taken from the code under test.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import butter, sosfilt, sosfiltfilt

from telemetry.model.finding import End
from telemetry.model.inertial import Attitude, InertialSignal, Mounting, On
from telemetry.model.ride import Clocks, Ride

STEPS_HZ = 4000.0
G = 9.80665
HEAD_DEG, WHEELBASE_M = 64.0, 1.25
FRONT_PATH = np.array([-np.cos(np.radians(HEAD_DEG)), 0.0, np.sin(np.radians(HEAD_DEG))])
REAR_PATH = np.array([0.0, 0.0, 1.0])
AHEAD_M = {"front": 0.75, "rear": -0.50}
"""Of both axles, from what the bike turns about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """What a bike does, 4000 steps a second: travel of both ends, height, pitch (nose down), way forward."""

    travel_m: dict[End, np.ndarray]
    height_m: np.ndarray
    pitch_rad: np.ndarray
    forward_m: np.ndarray


def band(count: int, low_hz: float, high_hz: float, rms: float, rng: np.random.Generator) -> np.ndarray:
    """Return noise between two frequencies."""
    shaped = sosfiltfilt(butter(2, (low_hz, high_hz), "band", fs=STEPS_HZ, output="sos"), rng.standard_normal(count))
    return np.asarray(rms * shaped / shaped.std())


def at_rest_outside(signal: np.ndarray, seconds: float, standing_s: float) -> np.ndarray:
    """Return a signal that fades in from 0 after so long and out again as long before the end."""
    time = np.arange(signal.shape[0]) / STEPS_HZ
    near = np.minimum(time, seconds - time) - standing_s
    return np.asarray(signal * np.sin(np.pi / 2 * np.clip(near, 0, 1)) ** 2)


def ridden(seconds: float = 40.0, *, standing_s: float = 4.0, seed: int = 2) -> Moves:
    """Return a made ride: ends that move 15 mm rms at 0.2 to 12 Hz, on a bike that heaves and pitches."""
    rng, count = np.random.default_rng(seed), round(seconds * STEPS_HZ)

    def faded(low_hz: float, high_hz: float, rms: float) -> np.ndarray:
        return at_rest_outside(band(count, low_hz, high_hz, rms, rng), seconds, standing_s)

    travel: dict[End, np.ndarray] = {end: faded(1.0, 12.0, 0.012) + faded(0.2, 1.0, 0.009) for end in ("front", "rear")}
    return Moves(
        travel_m=travel,
        height_m=faded(0.3, 4.0, 0.05),
        pitch_rad=faded(0.3, 4.0, 0.04),
        forward_m=faded(0.2, 2.0, 0.2),
    )


def _second_difference(path: np.ndarray) -> np.ndarray:
    inner = (path[2:] - 2 * path[1:-1] + path[:-2]) * STEPS_HZ**2
    return np.concatenate([inner[:1], inner, inner[-1:]])


def felt(moves: Moves, place_m: np.ndarray) -> np.ndarray:
    """Return specific force in the bike's axes at a place given in them, shape (n, 3) each, m/s2."""
    cos, sin = np.cos(moves.pitch_rad), np.sin(moves.pitch_rad)
    x = moves.forward_m + cos * place_m[:, 0] + sin * place_m[:, 2]
    z = moves.height_m - sin * place_m[:, 0] + cos * place_m[:, 2]
    ahead, up = _second_difference(x), _second_difference(z) + G
    return np.column_stack([cos * ahead - sin * up, np.zeros(ahead.shape), sin * ahead + cos * up])


def place_of(moves: Moves, end: End, on: On, *, off_m: tuple[float, float] = (0.0, 0.0)) -> np.ndarray:
    """Return where a sensor sits, in the bike's axes: the axle, or the chassis `off_m` ahead of and above it."""
    rest = np.array([AHEAD_M[end], 0.0, 0.0])
    way = FRONT_PATH if end == "front" else REAR_PATH
    if on == "wheel":
        return np.asarray(rest + moves.travel_m[end][:, None] * way)
    return np.tile(rest + np.array([off_m[0], 0.0, off_m[1]]), (moves.height_m.shape[0], 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """What is wrong with a sensor, and how it is read."""

    rate_hz: float = 500.0
    noise_m_s2_rthz: float = 0.0
    bias_m_s2: float = 0.0
    range_g: float = 1e6
    scale: float = 1.0
    askew_deg: float = 0.0
    """What its mounting was found wrong by, about y."""
    gyro_bias_rad_s: float = 0.0
    heading_known: bool = True
    gyroscope: bool = True
    smoothed: bool = True
    """Whether it has a low-pass of its own, at 0.4 of the rate."""
    arm_m: float | None = None
    """Length of the swingarm it sits on and turns with, nose down as the wheel goes up."""


def sampled(
    force: np.ndarray,
    turning: np.ndarray,
    site: tuple[End, On],
    fitted: Fitted,
    *,
    stated_m: tuple[float, float] | None = None,
) -> InertialSignal:
    """Return a sensor's signal of what it feels 4000 times a second: band-limited, sampled, with noise, in 16 bits."""
    (end, on), every = site, round(STEPS_HZ / fitted.rate_hz)
    rng = np.random.default_rng(len(end) + len(on))
    smooth = butter(2, 0.4 * fitted.rate_hz, fs=STEPS_HZ, output="sos")
    turned = np.radians(fitted.askew_deg)
    cos, sin = np.cos(turned), np.sin(turned)
    force = force @ np.array([[cos, 0, sin], [0, 1, 0], [-sin, 0, cos]]).T
    if fitted.smoothed:
        force = sosfilt(smooth, force - force[0], axis=0) + force[0]
    sd = fitted.noise_m_s2_rthz * np.sqrt(fitted.rate_hz / 2)
    force = fitted.scale * force[::every]
    force = force + fitted.bias_m_s2 + rng.normal(0, sd, force.shape) if sd else force
    limit = fitted.range_g * G
    saturated = np.any(np.abs(force) >= limit, axis=1)
    if limit < 1e4:
        force = np.clip(np.rint(force / limit * 2**15) * limit / 2**15, -limit, limit)
    none = np.zeros(force.shape[0])
    return InertialSignal(
        sensor=f"{end}_{on}",
        end=end,
        on=on,
        specific_force_m_s2=force,
        rotation_rad_s=turning[::every] + fitted.gyro_bias_rad_s if fitted.gyroscope else None,
        mounting=Mounting(to_bike=np.eye(3), residual_deg=0.0, heading_known=fitted.heading_known, found_from="made"),
        attitude=Attitude(pitch_rad=none, roll_rad=none, within_deg=1.0, upward_m_s2=none, forward_m_s2=none),
        noise_m_s2=sd,
        saturated=saturated,
        ahead_m=None if stated_m is None else stated_m[0],
        above_m=None if stated_m is None else stated_m[1],
    )


def sensed(
    moves: Moves, end: End, on: On, fitted: Fitted, *, off_m: tuple[float, float] = (0.0, 0.0)
) -> InertialSignal:
    """Return one sensor's signal on the made bike; a chassis' sensor `off_m` ahead of and above the axle."""
    force = felt(moves, place_of(moves, end, on, off_m=off_m))
    arm_rad = np.zeros(force.shape[0]) if fitted.arm_m is None else moves.travel_m[end] / fitted.arm_m
    ahead, up = force[:, 0].copy(), force[:, 2].copy()
    force[:, 0] = np.cos(arm_rad) * ahead - np.sin(arm_rad) * up
    force[:, 2] = np.sin(arm_rad) * ahead + np.cos(arm_rad) * up
    none = np.zeros(force.shape[0])
    turning = np.column_stack([none, np.gradient(moves.pitch_rad + arm_rad, 1 / STEPS_HZ), none])
    return sampled(force, turning, (end, on), fitted)


def sensed_ride(
    *signals: InertialSignal,
    rate_hz: float,
    segments: tuple[tuple[int, int], ...] | None = None,
    clocks: Clocks = "one",
) -> Ride:
    """Return a ride of these sensors alone."""
    count = signals[0].specific_force_m_s2.shape[0]
    time_s = np.arange(count) / rate_hz
    return Ride(
        name="made",
        setup="a",
        time_s=time_s,
        rate_hz=rate_hz,
        segments=segments or ((0, count),),
        ends={},
        start_s=0.0,
        end_s=float(time_s[-1]),
        start_from="log",
        end_from="log",
        ground_speed=None,
        findings=(),
        history=(),
        clocks=clocks,
        inertial={signal.site: signal for signal in signals},
    )


def above_1_hz(signal: np.ndarray, rate_hz: float) -> np.ndarray:
    return np.asarray(sosfiltfilt(butter(4, 1.0, "high", fs=rate_hz, output="sos"), signal))
