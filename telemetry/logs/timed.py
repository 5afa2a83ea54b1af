"""A log's rows on one clock: roll-overs unrolled, copies left out, and what is wrong with it told."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import Finding
from telemetry.words import counted, percent

from .batches import batches_of, jumps_finding, stamped_clock
from .clock import Clock, clock_findings, make_clock, steady_clock
from .numbering import Numbers, kept
from .replays import find_replay
from .stamps import Stamps
from .ticks import check_running
from .time_units import LEAST_RATE_HZ, MOST_RATE_HZ, rate_in_words, rates_in_words
from .unrolling import unroll

COARSE_STAMP_STEPS = 1.25
"""Stamps coarser than this many mean steps repeat by nature; common sense, no source."""
COPIED_SHARE = 0.9
MOST_RATE_APART = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A log's whole rows.

    Attributes
    ----------
    columns : dict of column place to float array, shape (n,)
    numbers : range or int array, shape (n,)
        File rows, from 1.
    places : range or int array, shape (n,)
        Places among all rows, from 0: a row that was left out still took its time.
    """

    columns: dict[int, Floats]
    numbers: Numbers
    places: Numbers

    def kept(self, keep: Bools) -> Rows:
        """Return some of the rows."""
        columns = {place: column[keep] for place, column in self.columns.items()}
        return Rows(columns=columns, numbers=kept(self.numbers, keep), places=kept(self.places, keep))


@dataclass(slots=True, kw_only=True)
class Timing:
    """Brings rows onto a clock.

    Attributes
    ----------
    where : str
        The log's name, for messages.
    findings : list of Finding
        What is found on the way. Where the clock runs backwards, rows are in no order and no more is said.
    other : str
        Another column that runs like a clock, for messages; empty where there is none.
    """

    where: str
    other: str = ""
    findings: list[Finding] = field(default_factory=list)

    def stated(self, rows: Rows, rate_hz: float) -> Clock:
        """Return the clock of a log that has none, at its stated rate."""
        clock = steady_clock(rows.places, rate_hz)
        message = f"{self.where}: no clock; {rate_hz:g} rows a second as stated"
        self.findings.append(Finding(code="no_clock", message=message))
        gaps = [found for found in clock_findings(self.where, clock, 0.0, rows.numbers) if found.code == "gap"]
        self.findings.extend(gaps)
        self._judge_rate(rate_hz, "as stated", "correct rate_hz in [log]")
        self._judge_replay(rows, clock)
        return clock

    def stamped(self, rows: Rows, stamps: Stamps, column: str) -> tuple[Clock, Rows]:
        """Return the clock of a log by its stamps, a finite one a row, and its rows without copies.

        Raises
        ------
        LogError
            If the clock stands still or runs backwards throughout.
        """
        check_running(stamps.seconds, f"{self.where}, column {column}", self.other)
        unrolled = self._unrolled(stamps, rows.numbers)
        if self._steps_back(unrolled, rows.numbers):
            latest = np.maximum.accumulate(unrolled)
            if latest[-1] == latest[0]:
                place = f"{self.where}, column {column}, row {rows.numbers[0]}"
                found = "a first stamp that no later one passes"
                raise LogError(place, found, "a clock that only runs forward", "take that row out, or ride again")
            return make_clock(latest, stamps.resolution_s), rows
        seconds, rows = self._without_copies(unrolled, rows, stamps.resolution_s)
        clock, rows = self._clock(seconds, rows, stamps)
        self._judge_rate(clock.rate_hz, f"by column {column}", _other_clock(clock.rate_hz, stamps, column))
        self._judge_replay(rows, clock)
        return clock, rows

    def _clock(self, seconds: Floats, rows: Rows, stamps: Stamps) -> tuple[Clock, Rows]:
        """Return the clock of stamps that don't descend, and the rows whose time it tells."""
        found = stamped_clock(seconds, stamps.resolution_s, rows.places)
        clock, batches, stands = found.clock, found.batches, found.stands
        if stands is not None:
            self.findings.append(stands.finding(self.where, rows.numbers))
            rows = rows.kept(stands.keep)
        coarse_s = stamps.resolution_s if batches is None else batches.coarse_s(stamps.resolution_s)
        told = clock_findings(self.where, clock, coarse_s, rows.numbers)
        jumps = None if batches is None else jumps_finding(self.where, clock, stamps.written_s, batches)
        if jumps is not None:
            told = (*(one for one in told if one.code != "rounded_clock"), jumps)
        self.findings.extend(told)
        return clock, rows

    def compare(self, stamps: Stamps, rate_hz: float, column: str) -> None:
        """Question a stated rate beside a clock that tells another."""
        seconds = unroll(stamps.seconds[np.isfinite(stamps.seconds)], stamps.unit_s).seconds
        if seconds.shape[0] < 2 or not seconds[-1] > seconds[0] or np.any(np.diff(seconds) < 0):
            return
        by_clock = stamped_clock(seconds, stamps.resolution_s, range(seconds.shape[0])).clock.rate_hz
        if abs(by_clock / rate_hz - 1) <= MOST_RATE_APART:
            return
        message = (
            f"{self.where}: {rate_hz:g} rows a second are stated, but column {column} tells {by_clock:.4g} (over 2 % "
            "apart): speeds hang on it; take rate_hz out of [log] to go by the clock, or correct it"
        )
        self.findings.append(Finding(code="rate_contradicted", message=message))

    def _judge_rate(self, rate_hz: float, by: str, remedy: str) -> None:
        """Question a rate no logger has: the clock's unit is another than was stated, or than the name says."""
        if LEAST_RATE_HZ <= rate_hz <= MOST_RATE_HZ:
            return
        message = (
            f"{self.where}: {rate_in_words(rate_hz)} {by} ({LEAST_RATE_HZ:.0f} to {MOST_RATE_HZ:.0f} are expected): "
            f"{remedy}"
        )
        self.findings.append(Finding(code="odd_rate", message=message))

    def _judge_replay(self, rows: Rows, clock: Clock) -> None:
        """Say where rows from further up stand once more under a clock that goes on."""
        found = find_replay(list(rows.columns.values()), clock.rate_hz, clock.segments)
        if found is None:
            return
        numbers, count = rows.numbers, found.stop - found.start
        row, second = int(numbers[found.start]), float(clock.time_s[found.start])
        share = count / len(numbers)
        message = (
            f"{self.where}: rows {row} to {numbers[found.stop - 1]} hold the readings of the rows from "
            f"{numbers[found.first]} on once more, {count / clock.rate_hz:.1f} s from {second:.2f} s "
            f"({percent(share)} % of the log): the logger wrote a buffer twice; check its card, then ride again"
        )
        self.findings.append(Finding(code="replayed_rows", message=message, row=row, second=second))

    def _unrolled(self, stamps: Stamps, numbers: Numbers) -> Floats:
        """Return stamps with roll-overs taken out."""
        unrolled = unroll(stamps.seconds, stamps.unit_s)
        self.findings.extend(unrolled.findings(self.where, numbers))
        return unrolled.seconds

    def _steps_back(self, seconds: Floats, numbers: Numbers) -> bool:
        """Tell whether the clock steps back, and say so."""
        step = np.diff(seconds)
        back = np.flatnonzero(step < 0)
        if back.size == 0:
            return False
        row, second = int(numbers[back[0] + 1]), float(seconds[back[0]])
        message = (
            f"{self.where}: the clock steps back {counted(back.size, 'time')}, first by {-step[back[0]]:.3f} s in row "
            f"{row}; a clock that only runs forward is expected: the logger restarted or rows are mixed up; ride again"
        )
        self.findings.append(Finding(code="clock_backwards", message=message, row=row, second=second))
        return True

    def _without_copies(self, seconds: Floats, rows: Rows, resolution_s: float) -> tuple[Floats, Rows]:
        """Return stamps and rows without those that repeat the row before: same stamp, same readings."""
        repeated: Bools = np.diff(seconds, prepend=np.nan) == 0
        for column in rows.columns.values():
            repeated &= np.diff(column, prepend=np.nan) == 0
        if not repeated.any():
            return seconds, rows
        mean_step = float(seconds[-1] - seconds[0]) / (seconds.shape[0] - 1)
        several = make_clock(seconds, resolution_s).even or resolution_s > COARSE_STAMP_STEPS * mean_step
        several = several or ((batches := batches_of(seconds)) is not None and batches.several)
        if several and not _all_copied(seconds, rows, repeated):
            return seconds, rows  # several rows a stamp are usual here, and still readings are no copies
        row, count = int(rows.numbers[int(np.argmax(repeated))]), int(repeated.sum())
        message = (
            f"{self.where}: {counted(count, 'row')} {'repeats' if count == 1 else 'repeat'} the row before, the first "
            f"is row {row}; left out; check how the log was copied"
        )
        self.findings.append(Finding(code="repeated_rows", message=message, row=row))
        single = rows.kept(~repeated)
        return seconds[~repeated], replace(single, places=range(len(single.numbers)))


def _other_clock(rate_hz: float, stamps: Stamps, column: str) -> str:
    """Return what to do about a clock by which no logger writes: the unit that would make a logger's of it."""
    rates = "" if stamps.unit is None else rates_in_words(1 / (rate_hz * stamps.unit_s), but=stamps.unit)
    if rates:
        stated = f"[log] time = {{ column = {column}, unit = {rates} }}"
        return f"is the clock's unit right? State it: {stated}; where that isn't right either, state rate_hz"
    return "no unit makes a logger's rate of it: name the column that holds the clock in [log] time, or state rate_hz"


def _all_copied(seconds: Floats, rows: Rows, repeated: Bools) -> bool:
    """Tell whether rows of one stamp are all alike, though readings change from nearly every stamp to the next."""
    later = np.diff(seconds) > 0
    same_stamp = int(np.count_nonzero(~later))
    changed = np.logical_or.reduce([np.diff(column)[later] != 0 for column in rows.columns.values()])
    return bool(np.count_nonzero(repeated) >= COPIED_SHARE * same_stamp and changed.mean() >= COPIED_SHARE)
