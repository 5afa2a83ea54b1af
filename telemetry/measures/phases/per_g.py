"""How far an end moves for each g of braking or accelerating, stretch by stretch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.units import STANDARD_GRAVITY_M_S2

from .slow import SlowClock

LEAST_S = 5.0
FEWEST_STRETCHES = 5
MARGIN_S = 3.0
SHORTEST_S = 0.5
LONGEST_SETTLING_S, SETTLING_STEP_S = 0.4, 0.02
LEAST_RANGE_G = 0.1
DEVIATION_TO_SD = 1.443
WIDEST_SPREAD = 0.5
TRAIL_SHARE = 0.06
"""Own choices: five stretches of a second each give a slope to about a tenth on an even trail; a damper lets a leg
follow within a few tenths of a second. Simulated bikes that are shaken by a trail dive 5 to 8 % less than on smooth
ground: legs swing to where springs are stiffer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PerG:
    """Movement a g of acceleration.

    Attributes
    ----------
    value : float
        Weighted mean of the middle half of the stretches' slopes, in the moved signal's unit a g.
    spread : float
        Its standard error: the middle half's mean deviation, as a normal distribution's sd, over the root of how many
        stretches there are; with it, as root of squares, the 6 % by which a trail changes it.
    stretches : int
    settling_s : float
        The time constant by which the end follows the brakes.
    """

    value: float
    spread: float
    stretches: int
    settling_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulled:
    """Acceleration on a slow clock and what was ridden of it: what movement is laid against.

    Attributes
    ----------
    clock : SlowClock
    pull_g : float array, shape (blocks,)
        Positive as the phase has it: of braking, deceleration.
    stretches : tuple of (start, stop)
        The phase's, in blocks.
    ground : bool array, shape (blocks,)
        Ridden on the ground, landings settled: where a stretch may be widened to.
    what : str
        "braking" or "accelerating".
    heavier : float array, shape (blocks,), or None
        How much beyond its weight the bike is pressed down in turns, in weights; None where that isn't known.
    """

    clock: SlowClock
    pull_g: Floats
    stretches: tuple[Stretch, ...]
    ground: Bools
    what: str
    heavier: Floats | None = None


def middle_mean(values: Floats, weights: Floats) -> float:
    """Return the weighted mean of what lies between the lower and the upper quarter of the weight.

    Examples
    --------
    >>> import numpy as np
    >>> middle_mean(np.array([90.0, 1.0, 2.0, 3.0]), np.ones(4))
    2.5
    """
    order = np.argsort(values)
    share = weights[order] / weights.sum()
    passed = np.cumsum(share)
    inside = np.clip(passed, 0.25, 0.75) - np.clip(passed - share, 0.25, 0.75)
    return float(values[order] @ inside / inside.sum())


def _widened(pulled: Pulled) -> list[Stretch]:
    """Return stretches with 3 s around them as far as it was on the ground, half way to their neighbours at most."""
    margin, ridden = round(MARGIN_S * pulled.clock.rate_hz), pulled.clock.stretches(pulled.ground)
    halfway = [(before[1] + after[0]) // 2 for before, after in pairwise(pulled.stretches)]
    wide: list[Stretch] = []
    bounds = pairwise([0, *halfway, pulled.clock.count])
    for (start, stop), (left, right) in zip(pulled.stretches, bounds, strict=False):
        inside = next(((first, last) for first, last in ridden if first <= start < last), None)
        if inside is not None:
            wide.append((max(inside[0], start - margin, left), min(inside[1], stop + margin, right)))
    return wide


class _Rows:
    """The blocks of all widened stretches, one after the other."""

    def __init__(self, wide: list[Stretch]) -> None:
        lengths = [stop - start for start, stop in wide]
        self.blocks = np.concatenate([np.arange(*item) for item in wide])
        self._of, self._count = np.repeat(np.arange(len(wide)), lengths), np.array(lengths)

    def sums(self, values: Floats) -> Floats:
        """Return each stretch's sum."""
        return np.asarray(np.bincount(self._of, values), dtype=float)

    def about_own_means(self, values: Floats) -> Floats:
        """Return a signal's blocks, each stretch's about its own mean."""
        kept = values[self.blocks]
        return np.asarray(kept - (self.sums(kept) / self._count)[self._of])


def _without(values: Floats, others: Floats) -> Floats:
    """Return what least squares on other columns leave of one."""
    return np.asarray(values - others @ np.linalg.lstsq(others.T @ others, others.T @ values, rcond=None)[0])


def _parted(pulled: Pulled, moved: Floats, rows: _Rows, settling_s: float) -> tuple[Floats, Floats]:
    """Return the pull and the movement, what goes with the pull's other way and with turns taken out of both."""
    follows = pulled.clock.followed(pulled.pull_g, settling_s)
    others = [np.minimum(follows, 0.0)]
    if pulled.heavier is not None:
        others.append(pulled.clock.followed(pulled.heavier, settling_s))
    beside = np.column_stack([rows.about_own_means(one) for one in others])
    pull = rows.about_own_means(np.maximum(follows, 0.0))
    return _without(pull, beside), _without(rows.about_own_means(moved), beside)


def _left(parted: tuple[Floats, Floats]) -> float:
    """Return how much of the movement one slope for all stretches leaves."""
    pull, moved = parted
    return float(moved @ moved - (pull @ moved) ** 2 / (pull @ pull))


def per_g(pulled: Pulled, moved: Floats) -> PerG | Missing:
    """Return how far something moves a g.

    Parameters
    ----------
    pulled : Pulled
    moved : float array, shape (blocks,)
        Travel, % of full travel; low-passed as the acceleration is.

    Notes
    -----
    Each stretch is widened by 3 s before and after, half way to its neighbours at most. Within it, least squares of
    movement on acceleration, each about its own mean; acceleration goes through the one time constant of 0 to 0.4 s
    that leaves the least over all stretches. Brakes and drive act at different places, so that the line bends where one
    gives way to the other: both sides have a slope of their own, and so has what turns press down. The slopes' middle
    half is averaged, weighted by how much each stretch was pulled. Quasi-static: what a spring gives way to (load
    transfer m a h / wheelbase), the leg's own oscillation left out by the low-pass.
    """
    rate_hz = pulled.clock.rate_hz
    lost = np.maximum(pulled.pull_g, 0.0)
    wide = [item for item in _widened(pulled) if item[1] - item[0] >= round(SHORTEST_S * rate_hz)]
    wide = [item for item in wide if np.ptp(lost[slice(*item)]) >= LEAST_RANGE_G]
    lasts = sum(stop - start for start, stop in pulled.stretches) / rate_hz
    if lasts < LEAST_S or len(wide) < FEWEST_STRETCHES:
        needed = f"at least {LEAST_S:g} s in {FEWEST_STRETCHES} stretches needed"
        return Missing(f"{lasts:.1f} s of {pulled.what} in {len(wide)} stretches ({needed})")
    rows = _Rows(wide)
    tried = [SETTLING_STEP_S * k for k in range(round(LONGEST_SETTLING_S / SETTLING_STEP_S) + 1)]
    parted = {settling_s: _parted(pulled, moved, rows, settling_s) for settling_s in tried}
    best = min(tried, key=lambda settling_s: _left(parted[settling_s]))
    pull, with_it = parted[best]
    weights = rows.sums(pull**2)
    slopes = rows.sums(pull * with_it) / weights
    value = middle_mean(slopes, weights)
    effective = float(weights.sum() ** 2 / (weights**2).sum())
    spread = DEVIATION_TO_SD * middle_mean(np.abs(slopes - value), weights) / math.sqrt(effective)
    if spread > WIDEST_SPREAD * abs(value):
        return Missing(
            f"{len(wide)} stretches of {pulled.what} don't agree: {value:.2g} with a spread of {spread:.2g} a g "
            f"(limit {WIDEST_SPREAD:.0%} of it)"
        )
    error = math.hypot(spread, TRAIL_SHARE * value)
    return PerG(value=value, spread=error, stretches=len(wide), settling_s=best)


def pull_of(m_s2: Floats, *, losing: bool) -> Floats:
    """Return forward acceleration in g, positive where speed is lost, or where it is gained."""
    return (-1.0 if losing else 1.0) * m_s2 / STANDARD_GRAVITY_M_S2
