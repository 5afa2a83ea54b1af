"""Where a sensor's readings stand still to the last digit: no rest, and nothing to judge scale or direction by."""

from __future__ import annotations

import numpy as np

from telemetry.conditioning.noise import sensor_step
from telemetry.model.arrays import Bools, Floats
from telemetry.model.inertial import FROZEN_S
from telemetry.model.motion import Stretch
from telemetry.model.stretches import lasting, mask_of, stretches

LOOKED_AT_S = 0.25
"""Readings so far apart are compared first: what differs there isn't frozen."""

FINE_SHARE = 0.001
"""Of the middle length of what is felt: a coarser step may hide a sound sensor's noise at rest."""

JUMP_SHARE = 0.05
"""Of the same: a stand is entered and left more gently, from one reading to the next, than a ride is cut off."""


def frozen_stretches(
    force: Floats, turning: Floats | None, rate_hz: float, segments: tuple[Stretch, ...]
) -> tuple[Stretch, ...]:
    """Return where all axes repeat themselves to the last digit for 1.5 s or more.

    Parameters
    ----------
    force : float array, shape (3, n)
        In any unit.
    turning : float array, shape (3, n), or None
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free.

    Notes
    -----
    A sensor's noise changes its last digits unless its steps are coarser than that: with steps of over a thousandth of
    gravity nothing is told. Nor is it where the readings neither jump to what they repeat nor away from it.
    """
    axes = [*force] if turning is None else [*force, *turning]
    apart = max(1, round(LOOKED_AT_S * rate_hz))
    if not _repeated([axis[::apart] for axis in axes]).any():
        return ()
    same = np.concatenate([[False], _repeated(axes)])
    found = lasting(stretches(same, segments), rate_hz, FROZEN_S)
    level = float(np.median(np.sqrt((force[:, ::apart] ** 2).sum(axis=0))))
    if not found or max(sensor_step(axis) for axis in force) > FINE_SHARE * level:
        return ()
    starts = {start for start, _ in segments}
    return tuple(stretch for stretch in found if _jump(force, stretch, starts) > JUMP_SHARE * level)


def _repeated(axes: list[Floats]) -> Bools:
    """Tell which readings but the first equal the ones before, on every axis."""
    same = np.ones(axes[0].shape[0] - 1, dtype=bool)
    for axis in axes:
        same &= axis[1:] == axis[:-1]
    return same


def _jump(force: Floats, stretch: Stretch, starts: set[int]) -> float:
    """Return the larger of the steps into and out of what is repeated, none across a gap."""
    start, stop = stretch
    edges = [place for place in (start - 1, stop) if 0 < place < force.shape[1] and place not in starts]
    return max((float(np.abs(force[:, place] - force[:, place - 1]).max()) for place in edges), default=0.0)


def living_stretches(count: int, frozen: tuple[Stretch, ...], segments: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    """Return the gap-free stretches in which a sensor lives; all of a ride in which it never does.

    Parameters
    ----------
    count : int
        Samples of the ride.
    frozen, segments : tuple of (start, stop)
    """
    if not frozen:
        return segments
    return tuple(stretches(~mask_of(frozen, count), segments)) or segments
