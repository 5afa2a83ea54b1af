"""Where a sensor is at rest, and what it reads there: gravity, the gyroscope's bias, noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.model.stretches import lasting, stretches

from .blocks import Blocks, blocks_of
from .directions import angles_deg, unit

BLOCK_S = 0.25
SHORTEST_S = 1.0
MOMENT_S = 0.5
"""A stand so short tells which way is up, and no more: a ride that never stands longer is level for a moment between
pushes, before its start."""
STILL_SHARE = 0.025
"""Of the length of what is felt: standard deviation of the livelier axis over a block; a rider astride stays within."""

LEVEL_SHARE = 0.15
"""The length felt at rest lies so near the middle of all blocks' lengths: a flight is still, too."""

STILL_RAD_S = 0.06
"""Standard deviation of the livelier axis over a block, and what a block's mean lies from that of all still ones."""

UNTOUCHED_RAD_S = 0.005
"""Standard deviation of the livelier axis over a block: a gyroscope's own noise lies below it. One that rolls round in
circles over smooth ground turns by one rate, too, and is shaken by more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """What a sensor reads at rest, in its own axes.

    Attributes
    ----------
    source : str
        Where it was at rest, in words.
    level_m_s2 : float
        Length of the mean specific force, by the stated unit.
    up : float array, shape (3,)
        Unit vector against gravity.
    stretches : int
        How many there are.
    residual_deg : float
        How far they (of a single one, its blocks) lie from their mean direction, at most.
    bias_rad_s : float array, shape (3,), or None
        What the gyroscope reads; None without one.
    noise_m_s2 : float
        Standard deviation of a sample of the livelier axis over the quietest block.
    """

    source: str
    level_m_s2: float
    up: Floats
    stretches: int
    residual_deg: float
    bias_rad_s: Floats | None
    noise_m_s2: float


def _blocks(segments: tuple[Stretch, ...], rate_hz: float) -> Blocks:
    return blocks_of(segments, max(2, round(BLOCK_S * rate_hz)))


def _still(means: Floats, spreads: Floats) -> Bools:
    """Tell which blocks of the specific force are still, whichever unit it is in."""
    length = np.sqrt((means**2).sum(axis=0))
    level = float(np.median(length))
    near = np.abs(length - level) <= LEVEL_SHARE * level
    still: Bools = near & (spreads <= STILL_SHARE * level)
    return still


def _not_turning(means: Floats, spreads: Floats, still: Bools) -> Bools:
    """Tell which still blocks don't turn either: what is read there may be bias alone."""
    steady = (spreads <= UNTOUCHED_RAD_S) | (np.abs(means).max(axis=0) <= STILL_RAD_S)
    quiet: Bools = still & (spreads <= STILL_RAD_S) & steady
    if not quiet.any():
        return quiet
    middle = np.median(means[:, quiet], axis=1)[:, None]
    quiet &= np.abs(means - middle).max(axis=0) <= STILL_RAD_S
    return quiet


@dataclass(frozen=True, slots=True, kw_only=True)
class StillBlocks:
    """Blocks of a quarter of a second, and which of them are still.

    Attributes
    ----------
    still : bool array, shape (k,)
    """

    blocks: Blocks
    still: Bools

    def not_turning(self, turning: Floats) -> StillBlocks:
        """Return those that don't turn either.

        Parameters
        ----------
        turning : float array, shape (3, n)
            rad/s.

        Notes
        -----
        No axis spreads by more than 0.06 rad/s; where it reads more than that, by no more than its noise.
        """
        blocks, still = self.blocks, self.still
        if still.any():
            still = _not_turning(blocks.means(turning), blocks.spreads(turning), still)
        return StillBlocks(blocks=blocks, still=still)

    @property
    def rests(self) -> tuple[Stretch, ...]:
        """The sample ranges of four still blocks in a row or more."""
        return self._lasting(SHORTEST_S)

    @property
    def moments(self) -> tuple[Stretch, ...]:
        """The sample ranges of two still blocks in a row or more."""
        return self._lasting(MOMENT_S)

    def _lasting(self, shortest_s: float) -> tuple[Stretch, ...]:
        found = lasting(stretches(self.still, self.blocks.parts), 1 / BLOCK_S, shortest_s)
        starts = self.blocks.starts
        return tuple((int(starts[first]), int(starts[last - 1]) + self.blocks.size) for first, last in found)


def still_blocks(force: Floats, rate_hz: float, segments: tuple[Stretch, ...]) -> StillBlocks:
    """Return where a sensor is still by its specific force.

    Parameters
    ----------
    force : float array, shape (3, n)
        In any unit.
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free.

    Notes
    -----
    Blocks of 0.25 s in which no axis spreads by more than 2.5 % of gravity.
    """
    blocks = _blocks(segments, rate_hz)
    means = blocks.means(force)
    still = _still(means, blocks.spreads(force)) if means.size else np.empty(0, dtype=bool)
    return StillBlocks(blocks=blocks, still=still)


def rest_of(
    source: str, force: Floats, turning: Floats | None, rate_hz: float, rests: tuple[Stretch, ...]
) -> Rest | None:
    """Return what a sensor reads over stretches at rest; None where there are none.

    Parameters
    ----------
    source : str
        Where it was at rest, in words.
    force : float array, shape (3, n)
        m/s2.
    turning : float array, shape (3, n), or None
        rad/s.
    rate_hz : float
    rests : tuple of (start, stop)
    """
    if not rests:
        return None
    blocks = _blocks(rests, rate_hz)
    each = unit(np.stack([force[:, start:stop].mean(axis=1) for start, stop in rests], axis=1))
    up = unit(each.sum(axis=1))
    apart = each if len(rests) > 1 else unit(blocks.means(force))
    levels = np.sqrt((blocks.means(force) ** 2).sum(axis=0))
    return Rest(
        source=source,
        level_m_s2=float(np.median(levels)),
        up=up,
        stretches=len(rests),
        residual_deg=float(angles_deg(apart, up[:, None]).max()),
        bias_rad_s=None if turning is None else np.median(blocks.means(turning), axis=1),
        noise_m_s2=float(blocks.spreads(force).min()),
    )


def least_noise(force: Floats, rate_hz: float, segments: tuple[Stretch, ...]) -> float:
    """Return the spread over the quietest block of a sensor that is never at rest: its noise is no more than that.

    Parameters
    ----------
    force : float array, shape (3, n)
        m/s2.
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free.

    Returns
    -------
    float
        Of the livelier axis, m/s2.
    """
    return float(np.min(_blocks(segments, rate_hz).spreads(force), initial=float(force.std(axis=1).max())))
