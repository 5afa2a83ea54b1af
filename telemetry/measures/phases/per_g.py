"""How far an end moves for each g of braking or accelerating, stretch by stretch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.units import STANDARD_GRAVITY_M_S2

from .slow import SlowClock

LEAST_S = 5.0
FEWEST_STRETCHES = 5
MARGIN_S = 1.0
LONGEST_LAG_S = 0.4
LEAST_RANGE_G = 0.1
DEVIATION_TO_SD = 1.443
WIDEST_SPREAD = 0.5
"""Own choices: five stretches of a second each give a slope to about a tenth on an even trail; a damper lets a leg
follow within a few tenths of a second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PerG:
    """Movement a g of acceleration.

    Attributes
    ----------
    value : float
        Weighted mean of the middle half of the stretches' slopes, in the moved signal's unit a g.
    spread : float
        Its standard error: the middle half's mean deviation, as a normal distribution's sd, over the root of how many
        stretches there are.
    stretches : int
    lag_s : float
        How much later the end moves than the bike is braked.
    """

    value: float
    spread: float
    stretches: int
    lag_s: float


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
    """

    clock: SlowClock
    pull_g: Floats
    stretches: tuple[Stretch, ...]
    ground: Bools
    what: str


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
    """Return stretches with a second before and after, as far as it was ridden on the ground; no two overlap."""
    margin, wide = round(MARGIN_S * pulled.clock.rate_hz), list[Stretch]()
    ridden = pulled.clock.stretches(pulled.ground)
    for start, stop in pulled.stretches:
        around = [
            (max(first, start - margin), min(last, stop + margin)) for first, last in ridden if first <= start < last
        ]
        for first, last in around:
            wide.append((max(first, wide[-1][1]) if wide else first, last))
    return wide


def _slopes(pull_g: Floats, moved: Floats, wide: list[Stretch], lag: int) -> tuple[Floats, Floats, float]:
    """Return each stretch's slope and weight, and how much of the movement a common slope leaves."""
    sums = np.zeros((len(wide), 3))
    for place, (start, stop) in enumerate(wide):
        x = pull_g[start : stop - lag] - pull_g[start : stop - lag].mean()
        y = moved[start + lag : stop] - moved[start + lag : stop].mean()
        sums[place] = x @ x, x @ y, y @ y
    pulled, common = sums[:, 0], sums[:, 1].sum() / sums[:, 0].sum()
    left = float((sums[:, 2] - 2 * common * sums[:, 1] + common**2 * pulled).sum() / sums[:, 2].sum())
    return sums[:, 1] / pulled, pulled, left


def per_g(pulled: Pulled, moved: Floats) -> PerG | Missing:
    """Return how far something moves a g.

    Parameters
    ----------
    pulled : Pulled
    moved : float array, shape (blocks,)
        Travel, % of full travel, or pitch, deg; low-passed as the acceleration is.

    Notes
    -----
    Each stretch is widened by a second before and after. Within it, least squares of movement on acceleration, each
    about its own mean; movement later by the one lag of 0 to 0.4 s that leaves the least over all stretches. The
    slopes' middle half is averaged, weighted by how much each stretch was pulled. Quasi-static: what a spring gives
    way to (load transfer m a h / wheelbase), the leg's own oscillation left out by the low-pass.
    """
    rate_hz = pulled.clock.rate_hz
    lags = range(0, round(LONGEST_LAG_S * rate_hz) + 1, max(1, round(0.02 * rate_hz)))
    wide = [item for item in _widened(pulled) if item[1] - item[0] > lags[-1] + round(rate_hz / 2)]
    wide = [item for item in wide if np.ptp(pulled.pull_g[slice(*item)]) >= LEAST_RANGE_G]
    lasts = sum(stop - start for start, stop in pulled.stretches) / rate_hz
    if lasts < LEAST_S or len(wide) < FEWEST_STRETCHES:
        needed = f"at least {LEAST_S:g} s in {FEWEST_STRETCHES} stretches needed"
        return Missing(f"{lasts:.1f} s of {pulled.what} in {len(wide)} stretches ({needed})")
    tried = {lag: _slopes(pulled.pull_g, moved, wide, lag) for lag in lags}
    best = min(tried, key=lambda lag: tried[lag][2])
    slopes, weights, _ = tried[best]
    value = middle_mean(slopes, weights)
    effective = float(weights.sum() ** 2 / (weights**2).sum())
    spread = DEVIATION_TO_SD * middle_mean(np.abs(slopes - value), weights) / np.sqrt(effective)
    if spread > WIDEST_SPREAD * abs(value):
        return Missing(
            f"{len(wide)} stretches of {pulled.what} don't agree: {value:.2g} with a spread of {spread:.2g} a g "
            f"(limit {WIDEST_SPREAD:.0%} of it)"
        )
    return PerG(value=value, spread=float(spread), stretches=len(wide), lag_s=best / rate_hz)


def pull_of(m_s2: Floats, *, losing: bool) -> Floats:
    """Return forward acceleration in g, positive where speed is lost, or where it is gained."""
    return (-1.0 if losing else 1.0) * m_s2 / STANDARD_GRAVITY_M_S2
