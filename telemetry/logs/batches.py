"""Rows that share a stamp: a clock that ticks in jumps, or that stands still while rows go on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.finding import Finding
from telemetry.words import counted

from .clock import (
    GAP_S,
    GAP_STEPS,
    SHORTEST_SEGMENT_ROWS,
    SHORTEST_SEGMENT_S,
    Clock,
    line_of,
    make_clock,
    slack,
)
from .numbering import Numbers, as_array, kept

SEVERAL = 2.0
"""Rows a stamp on average from which several are the rule, and a stamp tells no row its time."""
FEWEST_ROWS = 2
COARSER = 1.5
"""Times what the stamps are written to by which a clock has to jump to be told apart from one that is rounded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """The batches of rows that share a stamp each.

    Attributes
    ----------
    first : int array, shape (n,)
        The first row of each; the stamps change there.
    rows : int array, shape (n,)
    jumps_s : float array, shape (n - 1,)
        From each stamp to the next.
    """

    first: Ints
    rows: Ints
    jumps_s: Floats

    @property
    def several(self) -> bool:
        """Whether several rows a stamp are the rule."""
        return bool(self.rows.sum() >= SEVERAL * self.rows.shape[0])

    def coarse_s(self, resolution_s: float) -> float:
        """Return how far apart stamps are told, where they are multiples of `resolution_s`."""
        return max(resolution_s, self.tick_s) if self.several else resolution_s

    @property
    def tick_s(self) -> float:
        """How far the clock jumps as a rule."""
        return float(np.median(self.jumps_s))

    @property
    def told_by_ticks(self) -> bool:
        """Whether a stamp alone tells its rows no time: several share one as a rule, or some do for long."""
        return self.several or bool(self.rows.max() * self.step_s > GAP_S)

    @property
    def stands_at_an_end(self) -> bool:
        """Whether the clock starts after the rows, or stops before them: nothing tells then how fast these came."""
        longest = max(int(self.rows[0]), int(self.rows[-1]))
        return longest * self.step_s > GAP_S and longest > GAP_STEPS * float(np.median(self.rows))

    @property
    def step_s(self) -> float:
        """How far apart rows are as a rule, by batches that are no longer than usual."""
        usual = (self.rows[:-1] <= GAP_STEPS * np.median(self.rows)) & (self.jumps_s <= GAP_STEPS * self.tick_s)
        usual |= not usual.any()
        return float(self.jumps_s[usual].sum() / self.rows[:-1][usual].sum())


def batches_of(seconds: Floats) -> Batches | None:
    """Return the batches of rows that share a stamp; None where none do.

    Parameters
    ----------
    seconds : float array, shape (n,)
        Stamps, not descending, the last above the first.
    """
    changes: Bools = seconds[1:] != seconds[:-1]
    if changes.all():
        return None
    first = np.concatenate([[0], np.flatnonzero(changes) + 1])
    rows = np.diff(first, append=seconds.shape[0])
    return Batches(first=first, rows=rows, jumps_s=np.diff(seconds[first]))


@dataclass(frozen=True, slots=True, kw_only=True)
class StampedClock:
    """The clock of a log's stamps.

    Attributes
    ----------
    clock : Clock
        Of all rows, or where it stands still of those whose time is known.
    batches : Batches or None
        Of these rows; None where no two share a stamp.
    stands : Stands or None
    """

    clock: Clock
    batches: Batches | None
    stands: Stands | None = None


def stamped_clock(seconds: Floats, resolution_s: float, places: Numbers) -> StampedClock:
    """Return the clock of stamps, where several rows may share one, and which rows' time can't be told.

    Parameters
    ----------
    seconds : float array, shape (n,)
        Not descending, the last above the first.
    resolution_s : float
    places : range or int array, shape (n,)
        Places of these rows among all rows.
    """
    found = _without_stands(seconds, resolution_s, places)
    stands = None if found.batches is None or found.clock.on_line else find_stands(seconds, found.batches)
    if stands is None or np.count_nonzero(stands.keep) < FEWEST_ROWS:
        return found
    told = _without_stands(stands.seconds[stands.keep], resolution_s, kept(places, stands.keep))
    return StampedClock(clock=told.clock, batches=told.batches, stands=stands)


def _without_stands(seconds: Floats, resolution_s: float, places: Numbers) -> StampedClock:
    """Return the clock of stamps that doesn't stand still.

    A stamp tells when its batch began, or ended, and nothing of the rows between: where either lies within a tick of a
    line through all rows, they take the line's times. Else rows are spread evenly from each stamp to the next.
    """
    batches = batches_of(seconds)
    if batches is None:
        return StampedClock(clock=make_clock(seconds, resolution_s, places), batches=None)
    coarse_s, clock = batches.coarse_s(resolution_s), None
    if batches.told_by_ticks and not batches.stands_at_an_end:
        clock = _line_by_ticks(seconds, coarse_s, places, batches)
    if clock is None:
        clock = make_clock(seconds, coarse_s, places)
    if batches.several and not clock.on_line and not batches.stands_at_an_end:
        clock = make_clock(_spread(seconds, batches), coarse_s, places)
    return StampedClock(clock=clock, batches=batches)


def _line_by_ticks(seconds: Floats, resolution_s: float, places: Numbers, batches: Batches) -> Clock | None:
    """Return the clock of a line through all rows from which no batch's begin, or no batch's end, strays; else None."""
    within = batches.first.shape[0] > 2 and seconds.shape[0] >= SHORTEST_SEGMENT_ROWS
    if not within or seconds[-1] - seconds[0] < SHORTEST_SEGMENT_S:
        return None
    begins, ends = batches.first[1:], batches.first[1:] - 1  # the log's own ends cut off a batch
    lines = (_line_through(seconds, as_array(places), rows) for rows in (begins, ends))
    strays_s, rate_hz, line = min(lines, key=lambda found: found[0])
    if strays_s > slack(resolution_s):
        return None
    apart = seconds - line
    return line_of(line, places, rate_hz, deviation_s=float(max(apart.max(), -apart.min())))


def _line_through(seconds: Floats, places: Ints, rows: Ints) -> tuple[float, float, Floats]:
    """Return how far stamps of some rows stray from the line that fits these best, rows a second, and all its times."""
    at, stamps = places[rows], seconds[rows]
    rate_hz = 1 / float(np.polynomial.polynomial.polyfit(at - at[0], stamps - stamps[0], 1)[1])
    line = (places - at[0]) / rate_hz
    apart = stamps - line[rows]
    return float(np.ptp(apart)) / 2, rate_hz, line + float(apart.max() + apart.min()) / 2


def _spread(seconds: Floats, batches: Batches) -> Floats:
    """Return times that rise evenly from each stamp to the next."""
    last = batches.first[-1]
    knots = np.append(batches.first, seconds.shape[0])
    stamps = np.append(seconds[batches.first], seconds[last] + batches.rows[-1] * batches.step_s)
    spread: Floats = np.interp(np.arange(seconds.shape[0]), knots, stamps)
    return spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """Where a clock stands still while rows go on.

    Attributes
    ----------
    keep : bool array, shape (n,)
        False at rows whose time can't be told: all of such a batch but its first.
    seconds : float array, shape (n,)
        Stamps of all rows, moved on by what the clock missed.
    times : int
    longest_s : float
        By the usual pace of rows.
    start, stop : int
        Rows of the longest, the latter excluded.
    """

    keep: Bools
    seconds: Floats
    times: int
    longest_s: float
    start: int
    stop: int

    def finding(self, name: str, row_of: Numbers) -> Finding:
        """Return what a log is told whose clock stands still so."""
        message = (
            f"{name}: the clock stands still {counted(self.times, 'time')} while rows go on, the longest for "
            f"{self.longest_s:.2f} s by their usual pace (rows {row_of[self.start]} to {row_of[self.stop - 1]}), and "
            "doesn't catch up with them: when they were read can't be told, so they are left out as a gap; where rows "
            "come evenly, state rate_hz in [log] to go by them alone"
        )
        second = float(self.seconds[self.start])
        return Finding(code="clock_stands", message=message, row=int(row_of[self.start]), second=second)


def find_stands(seconds: Floats, batches: Batches) -> Stands | None:
    """Return where a clock stands still for longer than a gap may last, and what it jumps by after isn't that time.

    Parameters
    ----------
    seconds : float array, shape (n,)
    batches : Batches
        Of these rows, whose clock lies on no line.
    """
    step_s, longest_s = batches.step_s, max(GAP_S, GAP_STEPS * batches.tick_s)
    lasts = batches.rows * step_s
    missed = lasts - np.append(batches.jumps_s, step_s)
    stands = np.flatnonzero((lasts > longest_s) & (np.abs(missed) > longest_s))
    if stands.size == 0:
        return None
    keep = np.ones(seconds.shape[0], dtype=bool)
    moved = np.zeros(seconds.shape[0])
    for batch in stands.tolist():
        after = int(batches.first[batch] + batches.rows[batch])
        keep[batches.first[batch] + (batch > 0) : after] = False  # before the first tick there is no time at all
        moved[after:] += max(0.0, float(missed[batch])) * (batch > 0)
    longest = int(stands[np.argmax(lasts[stands])])
    start = int(batches.first[longest])
    return Stands(
        keep=keep,
        seconds=seconds + moved,
        times=int(stands.size),
        longest_s=float(lasts[longest]),
        start=start,
        stop=start + int(batches.rows[longest]),
    )


def jumps_finding(name: str, clock: Clock, written_s: float, batches: Batches) -> Finding | None:
    """Return what a log is told whose clock ticks in jumps; None where it only rounds, or a gap would last longer.

    Parameters
    ----------
    name : str
    clock : Clock
    written_s : float
        What the stamps are written to.
    batches : Batches
    """
    most = int(batches.rows.max())
    lasts_s, jump_s = most / clock.rate_hz, float(batches.jumps_s.max())
    if lasts_s <= GAP_S or most <= GAP_STEPS or jump_s <= COARSER * written_s:
        return None
    placed = "take the times of a straight line" if clock.on_line else "are spread evenly"
    message = (
        f"{name}: the clock ticks in jumps: it stands for up to {most} rows ({lasts_s:.3g} s by their pace), as a rule "
        f"for {batches.tick_s:.3g} s; rows between its ticks {placed} at {clock.rate_hz:.2f} a second, and what is "
        "lost or late among them can't be seen: have the logger stamp every row as it is read"
    )
    return Finding(code="clock_jumps", message=message)
