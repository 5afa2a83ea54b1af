"""Which way is up, all along a ride: the gyroscope's turns, held by gravity, from both ends of each stretch."""

from __future__ import annotations

from dataclasses import dataclass

import imufusion
import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.units import STANDARD_GRAVITY_M_S2

from .directions import angles_deg, unit

RIDING_GAIN = 0.02
"""1/s: over some 50 s what a bike does along the ground evens out, and a good gyroscope turns a degree astray."""

RESTING_GAIN = 1.0
"""1/s: at rest nothing but gravity is felt."""

START_S = 3.0
"""Over which what is felt first, or last, gives the way up where the sensor isn't at rest there."""

SURE_S = 1.0
"""Added to the time since the last rest where the two directions are weighed against each other."""

LEAST_DEG = 0.5
"""An accelerometer's own bias tilts what it takes for up by so much: 0.09 m/s2."""

WITHIN_PCT = 95.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UpAlong:
    """The way up in the sensor's level axes, at the edges of blocks.

    Attributes
    ----------
    up : float array, shape (3, k + 1)
        Unit vectors; `k` blocks have one edge more.
    apart_deg : float array, shape (k + 1,)
        How far they may be off: what the two directions in time disagree by, weighed as they are.
    """

    up: Floats
    apart_deg: Floats


def _start(force: Floats, resting: Bools, rate_hz: float) -> tuple[Floats, float]:
    """Return the way up before the first block, and how many seconds ago it was as good as known."""
    still = int(np.argmin(resting)) if not resting.all() else resting.shape[0]
    if still:
        return unit(force[:, :still].sum(axis=1)), 0.0
    return unit(force[:, : max(1, round(START_S * rate_hz))].sum(axis=1)), 1.0 / RIDING_GAIN


def _quaternion(up: Floats) -> Floats:
    """Return the shortest turn that brings `up` to z, as w x y z."""
    turn = np.array([1.0 + up[2], up[1], -up[0], 0.0])
    if turn[0] < 1e-9:
        turn = np.array([0.0, 1.0, 0.0, 0.0])
    return np.asarray(turn / np.linalg.norm(turn), dtype=float)


def _one_way(force: Floats, turning: Floats, resting: Bools, rate_hz: float) -> tuple[Floats, Floats]:
    """Return the way up at each block's edge, in the order of time given, and the age of what is known."""
    count = force.shape[1]
    filtering = imufusion.Ahrs()
    settings = imufusion.AhrsSettings()
    settings.sample_rate = rate_hz
    filtering.set_settings(settings)
    filtering.skip_startup()
    first, age_s = _start(force, resting, rate_hz)
    filtering.set_quaternion(_quaternion(first))
    length = np.sqrt((force**2).sum(axis=0)) / STANDARD_GRAVITY_M_S2
    gains = np.where(resting, RESTING_GAIN, RIDING_GAIN * length).tolist()
    found = np.empty((count + 1, 3))
    found[0] = first
    turns = np.ascontiguousarray(np.degrees(turning).T)
    felt = np.ascontiguousarray(force.T) / STANDARD_GRAVITY_M_S2
    for place, gain in enumerate(gains):  # forces, not their directions, are what evens out: each counts by its length
        settings.gain = gain
        filtering.set_settings(settings)
        filtering.update_no_magnetometer(turns[place], felt[place])
        found[place + 1] = filtering.get_gravity()
    return found.T, _ages(resting, rate_hz, age_s)


def _ages(resting: Bools, rate_hz: float, first_s: float) -> Floats:
    """Return the seconds since the last rest at each block's edge; `first_s` is that of the first edge."""
    edges = np.arange(resting.shape[0] + 1)
    last = np.maximum.accumulate(np.where(np.concatenate([[False], resting]), edges, -1))
    return np.where(last >= 0, (edges - last) / rate_hz, first_s + edges / rate_hz)


def up_along(force: Floats, turning: Floats, resting: Bools, rate_hz: float) -> UpAlong:
    """Return the way up along one gap-free stretch.

    Parameters
    ----------
    force, turning : float array, shape (3, k)
        Means over blocks, m/s2 and rad/s, bias taken out, in axes that are near level: z up.
    resting : bool array, shape (k,)
    rate_hz : float
        Blocks a second.

    Returns
    -------
    UpAlong

    Notes
    -----
    A complementary filter [Madgwick2014] goes through the stretch forward in time and backward. Either is held by
    rests it has passed, so that the younger counts more: ``w = age of the other / sum of both``. Where they part, at
    least one is wrong; the blend's error is taken as ``angle * sqrt(w (1 - w))``, as of two independent estimates.
    """
    ahead, age = _one_way(force, turning, resting, rate_hz)
    back, age_back = _one_way(force[:, ::-1], -turning[:, ::-1], resting[::-1], rate_hz)
    back, age_back = back[:, ::-1], age_back[::-1]
    longest = 1.0 / RIDING_GAIN
    age, age_back = age.clip(max=longest) + SURE_S, age_back.clip(max=longest) + SURE_S
    share = age_back / (age + age_back)
    apart = angles_deg(ahead, back)
    return UpAlong(up=unit(share * ahead + (1 - share) * back), apart_deg=apart * np.sqrt(share * (1 - share)))
