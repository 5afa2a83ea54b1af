"""A stretch of trail carried over from the run it was marked in to another: between fixed places, or by movement."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch

from .alignment import Alignment, align
from .missing import Missing
from .sections import ridden_distance_m, ridden_samples
from .view import RunMotion

ALIGNED_S = 0.5
"""How well aligning by travel knows a place: on simulated laps 95 of 100 places lie within 0.4 s (own choice above)."""
EVEN_PACE_SHARE = 0.15
"""Of the riding time to the nearest fixed place: on simulated laps, whose pace varies by an eighth, 95 of 100 places
lie within it. Own choice."""
EVEN_DISTANCE_SHARE = 0.02
"""The same where distance is logged: a wheel's slip and line between two fixed places. Own choice."""
SURE_SHARE = 0.25
"""Of a stretch's length that may be unknown of its place: three quarters of it are ridden then at least. Own choice."""

Fixed: TypeAlias = tuple[int, int]
"""The sample of one run, and that of the other in the same place."""
Aligning: TypeAlias = Callable[[RunMotion, RunMotion], Alignment]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Where in a run a stretch of another lies.

    Attributes
    ----------
    stretch : (start, stop)
        Samples.
    by : str
        What carried it, in words that stand after "by".
    known_to_s : float
        How far its place may be off, s of riding.
    """

    stretch: Stretch
    by: str
    known_to_s: float


def _passed(run: RunMotion, *, metres: bool) -> Floats:
    """Return what has been ridden before each sample and after the last: m, or s of riding."""
    ridden = ridden_distance_m(run) if metres else None
    passed = ridden_samples(run) / run.time.rate_hz if ridden is None else ridden
    return np.concatenate([[0.0], passed])


def _evenly(source: RunMotion, run: RunMotion, where: Stretch, fixed: Sequence[Fixed]) -> Carried | None:
    """Return the stretch at even shares of what is ridden between fixed places; None where they don't reach around."""
    if len(fixed) < 2 or where[0] < fixed[0][0] or where[1] > fixed[-1][0]:
        return None
    here, there = np.array(fixed, dtype=np.int64).T
    metres = all(ridden_distance_m(one) is not None for one in (source, run))
    passed, of_run = (_passed(one, metres=metres) for one in (source, run))
    at = np.interp(passed[list(where)], passed[here], of_run[there])
    start, stop = np.searchsorted(of_run, at).tolist()
    clock = _passed(source, metres=False)
    nearest_s = max(float(np.abs(clock[here] - clock[sample]).min()) for sample in where)
    share, by = (EVEN_DISTANCE_SHARE, "distance") if metres else (EVEN_PACE_SHARE, "riding time")
    return Carried(stretch=(start, stop), by=by, known_to_s=share * nearest_s)


def _aligned(source: RunMotion, run: RunMotion, where: Stretch, aligning: Aligning) -> Carried | None:
    """Return the stretch where the runs' movement agrees with it; None where it doesn't agree enough to tell."""
    alignment = aligning(source, run)
    if not alignment.good:
        return None
    passed, of_run = (_passed(one, metres=False) for one in (source, run))
    at = np.interp(passed[list(where)] / passed[-1], alignment.reference, alignment.run) * of_run[-1]
    start, stop = np.searchsorted(of_run, at).tolist()
    by = "travel" if source.ends.keys() & run.ends.keys() else "shaking"
    return Carried(stretch=(start, stop), by=by, known_to_s=ALIGNED_S)


def _ways(
    source: RunMotion, run: RunMotion, where: Stretch, fixed: Sequence[Fixed], aligning: Aligning
) -> Iterator[Carried]:
    """Yield each way that carries the stretch over; aligned only where that may be the surer one, for it takes time."""
    evenly = _evenly(source, run, where, fixed)
    if evenly is not None:
        yield evenly
    aligned = None if evenly is not None and evenly.known_to_s <= ALIGNED_S else _aligned(source, run, where, aligning)
    if aligned is not None:
        yield aligned


def carried(
    source: RunMotion, run: RunMotion, where: Stretch, fixed: Sequence[Fixed], aligning: Aligning = align
) -> Carried | Missing:
    """Return where in a run a stretch of another lies, by whatever knows it best.

    Parameters
    ----------
    source : RunMotion
        The run it was marked in.
    run : RunMotion
        The other, with riding time.
    where : (start, stop)
        Samples of `source`.
    fixed : sequence of (sample of source, sample of run)
        Places that both passed there, rising: marks, and start and end where both rode all of the trail.
    aligning : callable
        Returns how two runs are aligned, where what `align` found is used again.

    Returns
    -------
    Carried or Missing
        Missing where its place isn't known to a quarter of its length.

    Notes
    -----
    Between fixed places at even shares of distance, where both runs log it, else of riding time; or where travel
    agrees, warped coarse envelopes as `align` finds them.
    """
    found = min(_ways(source, run, where, fixed, aligning), key=lambda way: way.known_to_s, default=None)
    if found is None:
        return Missing("no marks around it, and movement agrees too little to find it")
    start, stop = (_passed(source, metres=False)[sample] for sample in where)
    if found.known_to_s > SURE_SHARE * (stop - start):
        most = SURE_SHARE * (stop - start)
        return Missing(f"its place is known to {found.known_to_s:.1f} s by {found.by} (at most {most:.1f} s needed)")
    return found
