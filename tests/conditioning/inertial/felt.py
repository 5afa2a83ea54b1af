"""What an inertial sensor reads on a bike whose motion is known, in any case and unit; and how it is cleaned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.signal import butter, sosfiltfilt
from scipy.spatial.transform import Rotation

from telemetry.conditioning.inertial import CleanedInertial, InertialRecipe, LoggedRide, Rest, clean_inertial
from telemetry.model.sensor import InertialSensor

G = 9.80665
ACCELERATION, ROTATION = ("ax", "ay", "az"), ("gx", "gy", "gz")
RATE_HZ = 200.0


@dataclass(frozen=True, kw_only=True)
class Motion:
    """How a place on a bike moves: upward and forward along the ground, m/s2, and pitch and roll, rad.

    In a turn it leans so that nothing pulls to its side: a roll goes with an acceleration to that side.
    """

    rate_hz: float
    upward: np.ndarray
    forward: np.ndarray
    pitch: np.ndarray
    roll: np.ndarray

    def felt(self) -> tuple[np.ndarray, np.ndarray]:
        """Return specific force, m/s2, and rotation, rad/s, in the bike's axes, shape (n, 3).

        The turn from the bike's axes to the ground's is the pitch about y after the roll about x, without yaw; the
        rotation is that turn's own, from one sample to the next, in the bike's axes.
        """
        turn = Rotation.from_euler("YX", np.column_stack([self.pitch, self.roll]))
        along = np.column_stack([self.forward, -G * np.tan(self.roll), self.upward + G])
        steps = (turn[:-1].inv() * turn[1:]).as_rotvec() * self.rate_hz
        return turn.inv().apply(along), np.vstack([steps, steps[-1:]])


def trail(seconds: float = 90.0, *, end: str = "front", rate_hz: float = RATE_HZ, seed: int = 3) -> Motion:
    """Return a ride over a rough trail between two stands of 5 s, as one end of a 1.25 m chassis feels it at 6 m/s.

    Either end's height is noise about 2 Hz, the rear's that of the front 0.21 s later; the chassis pitches as they
    differ. Slopes of 6 degrees, leans of 15, three brakes of 0.4 g, drive in between.
    """
    rng = np.random.default_rng(seed)
    count = round(seconds * rate_hz)
    time_s = np.arange(count) / rate_hz
    riding = np.clip(np.minimum(time_s - 5.0, seconds - 5.0 - time_s), 0.0, 1.0)
    riding = riding**2 * (3 - 2 * riding)
    later = round(1.25 / 6.0 * rate_hz)
    rough = sosfiltfilt(butter(2, (1.0, 4.0), "bandpass", fs=rate_hz, output="sos"), rng.normal(size=count + later))
    rough *= 0.012 / rough.std()
    front, rear = riding * rough[later:], riding * rough[:count]

    def slow(size: float, lowest: float, highest: float) -> np.ndarray:
        wide = sosfiltfilt(butter(2, (lowest, highest), "bandpass", fs=rate_hz, output="sos"), rng.normal(size=count))
        return riding * size * wide / wide.std()

    brakes = sum(np.exp(-(((time_s - share * seconds) / 0.8) ** 2)) for share in (0.3, 0.55, 0.8))
    drive = sum(np.exp(-(((time_s - share * seconds) / 1.6) ** 2)) for share in (0.08, 0.4, 0.65))
    stop = np.exp(-(((time_s - seconds + 7.0) / 0.7) ** 2))
    own = front if end == "front" else rear
    return Motion(
        rate_hz=rate_hz,
        upward=np.gradient(np.gradient(own)) * rate_hz**2,
        forward=2.0 * drive - 4.0 * (brakes / 1.2 + stop / 2.0),
        pitch=(rear - front) / 1.25 + slow(np.radians(4.0), 0.03, 0.2),
        roll=slow(np.radians(8.0), 0.1, 0.4),
    )


def standing(seconds: float, rate_hz: float = RATE_HZ) -> Motion:
    """Return a bike that stands level."""
    none = np.zeros(round(seconds * rate_hz))
    return Motion(rate_hz=rate_hz, upward=none, forward=none, pitch=none, roll=none)


def columns(
    motion: Motion,
    case: Rotation | None = None,
    *,
    a_g: float = G,
    a_rad_s: float = 1.0,
    noise_m_s2: float = 0.02,
    bias_rad_s: tuple[float, float, float] = (0.0, 0.0, 0.0),
    seed: int = 5,
) -> dict[str, np.ndarray]:
    """Return what a sensor reads whose case is turned against the bike's axes by `case`.

    `a_g` and `a_rad_s` are what it reads for 1 g and 1 rad/s; noise and bias are of its own axes.
    """
    rng = np.random.default_rng(seed)
    force, turning = motion.felt()
    if case is not None:
        force, turning = case.inv().apply(force), case.inv().apply(turning)
    force = (force + rng.normal(0.0, noise_m_s2, force.shape)) * a_g / G
    turning = (turning + rng.normal(0.0, 0.002, force.shape) + np.array(bias_rad_s)) * a_rad_s
    read = dict(zip(ACCELERATION, force.T, strict=True)) | dict(zip(ROTATION, turning.T, strict=True))
    return {axis: np.ascontiguousarray(values) for axis, values in read.items()}


def sensor(*, gyroscope: bool = True, **keys: object) -> InertialSensor:
    axes = (*ACCELERATION, *ROTATION) if gyroscope else ACCELERATION
    stated = {"acceleration_unit": "m/s2"} | ({"rotation_unit": "rad/s"} if gyroscope else {}) | keys
    placed = {"name": "crown", "end": "front", "columns": {axis: axis for axis in axes}} | stated
    return InertialSensor(**placed)  # type: ignore[arg-type]


def cleaned(
    read: Mapping[str, np.ndarray],
    of: InertialSensor | None = None,
    rate_hz: float = RATE_HZ,
    still: Rest | None = None,
    lifted: Rest | None = None,
) -> CleanedInertial:
    recipe = InertialRecipe(sensor=of or sensor(), still=still, lifted=lifted)
    count = next(iter(read.values())).shape[0]
    ride = LoggedRide(name="run_1", rate_hz=rate_hz, segments=((0, count),), column=lambda name: read[str(name)])
    (found,) = clean_inertial(ride, (recipe,), None)
    return found
