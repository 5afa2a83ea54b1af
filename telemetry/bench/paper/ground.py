"""The ground under a wheel out of the wheel's path and what its tyre carries; where it carries nothing, some ground."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter

from telemetry.dynamics.car import Wheel
from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.model.stretches import stretches

CARRIES_NOTHING_N = 80.0
"""Below this a tyre is taken to be off the ground: what forces, low-pass and noise leave in doubt. Own choice."""
SLOPE_OVER = 3
"""Samples over which the ground's slope beside a stretch that wasn't felt is taken; own choice."""
DEEPER_M_S = 0.2
"""How far ground that no tyre feels may lie below the smooth path, for each second it isn't felt: one standard
deviation; own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelPath:
    """One wheel's height, m, and what its tyre carries by the balance of forces, N, a sample a row of the log."""

    height_m: Floats
    tyre_n: Floats
    wheel: Wheel

    @property
    def off(self) -> Bools:
        """Where the tyre carries nothing."""
        found: Bools = np.asarray(self.tyre_n < CARRIES_NOTHING_N)
        return found

    @property
    def unseen(self) -> tuple[Stretch, ...]:
        """The stretches over which the tyre carries nothing, with ground that is felt to both sides."""
        first, last = SLOPE_OVER + 1, self.tyre_n.shape[0] - SLOPE_OVER - 1
        return tuple((start, stop) for start, stop in stretches(self.off) if start >= first and stop <= last)

    @property
    def left_over_n(self) -> Floats:
        """What the balance leaves over where the tyre carries nothing: pushes on the wheel that no part explains."""
        return np.asarray(np.where(self.off, self.tyre_n, 0.0))


def ground_m(path: WheelPath, rate_hz: float, rng: np.random.Generator | None = None) -> Floats:
    """Return the height of the ground, m, shape (n,).

    Parameters
    ----------
    path : WheelPath
    rate_hz : float
    rng : numpy Generator, optional
        Draws how deep the ground lies where it isn't felt; else it is the smooth path.

    Notes
    -----
    Wheel plus tyre: ``P = k d + c d'`` by the bilinear transform. Over an unseen stretch a cubic that goes on from both
    sides' heights and slopes, less a parabola of the drawn depth; never above the wheel.
    """
    wheel, double = path.wheel, 2 * rate_hz * path.wheel.tyre_n_s_m
    carried = np.where(path.off, np.maximum(path.tyre_n, 0.0), path.tyre_n)
    pressed = lfilter([1.0, 1.0], [wheel.tyre_n_m + double, wheel.tyre_n_m - double], carried)
    found: Floats = path.height_m + np.asarray(pressed, dtype=float)
    for start, stop in path.unseen:
        _lay(found, path.height_m, (start - 1, stop), rate_hz, rng)
    return found


def _lay(ground: Floats, wheel: Floats, between: Stretch, rate_hz: float, rng: np.random.Generator | None) -> None:
    """Lay the ground between two samples that are felt, in place."""
    first, last = between
    steps = last - first
    share = np.arange(1, steps) / steps
    rise = (ground[first] - ground[first - SLOPE_OVER]) / SLOPE_OVER * steps
    fall = (ground[last + SLOPE_OVER] - ground[last]) / SLOPE_OVER * steps
    smooth = (2 * share**3 - 3 * share**2 + 1) * ground[first] + (share**3 - 2 * share**2 + share) * rise
    smooth += (3 * share**2 - 2 * share**3) * ground[last] + (share**3 - share**2) * fall
    if rng is not None:
        depth = DEEPER_M_S * steps / rate_hz * rng.standard_normal()
        smooth = smooth - depth * 4 * share * (1 - share)
    ground[first + 1 : last] = np.minimum(smooth, wheel[first + 1 : last])
