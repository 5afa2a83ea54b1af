"""Whether a gyroscope tells the turns that gravity's direction shows, and its unit or sense where it doesn't."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch
from telemetry.model.stretches import mask_of

from .bands import in_band, is_held
from .blocks import blocks_of
from .directions import unit

BLOCKS_HZ = 20.0
BAND_HZ = 0.2, 1.5
"""Leaning and pitching of a bike: slower than the trail's bumps, faster than what a gyroscope drifts by."""

LEAST_LIKENESS = 0.7
"""Correlation of both; below it gravity's direction judges nothing: brakes, drive and turns swing it, too."""

MOST_TIMES = 8.0
"""A gyroscope that tells so many times more or less than gravity's direction turns has another unit."""

LIVELIEST_RAD_S = 5.0
"""Standard deviation of a bike's rotation about its liveliest axis, own choice: trails reach 1 to 2."""

CALMEST_RAD_S = 0.008
"""A bike that moves turns more than that, own choice: a rover without springs on asphalt, 0.05."""

CALMEST_A_SHAKE = 0.003
"""And at least so many rad/s for each m/s2 that what it feels spreads by, own choice: simulated natural trails turn a
bike by 0.029 to 0.078, a rover without springs by 0.035 and 0.046; rad/s read as deg/s is a 57th of that."""

ASTRAY_DEG = 20.0
"""Turns that leave gravity's direction so uncertain over a ride: one axis reversed reaches 50 and more."""

MOVING_S = 20.0
"""So much movement is needed to judge either."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnsTold:
    """What a gyroscope tells beside what gravity's direction shows.

    Attributes
    ----------
    times : float
        How many times as fast gravity's direction turns as the gyroscope tells; negative: the other way round.
    likeness : float
        Size of their correlation, 0 to 1.
    spread_rad_s : float or None
        Standard deviation of the liveliest axis where the sensor isn't at rest; None with too little of that.
    shaken_m_s2 : float
        That of the specific force there, of all axes together.
    """

    times: float
    likeness: float
    spread_rad_s: float | None
    shaken_m_s2: float = 0.0

    @property
    def calmest_rad_s(self) -> float:
        """The least spread that is believed of a bike shaken so."""
        return max(CALMEST_RAD_S, CALMEST_A_SHAKE * self.shaken_m_s2)

    @property
    def wrong(self) -> str:
        """What is wrong with it: "too large", "too small", "reversed"; "" where nothing is."""
        if self.spread_rad_s is not None and self.spread_rad_s > LIVELIEST_RAD_S:
            return "too large"
        if self.spread_rad_s is not None and self.spread_rad_s < self.calmest_rad_s:
            return "too small"
        if self.likeness < LEAST_LIKENESS:
            return ""
        if self.times < 0:
            return "reversed"
        if self.times > MOST_TIMES:
            return "too small"
        return "too large" if self.times < 1 / MOST_TIMES else ""


def turns_told(
    force: Floats, turning: Floats, rate_hz: float, segments: tuple[Stretch, ...], rests: tuple[Stretch, ...]
) -> TurnsTold:
    """Return how a gyroscope's turns go with those of gravity's direction.

    Parameters
    ----------
    force, turning : float array, shape (3, n)
        m/s2 and rad/s in the sensor's own axes.
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free.
    rests : tuple of (start, stop)
        Where the sensor is at rest by its acceleration.

    Notes
    -----
    A direction u that stays where it is on the ground turns in the sensor's axes by ``du/dt = -w x u``. Both sides are
    band-passed at 0.2 to 1.5 Hz, ``times = sum(left . right) / sum(right . right)``.
    """
    size = max(1, round(rate_hz / BLOCKS_HZ))
    blocks = blocks_of(segments, size)
    felt, turned = blocks.means(force), blocks.means(turning)
    sums, rate = np.zeros(3), rate_hz / size
    for first, last in blocks.parts:
        if is_held(last - first, rate, BAND_HZ[1]):
            up = unit(felt[:, first:last])
            shown = np.gradient(up, axis=1) * rate
            told = -np.cross(turned[:, first:last], up, axis=0)
            left, right = in_band(shown, rate, BAND_HZ), in_band(told, rate, BAND_HZ)
            sums += ((left * right).sum(), (right**2).sum(), (left**2).sum())
    moving = ~mask_of(rests, force.shape[1])[blocks.starts + size // 2]
    enough = bool(moving.sum() >= MOVING_S * rate)
    least = 1e-300
    return TurnsTold(
        times=float(sums[0] / max(sums[1], least)),
        likeness=float(abs(sums[0]) / np.sqrt(max(sums[1] * sums[2], least))),
        spread_rad_s=float(turned[:, moving].std(axis=1).max()) if enough else None,
        shaken_m_s2=float(np.sqrt(felt[:, moving].var(axis=1).sum())) if enough else 0.0,
    )
