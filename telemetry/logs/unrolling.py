"""A clock's stamps freed of what no time is: a counter that rolls over, a clock that is set by an hour meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Floats, Ints
from telemetry.model.finding import Finding
from telemetry.words import counted

from .numbering import Numbers

WRAP_BITS = (16, 24, 32)
FINER_COUNTS = (1.0, 1e-3, 1e-6)
"""A counter of ms or us may be written in s: it rolls over at its own count."""
SHORTEST_FINER_WRAP_S = 1.0
LONGEST_WRAP_STEPS, LONGEST_FINER_WRAP_STEPS = 50.0, 3.0
FULL_SHARE = 0.5
"""Own choice: between two roll-overs a counter runs through its range, but for gaps."""
SET_BY_S = (3600.0, -3600.0, -43_200.0)
"""A clock on the wall's: to summer time and back, and at one o'clock where halves of the day aren't told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unrolled:
    """Seconds with counter roll-overs taken out, where those were, and where and by how much the clock was set."""

    seconds: Floats
    wraps: Ints
    set_at: Ints
    set_by_s: tuple[float, ...] = ()

    def findings(self, name: str, row_of: Numbers) -> tuple[Finding, ...]:
        """Return what a log is told whose clock was unrolled or set."""
        found = []
        if self.wraps.size:
            row, times = int(row_of[self.wraps[0] + 1]), counted(self.wraps.size, "time")
            message = f"{name}: the clock's counter rolled over {times}, first in row {row}; unrolled"
            found.append(Finding(code="clock_wrapped", message=message, row=row))
        if self.set_by_s:
            row, by_s = int(row_of[self.set_at[0] + 1]), self.set_by_s[0]
            message = (
                f"{name}: the clock was set {'on' if by_s > 0 else 'back'} by {abs(by_s) / 3600:g} h in row {row} "
                "while rows went on, as for summer time or at one o'clock; taken out, nothing to do"
            )
            found.append(Finding(code="clock_set", message=message, row=row))
        return tuple(found)


def unroll(seconds: Floats, unit_s: float) -> Unrolled:
    """Take out the roll-overs of a 16, 24 or 32 bit counter, and what a clock was set by meanwhile.

    Parameters
    ----------
    seconds : float array, shape (n,)
        Stamps, s.
    unit_s : float
        Length of one count.

    Returns
    -------
    Unrolled
        A step back is a roll-over where adding the counter's range leaves a step no longer than 50 usual ones; 3,
        where the counter's unit is finer than the column's. A step of an hour, or half a day back, and no more than 3
        usual ones besides is a clock that was set.
    """
    step = np.diff(seconds)
    if step.size == 0 or (step.min() >= 0 and step.max() < SET_BY_S[0]):
        none = np.empty(0, dtype=np.int64)
        return Unrolled(seconds=seconds, wraps=none, set_at=none)
    back = np.flatnonzero((step < 0) | (step >= SET_BY_S[0]))
    forward = step[step > 0]
    usual = float(np.median(forward)) if forward.size else 0.0
    added = np.zeros(step.shape[0])
    wraps = _wraps(seconds, step, back[step[back] < 0], _wrap_spans(unit_s, usual), added)
    set_at, set_by_s = [], []
    for place in back.tolist():
        by_s = next((by for by in SET_BY_S if 0 <= step[place] - by <= LONGEST_FINER_WRAP_STEPS * usual), None)
        if by_s is not None and added[place] == 0:
            added[place] = -by_s
            set_at.append(place)
            set_by_s.append(by_s)
    total = np.concatenate([[0.0], np.cumsum(added)])
    return Unrolled(
        seconds=seconds + total if wraps or set_at else seconds,
        wraps=np.array(wraps, dtype=np.int64),
        set_at=np.array(set_at, dtype=np.int64),
        set_by_s=tuple(set_by_s),
    )


def _wraps(seconds: Floats, step: Floats, back: Ints, spans: list[tuple[float, float]], added: Floats) -> list[int]:
    """Return where a counter rolled over, and enter by what; nowhere if it didn't run through its range in between."""
    wraps = []
    for place in back.tolist():
        for span, longest in spans:
            if 0 <= step[place] + span <= longest:
                added[place] = span
                wraps.append(place)
                break
    if any(seconds[later] - seconds[place + 1] < FULL_SHARE * added[place] for place, later in pairwise(wraps)):
        added[:] = 0.0
        return []
    return wraps


def _wrap_spans(unit_s: float, usual_s: float) -> list[tuple[float, float]]:
    """Return the ranges of counters that may have rolled over, s, and the longest step each may leave."""
    spans = [(2.0**bits * unit_s, max(LONGEST_WRAP_STEPS * usual_s, 1.5 * unit_s)) for bits in WRAP_BITS]
    for finer in FINER_COUNTS:
        if finer < unit_s:
            longest = max(LONGEST_FINER_WRAP_STEPS * usual_s, finer)
            spans.extend(
                (2.0**bits * finer, longest) for bits in WRAP_BITS if 2.0**bits * finer > SHORTEST_FINER_WRAP_S
            )
    return spans
