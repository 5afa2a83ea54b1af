"""From rides on paper to an expected change: its middle, its interval, and what of the interval comes from where."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t

from telemetry.model.prediction import LEVEL, Agreement

CERTAIN, MOVED_SHARE, FEWEST_NU = 0.05, 0.8, 4
"""Chance by which two that agree would be said to disagree, over the whole of a day's rows; own choice."""


@dataclass(frozen=True, slots=True)
class Model:
    """What a row is off by in rides whose truth is known, one standard deviation, on the row's own scale.

    Attributes
    ----------
    share : float
        Of the expected change.
    apart : float
        For each point of full travel that the two rides lie apart, root mean square.
    """

    share: float
    apart: float


MODEL = {
    "dynamic_sag": Model(0.03, 0.035),
    "travel_p95": Model(0.04, 0.04),
    "hit_depth_10_per_min": Model(0.05, 0.13),
    "sag_difference": Model(0.02, 0.02),
    "compression_speed_10_per_min": Model(0.1, 0.0007),
    "rebound_speed_10_per_min": Model(0.1, 0.002),
    "compression_speed_ratio": Model(0.05, 0.0013),
    "rebound_speed_ratio": Model(0.1, 0.0015),
    "hits_per_min": Model(0.05, 0.002),
    "recovery_time": Model(0.08, 0.009),
    "packing": Model(0.15, 0.11),
    "deep_hits_per_min": Model(0.15, 0.1),
    "bottom_outs_per_min": Model(0.2, 0.15),
    "top_outs_per_min": Model(0.2, 0.1),
}
"""By measure: points, mm, or the logarithm of a ratio. Most likely, beside runs and unseen ground, on simulated days
of natural trails whose parts were stated exactly, rounded up, and widened where rides of other worlds, written apart
from this one, were told too surely; of counts too few were there: own choices."""
USUAL_MODEL = Model(0.15, 0.05)
COUNTED_EITHER_WAY = 0.2
"""Of one hit in each run: so many may lie on either side of the bound that is counted from. Own choice."""
NO_NEARER = 0.02
"""Of the smallest change that matters, one standard deviation: no bike is nearer to its model, whatever simulated ones
say of an end that nothing was changed at. Own choice."""
LEAST_APART = 0.05
"""Points of full travel: two rides on paper are never taken to lie nearer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trials:
    """One row's changes on paper, on its own scale.

    Attributes
    ----------
    by_run : sequence of float
        With parts as stated over the smooth ground, a run of the baseline each.
    by_parts : sequence of float
        With drawn parts, less the same run's with parts as stated; a draw each.
    again : sequence of (float, float)
        Of draws that were ridden in two runs: the same in each of them.
    by_ground : sequence of float
        Over drawn ground, less the same run's over the smooth one.
    apart : float
        How far the two rides' travel lies apart, root mean square over all draws of parts, % of full travel.
    counted : float or None
        Of a row that counts: how many a run has, mean over both rides.
    """

    by_run: Sequence[float]
    by_parts: Sequence[float]
    by_ground: Sequence[float]
    apart: float
    again: Sequence[tuple[float, float]] = ()
    counted: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """An expected change and its 90 % half-widths, on the row's own scale; these add as squares.

    `sd` is one standard deviation of all but the runs.
    """

    change: float
    half: float
    parts: float
    ground: float
    runs: float
    model: float
    sd: float


def _mean_square(values: Sequence[float]) -> float:
    return float(np.mean(np.square(values))) if len(values) else 0.0


def _of_parts(trials: Trials) -> float:
    """Return the variance by parts that is common to all runs.

    A draw moves each run by what it does to any, and by which bumps its deepest hits then are. The latter differs from
    run to run as the runs' own changes do, and stands in their spread already.
    """
    by_chance = _mean_square([one - other for one, other in trials.again]) / 2
    return max(_mean_square(trials.by_parts) - by_chance, 0.0)


def _of_ground(drawn: Sequence[float], count: int) -> float:
    """Return the variance by unseen ground that is common to all runs; of a single run, all of it.

    What a drawn ground does otherwise in each run is chance, and stands in the runs' own spread already.
    """
    if len(drawn) < 2:
        return _mean_square(drawn)
    by_chance = float(np.var(drawn, ddof=1)) / len(drawn)
    common = max(float(np.mean(drawn)) ** 2 - by_chance, 0.0)
    return common if count > 1 else common + len(drawn) * by_chance


def variances(trials: Trials, measure: str, smallest: float = 0.0) -> tuple[float, float, float, float]:
    """Return what an expected change is off by, as variances: by parts, by unseen ground, by runs, by the model.

    Parameters
    ----------
    trials : Trials
    measure : str
    smallest : float
        The smallest change that matters, on the row's own scale.

    Notes
    -----
    The model is off by a share of what the change is, not of what it is by parts as stated: of two springs that are
    nearly alike as stated it isn't surer than of others. Where little is counted, one hit more or less is much.
    """
    count, change = len(trials.by_run), float(np.mean(trials.by_run))
    runs = float(np.var(trials.by_run, ddof=1)) / count if count > 1 else 0.0
    own, parts = MODEL.get(measure.removesuffix("_mm"), USUAL_MODEL), _of_parts(trials)
    model = own.share**2 * (change**2 + parts) + (own.apart * max(trials.apart, LEAST_APART)) ** 2
    model += (NO_NEARER * smallest) ** 2
    if trials.counted is not None:
        model += (COUNTED_EITHER_WAY / (trials.counted + 0.5)) ** 2
    return parts, _of_ground(trials.by_ground, count), runs, model


def expected_change(trials: Trials, measure: str, smallest: float = 0.0) -> Expected:
    """Return what is expected, with its 90 % interval; arguments as of `variances`.

    Notes
    -----
    The mean over runs; variances add, and the half-width of their sum is that of Student's t at the degrees of freedom
    by Welch and Satterthwaite: few runs widen it as far as it rests on them. Parts are off alike in every run, so their
    spread isn't divided by the number of runs. With a single run there is no spread of runs.
    """
    own = variances(trials, measure, smallest)
    whole, runs = sum(own), own[2]
    nu = (len(trials.by_run) - 1) * (whole / runs) ** 2 if runs > 0 else math.inf
    sure = float(t.ppf(1 - LEVEL / 2, nu))
    halves = [sure * math.sqrt(variance) for variance in own]
    return Expected(
        change=float(np.mean(trials.by_run)),
        half=sure * math.sqrt(whole),
        parts=halves[0],
        ground=halves[1],
        runs=halves[2],
        model=halves[3],
        sd=math.sqrt(max(whole - runs, 0.0)),
    )


@dataclass(frozen=True, slots=True)
class Seen:
    """A measured change on a row's own scale, half its interval at a level, and the degrees of freedom that rests on.

    The level is 0.1 of a 90 % interval; where several looks were planned a comparison's is stricter.
    """

    change: float
    half: float
    nu: float
    level: float = LEVEL


MOST_TIMES_NU = 2.0
"""Runs alike by luck would lend the parts' certainty to the whole: in simulation 15 % false days without this bound."""


def chance_apart(change: float, sd: float, seen: Seen) -> float:
    """Return by what chance the two lie so far apart where they agree: Welch's freedom, at most twice the runs'.

    Both start from the baseline's own runs; that those differ from the candidate's stands in what was measured.
    """
    known = sd**2
    measured = (seen.half / float(t.ppf(1 - seen.level / 2, seen.nu))) ** 2
    variance = known + measured
    if variance == 0:
        return 1.0 if change == seen.change else 0.0
    welch = seen.nu * (variance / measured) ** 2 if measured > 0 else math.inf
    nu = min(welch, MOST_TIMES_NU * seen.nu)
    return float(2 * t.sf(abs(change - seen.change) / math.sqrt(variance), nu))


def _unlikely(chances: Sequence[tuple[float, int]], level: float) -> set[int]:
    """Return the rows that chance doesn't explain, all of them taken together (Holm's rule)."""
    found: set[int] = set()
    for rank, (chance, place) in enumerate(sorted(chances)):
        if chance > level / (len(chances) - rank):
            break
        found.add(place)
    return found


def agreements(
    expected: Sequence[Expected], measured: Sequence[Seen | None], smallest: Sequence[float]
) -> list[Agreement | None]:
    """Return whether what was measured agrees with what was expected, row by row.

    Parameters
    ----------
    expected, measured : sequences of Expected and Seen
        On each row's own scale; None where nothing was measured.
    smallest : sequence of float
        The smallest change that matters, on the same scale.

    Notes
    -----
    A row disagrees where the two lie further apart than chance puts any of a day's rows on one day in twenty; rows that
    the change should move share most of that chance, the others the rest, as rows in focus do of a comparison. With
    fewer than three runs of each none disagrees: two runs that are alike by luck would let anything disagree. A row
    agrees where the two lie within their 90 % half-widths (as squares) and these are no more than the smallest change
    that matters, or leave no doubt about the direction. Else the runs can't tell.
    """
    pairs = list(zip(expected, measured, strict=True))
    moved = [abs(own.change) > own.half for own in expected]
    disagreeing: set[int] = set()
    for should_move, level in ((True, MOVED_SHARE * CERTAIN), (False, (1 - MOVED_SHARE) * CERTAIN)):
        chances = [
            (chance_apart(own.change, own.sd, seen), place)
            for place, (own, seen) in enumerate(pairs)
            if seen is not None and seen.nu >= FEWEST_NU and moved[place] == should_move
        ]
        disagreeing |= _unlikely(chances, level)
    return [
        None if seen is None else "disagrees" if place in disagreeing else _agrees(own, seen, smallest[place])
        for place, (own, seen) in enumerate(pairs)
    ]


def _agrees(own: Expected, seen: Seen, least: float) -> Agreement:
    together = math.hypot(own.half, seen.half)
    sure = min(abs(own.change) - own.half, abs(seen.change) - seen.half) > 0 and own.change * seen.change > 0
    near = abs(own.change - seen.change) <= together
    return "agrees" if near and (together <= least or sure) else "can't tell"


def strongest(draws: Sequence[dict[str, float]], changes: Sequence[float]) -> tuple[str, float] | None:
    """Return the figure whose draws a change follows most, and what share of its spread that explains; None if none.

    Parameters
    ----------
    draws : sequence of dict
        By how many widths each figure was off, draw by draw.
    changes : sequence of float
        Of the same draws.
    """
    if len(draws) < MANY or float(np.std(changes)) == 0:
        return None
    names = set.intersection(*(set(draw) for draw in draws))
    shares = {}
    for name in sorted(names):
        off = np.array([draw[name] for draw in draws])
        if off.std() > 0:
            shares[name] = float(np.corrcoef(off, changes)[0, 1]) ** 2
    if not shares:
        return None
    best = max(shares, key=lambda name: shares[name])
    return (best, shares[best]) if shares[best] >= TELLING else None


MANY, TELLING = 12, 0.3
"""Draws needed, and the share of a change's spread that one figure has to explain, to name it; own choices."""
