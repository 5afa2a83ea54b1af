"""Which way is up, all along a ride: the gyroscope's turns, held by gravity, from both ends of each stretch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter
from scipy.spatial.transform import Rotation

from telemetry.model.arrays import Bools, Floats

from .directions import angles_deg, unit

RIDING_GAIN = 0.02
"""1/s: over some 50 s what a bike does along the ground evens out, and a good gyroscope turns a degree astray."""

RESTING_GAIN = 1.0
"""1/s: at rest nothing but gravity is felt."""

START_S = 20.0
"""Over which what is felt first, or last, gives the way up where the sensor isn't at rest there."""

SURE_S = 1.0
"""Added to the time since the last rest where the two directions are weighed against each other."""

LEAST_DEG = 1.0
"""An accelerometer's own bias tilts what it takes for up by so much: 0.17 m/s2."""

WITHIN_PCT, FEW_TIMES = 95.0, 1.25
"""A ride is a few independent tries long: on simulated natural trails so much more holds 95 % of errors."""


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


def _turned(turning: Floats, rate_hz: float) -> Floats:
    """Return how the axes lie at each block's edge against where they lay at first, by the gyroscope alone, as w x y z.

    imufusion's own correction by gravity stays off: it goes by directions, and an axle that falls faster than freely
    feels up from below.
    """
    import imufusion  # noqa: PLC0415 - few days have inertial sensors

    summing = imufusion.Ahrs()
    settings = imufusion.AhrsSettings()
    settings.sample_rate, settings.gain = rate_hz, 0.0
    summing.set_settings(settings)
    summing.skip_startup()
    found = np.zeros((turning.shape[1] + 1, 4))
    found[0, 0] = 1.0
    nothing = np.zeros(3)
    for place, turns in enumerate(np.ascontiguousarray(np.degrees(turning).T), 1):
        summing.update_no_magnetometer(turns, nothing)
        found[place] = summing.get_quaternion()
    return found


def _start(felt: Floats, resting: Bools, rate_hz: float) -> tuple[Floats, float]:
    """Return the way up before the first block, and how many seconds ago it was as good as known."""
    still = resting.shape[0] if resting.all() else int(np.argmin(resting))
    count = still or max(1, round(START_S * rate_hz))
    return felt[:, :count].mean(axis=1), 0.0 if still else 1.0 / RIDING_GAIN


def _one_way(felt: Floats, resting: Bools, rate_hz: float) -> tuple[Floats, Floats]:
    """Return the way up in axes that don't turn at each block's edge, in the order of time given, and its age, s."""
    first, age_s = _start(felt, resting, rate_hz)
    found, state = [first[:, None]], first
    bounds = np.flatnonzero(np.diff(resting)) + 1
    for part, still in zip(np.split(felt, bounds, axis=1), resting[np.concatenate([[0], bounds])], strict=True):
        share = -np.expm1(-(RESTING_GAIN if still else RIDING_GAIN) / rate_hz)
        even, _ = lfilter([share], [1.0, share - 1.0], part, axis=1, zi=(1.0 - share) * state[:, None])
        found.append(even)
        state = even[:, -1]
    return unit(np.concatenate(found, axis=1)), _ages(resting, rate_hz, age_s)


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
    A complementary filter in two steps: the gyroscope's turns [Madgwick2014] give axes that don't turn, and in these
    the mean of what is felt over some 50 s (1 s at rest) is gravity; forces are averaged, not their directions, so that
    impacts even out. It goes through the stretch forward in time and backward. Either is held by rests it has passed,
    so that the younger counts more: ``w = age of the other / sum of both``. Where they part, at least one is wrong; the
    blend's error is taken as ``angle * sqrt(w (1 - w))``, as of two independent estimates.
    """
    edges = _turned(turning, rate_hz)
    halfway = Rotation.from_quat(edges[1:] + edges[:-1], scalar_first=True)
    felt = np.ascontiguousarray(halfway.apply(force.T).T)
    ahead, age = _one_way(felt, resting, rate_hz)
    back, age_back = _one_way(felt[:, ::-1], resting[::-1], rate_hz)
    back, age_back = back[:, ::-1], age_back[::-1]
    longest = 1.0 / RIDING_GAIN
    age, age_back = age.clip(max=longest) + SURE_S, age_back.clip(max=longest) + SURE_S
    share = age_back / (age + age_back)
    apart = angles_deg(ahead, back)
    up = Rotation.from_quat(edges, scalar_first=True).inv().apply(unit(share * ahead + (1 - share) * back).T).T
    return UpAlong(up=up, apart_deg=apart * np.sqrt(share * (1 - share)))
