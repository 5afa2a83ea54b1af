"""How many runs rare events take, and what change of their rate so many runs see."""

from __future__ import annotations

import math
from dataclasses import replace

from scipy import optimize, special

from telemetry.statistics.counting import FEWEST_EVENTS, HALF
from telemetry.statistics.family import INNER_LEVEL
from telemetry.statistics.runs_needed import CHANCE, chance_seen, fewest, unchanged_reach, upper_share

from .spread import CountSpread

LARGEST_FACTOR = 100.0
_STEPS = 46  # a tenth on the log scale each


def upper_counts(found: CountSpread) -> CountSpread:
    """Return the same events with the overdispersion that the true one exceeds in one case of five."""
    if found.nu is None:
        return found
    return replace(found, phi=found.phi * upper_share(found.nu))


def count_chance(found: CountSpread, n: int, change: float, level: float) -> float:
    """Return the chance that a rate fallen by a factor ``exp(change)`` is seen with n runs of each.

    Notes
    -----
    As the comparison judges counts, with the events expected in both setups: ``d = log(Y'_A / Y'_B)``,
    ``v = 1/Y'_A + 1/Y'_B``, Y' = Y + 0.5, half-width the larger of ``t sqrt(phi v)`` (nu = 2n - 2, phi as estimated
    from as many runs) and ``z sqrt(v)``; times the chance that 10 events or more happen at all. A rise by the same
    factor brings more events and is seen more often.
    """
    events = found.rate_per_min * found.minutes * n
    before, after = events + HALF, events * math.exp(-change) + HALF
    v = 1 / before + 1 / after
    delta = math.log(before / after) / math.sqrt(found.phi * v)
    least = -float(special.ndtri(level / 2)) / math.sqrt(found.phi)
    enough = float(special.pdtrc(FEWEST_EVENTS - 1, events * (1 + math.exp(-change))))
    return enough * chance_seen(delta, 2 * n - 2, level, least)


def runs_for_counts(
    found: CountSpread, margin: float, level: float, *, most: int, inner_level: float = INNER_LEVEL
) -> int | None:
    """Return the smallest n with an 80 % chance of "unchanged" at equal rates, and of "changed" at a true change.

    Parameters
    ----------
    found : CountSpread
    margin : float
        Logarithm of the smallest factor that matters.
    level : float
    most : int
    inner_level : float
        Of the two one-sided tests.
    """

    def same(n: int) -> bool:
        se = math.sqrt(2 * found.phi / (found.rate_per_min * found.minutes * n + HALF))
        return unchanged_reach(2 * n - 2, inner_level) * se <= margin

    return fewest(lambda n: same(n) and count_chance(found, n, margin, level) >= CHANCE, most)


def detectable_count_change(found: CountSpread, n: int, level: float) -> float | None:
    """Return the logarithm of the least factor that n runs of each see with an 80 % chance; None where none is seen.

    Notes
    -----
    The chance doesn't grow for ever: what falls to next to nothing leaves too few events to tell by how much.
    """

    def lacking(change: float) -> float:
        return count_chance(found, n, change, level) - CHANCE

    steps = [math.log(LARGEST_FACTOR) * step / _STEPS for step in range(1, _STEPS + 1)]
    first = next((step for step in steps if lacking(step) >= 0), None)
    if first is None:
        return None
    return float(optimize.brentq(lacking, first - steps[0], first, xtol=1e-9))
