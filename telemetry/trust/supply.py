"""A supply that fails: from one row to the next readings lie at 0 V, at full scale or wherever the input floats."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End, Finding
from telemetry.model.motion import EndMotion, Stretch
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

from .blocks import quiet_stretches
from .lifeless import ONE_STEP

LOST_S, WITHIN_SHARE = 10.0, 0.03
"""So long readings stay within so much of full travel; shorter ones are `stuck` or `stopped_dead`. Own choices."""
BLOCK_S, MOST, FLAT_SHARE, WHITE = 0.5, 0.8, 0.005, 1.0
"""They are dead where most half seconds stay within so much of full travel, or are noise: the mean square from one row
to the next over their variance is 2 of white noise, 1.3 of such between the rows of another clock, less of what a wheel
does. A floating input may drift. Own choices."""
CLEAR = 3.0
"""So many times as far off as any reading of the first two seconds is a reading that isn't dead yet. Own choice."""
JUMP_ROWS, JUMP_MM_S, JUMP_SHARE = 2, 500.0, 0.02
"""On an uneven clock a jump lies in two rows: no end comes to a long rest from such a speed, by so much of full travel.
Own choices."""
REST_SHARE, LEG_MM_S, OTHER_HITS = 0.03, 4000.0, 10
"""So near to topped out (or to full travel, where a sensor reads upside down) a bike that is lifted or lies may rest:
there it takes a jump faster than a leg extends, another end that dies at the same row or makes so many hits meanwhile.
Own choices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dead:
    """One stretch of dead readings: samples [start, stop), level where it begins, and the jumps into and out of it, mm.

    `spread_mm` is that of the dead readings, their first and last second left out. A jump is 0 where the stretch begins
    or ends with the log, or at a gap.
    """

    start: int
    stop: int
    level_mm: float
    into_mm: float
    out_mm: float
    spread_mm: float


def _edge(travel: Floats, inside: Stretch, least: float) -> tuple[int, float, float]:
    """Return how many samples dead readings reach before `inside`, their level there, and the jump into them, mm.

    Parameters
    ----------
    travel : float array, shape (n,)
        A gap-free stretch; reversed, it gives the edge behind.
    inside : (start, stop)
        Samples well inside the dead readings, near this edge.
    least : float
        Spread they are given at least, mm.
    """
    start, stop = inside
    level = float(np.median(travel[start:stop]))
    spread = max(least, CLEAR * float(np.abs(travel[start:stop] - level).max()))
    off = np.flatnonzero(np.abs(travel[:start] - level) > spread)
    if not off.size:
        return start, level, 0.0
    last = int(off[-1])
    return start - last - 1, level, float(np.abs(travel[max(0, last - 1) : last + 1] - level).max())


def _is_dead(travel: Floats, block: int, full_mm: float) -> bool:
    """Tell whether readings are flat, or nothing but noise, in most blocks of so many samples."""
    blocks = travel[: travel.shape[0] // block * block].reshape(-1, block)
    flat = np.ptp(blocks, axis=1) <= FLAT_SHARE * full_mm
    noise = np.mean(np.diff(blocks, axis=1) ** 2, axis=1) > WHITE * np.var(blocks, axis=1)
    return float(np.mean(flat | noise)) > MOST


def dead_stretches(travel_mm: Floats, rate_hz: float, full_mm: float, least_mm: float) -> list[Dead]:
    """Return where one gap-free stretch's readings are dead for 10 s or more.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
        Cleaned wheel travel.
    rate_hz, full_mm : float
    least_mm : float
        What the converter's step is at the wheel.
    """
    found = []
    second = max(1, round(rate_hz))
    for a, b in quiet_stretches(travel_mm, round(LOST_S * second), WITHIN_SHARE * full_mm):
        if not _is_dead(travel_mm[a + second : b - second], max(4, round(BLOCK_S * rate_hz)), full_mm):
            continue
        earlier, level, into = _edge(travel_mm, (a + second, a + 3 * second), 2 * least_mm)
        backward = travel_mm[::-1]
        behind = travel_mm.shape[0] - b + second
        later, _, out = _edge(backward, (behind, behind + 2 * second), 2 * least_mm)
        spread = float(np.ptp(travel_mm[a + second : b - second]))
        start, stop = a + second - earlier, b - second + later
        found.append(Dead(start=start, stop=stop, level_mm=level, into_mm=into, out_mm=out, spread_mm=spread))
    return found


def _dead_of(ride: Ride, signal: EndSignal) -> list[Dead]:
    full_mm, least_mm = signal.full_travel_mm, signal.noise.sensor_step_mm
    return [
        replace(dead, start=first + dead.start, stop=first + dead.stop)
        for first, stop in ride.ridden_segments
        for dead in dead_stretches(signal.cleaned_mm[first:stop], ride.rate_hz, full_mm, least_mm)
    ]


def _at_once(dead: Dead, others: Sequence[Dead]) -> float:
    """Return the largest jump by which another end's readings died or came back at the same row, mm; 0 where none."""
    into = (other.into_mm for other in others if dead.into_mm and abs(other.start - dead.start) <= JUMP_ROWS)
    out = (other.out_mm for other in others if dead.out_mm and abs(other.stop - dead.stop) <= JUMP_ROWS)
    return max((0.0, *into, *out))


def _is_lost(ride: Ride, signal: EndSignal, dead: Dead, others: Sequence[Dead], working: Sequence[EndMotion]) -> bool:
    """Tell whether no end of a bike comes to rest, or out of it, like that."""
    share, jump_s = dead.level_mm / signal.full_travel_mm, JUMP_ROWS / ride.rate_hz
    jump, at_once = max(dead.into_mm, dead.out_mm), _at_once(dead, others)
    alone = not at_once and len(working) > 0
    if (
        alone
        and REST_SHARE < share < 1 - REST_SHARE
        and dead.spread_mm <= ONE_STEP * signal.noise.sensor_step_mm + 1e-9
    ):
        return False  # `stuck` says it: no input floats without noise
    if max(jump, at_once) <= max(JUMP_MM_S * jump_s, JUMP_SHARE * signal.full_travel_mm):
        return False
    if min(abs(share), abs(share - 1)) > REST_SHARE or jump > LEG_MM_S * jump_s or at_once:
        return True
    hits = (motion.hits for motion in working)
    return any(np.count_nonzero((own.start >= dead.start) & (own.stop < dead.stop)) >= OTHER_HITS for own in hits)


def supply_lost(ride: Ride, ends: Mapping[End, EndMotion]) -> tuple[Finding, ...]:
    """Find ends whose readings lie dead for 10 s or more of the ride as those of a sensor without supply do.

    Parameters
    ----------
    ride : Ride
    ends : mapping of end to EndMotion

    Returns
    -------
    tuple of Finding
        At most one an end, from the first such stretch on.
    """
    every = {end: _dead_of(ride, signal) for end, signal in ride.ends.items()}
    found = []
    for end, signal in ride.ends.items():
        others = [dead for other, own in every.items() if other != end for dead in own]
        working = [motion for other, motion in ends.items() if other != end]
        lost = [dead for dead in every[end] if _is_lost(ride, signal, dead, others, working)]
        if lost:
            found.append(_finding(ride, signal, lost))
    return tuple(found)


def _finding(ride: Ride, signal: EndSignal, lost: Sequence[Dead]) -> Finding:
    first, last = lost[0], lost[-1]
    from_s, until_s = float(ride.time_s[first.start]), float(ride.time_s[last.stop - 1])
    lasts_s = sum(dead.stop - dead.start for dead in lost) / ride.rate_hz
    times = "" if len(lost) == 1 else f", {len(lost)} times, {lasts_s:.1f} s in all"
    jump = f", reached by a jump of {first.into_mm:.1f} mm" if first.into_mm else ""
    from_start = first.start == ride.ridden.start and last.stop < ride.ridden.stop
    sound = f"after it can be measured: start_s = {math.ceil(10 * until_s + 0.5) / 10:.1f}"
    if not from_start:
        sound = f"before it can be measured: end_s = {math.floor(10 * from_s - 0.5) / 10:.1f}"
    lasts = f"{(first.stop - first.start) / ride.rate_hz:.1f} s{times}"
    message = (
        f"{ride.name}, {signal.end}: dead at {figure(first.level_mm, 1)} mm from {from_s:.2f} s{jump}, for {lasts} "
        f"(limit {LOST_S:g} s): no leg stops like that, its sensor lost supply or plug; check battery, plug and "
        f"cable, then ride again; what was ridden {sound}"
    )
    return Finding(code="supply_lost", message=message, end=signal.end, second=from_s)
