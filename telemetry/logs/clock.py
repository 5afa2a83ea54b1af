"""A log's clock: gaps found, rate and straight line."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.finding import Finding

from .gaps import Gaps, gap_finding
from .numbering import Numbers, as_floats
from .ticks import ticked_rate

GAP_STEPS = 3.0
GAP_S = 0.020
SHORTEST_SEGMENT_S = 0.25
SHORTEST_SEGMENT_ROWS = 16
UNEVEN_SHARE = 0.05
FEWEST_LOST_SHARE = 0.02
ROUNDED_SHARE = 0.4
"""Stamps closer to the line than so much of a resolution needn't be looked at: rounding moves them by a half."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """One clock for a log's rows.

    Attributes
    ----------
    time_s : float array, shape (n,)
    rate_hz : float
    even : bool
    segments : tuple of (start, stop)
    gaps : tuple of sample
        Samples before which a gap lies.
    gap_s : float
        Time inside the log's span that no segment covers.
    deviation_s : float
        Largest distance of a stamp from the straight line.
    uneven_s : float
        Standard deviation of that distance.
    on_line : bool
        Whether rows take the times of the line.
    """

    time_s: Floats
    rate_hz: float
    even: bool
    segments: tuple[tuple[int, int], ...]
    gaps: tuple[int, ...]
    gap_s: float
    deviation_s: float
    uneven_s: float
    on_line: bool


def _line_residual(seconds: Floats, line: Floats) -> tuple[Floats, float]:
    """Return each stamp's distance from the line, moved so that it lies mid-way, and how far it was moved."""
    residual = seconds - line
    offset = float(residual.max() + residual.min()) / 2
    residual -= offset
    return residual, offset


def _spread(residual: Floats) -> float:
    """Return the standard deviation, without a copy of the residuals."""
    count = residual.shape[0]
    return float(np.sqrt(max(0.0, residual @ residual / count - residual.mean() ** 2)))


def _largest(residual: Floats) -> float:
    return max(float(residual.max()), -float(residual.min()))


def _gap_places(seconds: Floats, resolution_s: float) -> Ints:
    """Return samples before which a gap lies: steps over 3 mean steps and over 20 ms; mean of gap-free steps."""
    step = np.diff(seconds)
    gaps = np.zeros(step.shape[0], dtype=bool)
    while True:
        mean = float(step[~gaps].mean())
        found: Bools = (step > GAP_STEPS * mean) & (step > GAP_S + 1e-9) & (step > 1.5 * resolution_s)
        if found.sum() == gaps.sum() or found.all():
            return np.flatnonzero(found) + 1
        gaps = found


def _long_enough(seconds: Floats, start: int, stop: int) -> bool:
    lasts = seconds[stop - 1] - seconds[start]
    return stop - start >= SHORTEST_SEGMENT_ROWS and bool(lasts >= SHORTEST_SEGMENT_S)


def make_clock(seconds: Floats, resolution_s: float, places: Numbers | None = None) -> Clock:
    """Return rate, segments and straight line of a log's stamps.

    Parameters
    ----------
    seconds : float array, shape (n,)
        Not descending, n >= 2, first and last different.
    resolution_s : float
    places : range or int array, shape (n,), optional
        Places of these rows among all rows, from 0, where some were left out.

    Returns
    -------
    Clock

    Notes
    -----
    Rate = (rows - 1) / time span within stretches free of gaps. Where every stamp lies within one resolution of a
    straight line of that rate (one line a segment), rows take the line's times; else the stamps stand and need
    resampling. A log that is one straight line from end to end has no gap, however coarse its stamps. Rows that were
    left out took their time too: where the rest lies on the line of their places, they keep those places on it, and
    only what is missing between them is interpolated.
    """
    count = seconds.shape[0]
    clock = _clock_by_places(seconds, resolution_s, range(count))
    if places is None or places[-1] - places[0] == count - 1:
        return clock
    by_places = _clock_by_places(seconds, resolution_s, places)
    return by_places if by_places.deviation_s <= min(clock.deviation_s, slack(resolution_s)) else clock


def slack(resolution_s: float) -> float:
    """Return how far stamps so rounded may lie from a straight line."""
    return resolution_s * (1 + 1e-6) + 1e-9


def _lost_rows(seconds: Floats, resolution_s: float) -> bool:
    """Tell whether stamps step by a base step and whole multiples of it, which rounding never does to an even clock.

    Rounding makes steps one resolution apart: where the base step is longer than that, rows are missing.
    """
    step = np.diff(seconds)
    base = float(step.min())
    if base < 1.5 * resolution_s or float(step.max()) < 1.5 * base:
        return False
    times = step[step < GAP_STEPS * 1.2 * base] / base  # what is longer is a gap
    longer = np.count_nonzero(times > 1.5)
    return bool(longer > FEWEST_LOST_SHARE * times.size and np.all(np.abs(times - np.rint(times)) < 0.01))


def _on_line(seconds: Floats, deviation_s: float, resolution_s: float) -> bool:
    """Tell whether stamps that stray so far from a straight line are the line's own, rounded."""
    if deviation_s > slack(resolution_s):
        return False
    return deviation_s < ROUNDED_SHARE * resolution_s or not _lost_rows(seconds, resolution_s)


def _whole_line(seconds: Floats, resolution_s: float) -> Clock | None:
    """Return the clock of a log that is one straight line from end to end, else None."""
    count = seconds.shape[0]
    rate = (count - 1) / float(seconds[-1] - seconds[0])
    if resolution_s * rate > 1:
        rate = ticked_rate(seconds, range(count), ((0, count),)) or rate
    line = as_floats(range(count))
    line /= rate
    residual, offset = _line_residual(seconds, line)
    deviation = _largest(residual)
    if not _on_line(seconds, deviation, resolution_s) or not _long_enough(seconds, 0, count):
        return None
    line += offset if deviation > 1e-9 else seconds[0]
    return line_of(line, range(count), rate, deviation_s=deviation)


def line_of(line: Floats, places: Numbers, rate_hz: float, *, deviation_s: float) -> Clock:
    """Return the clock of rows that are one straight line from end to end."""
    count = line.shape[0]
    return Clock(
        time_s=line,
        rate_hz=rate_hz,
        even=bool(places[-1] - places[0] == count - 1),
        segments=((0, count),),
        gaps=(),
        gap_s=0.0,
        deviation_s=deviation_s,
        uneven_s=0.0,
        on_line=True,
    )


def _clock_by_places(seconds: Floats, resolution_s: float, places: Numbers) -> Clock:
    count = seconds.shape[0]
    span = float(seconds[-1] - seconds[0])
    gapless = bool(places[-1] - places[0] == count - 1)
    whole = _whole_line(seconds, resolution_s) if gapless else None
    if whole is not None:
        return whole
    gaps = _gap_places(seconds, resolution_s)
    every = list(pairwise([0, *gaps.tolist(), count]))
    segments = tuple((a, b) for a, b in every if _long_enough(seconds, a, b))
    kept = segments or tuple((a, b) for a, b in every if b - a > 1 and seconds[b - 1] > seconds[a])
    lasting = sum(float(seconds[b - 1] - seconds[a]) for a, b in kept)
    steps = sum(int(places[b - 1] - places[a]) for a, b in kept)
    rate = steps / lasting if lasting > 0 else (count - 1) / span
    if resolution_s * rate > 1:
        rate = ticked_rate(seconds, places, kept) or rate
    time = seconds.copy()
    deviation, squares, rows = 0.0, 0.0, 0
    for start, stop in segments:
        line = as_floats(places[start:stop])
        line -= places[start]
        line /= rate
        residual, offset = _line_residual(seconds[start:stop], line)
        deviation = max(deviation, _largest(residual))
        squares += residual.shape[0] * _spread(residual) ** 2
        rows += stop - start
        time[start:stop] = line + offset
    on_line = _on_line(seconds, deviation, resolution_s) if gapless else deviation <= slack(resolution_s)
    return Clock(
        time_s=time if on_line else seconds,
        rate_hz=rate,
        even=on_line and all(places[b - 1] - places[a] == b - a - 1 for a, b in segments),
        segments=segments,
        gaps=tuple(gaps.tolist()),
        gap_s=max(0.0, span - sum(float(seconds[b - 1] - seconds[a]) for a, b in segments)),
        deviation_s=deviation,
        uneven_s=float(np.sqrt(squares / rows)) if rows else 0.0,
        on_line=on_line,
    )


def steady_clock(places: Numbers, rate_hz: float) -> Clock:
    """Return the clock of a log that has none: rows at a stated rate, each at its place.

    Parameters
    ----------
    places : range or int array, shape (n,)
        Places of the whole rows among all rows, from 0, ascending: a row that was left out still took its time.
    rate_hz : float
    """
    count, time_s = len(places), as_floats(places)
    time_s /= rate_hz
    if places[-1] - places[0] != count - 1:
        return make_clock(time_s, 0.0, places)
    return Clock(
        time_s=time_s,
        rate_hz=rate_hz,
        even=True,
        segments=((0, count),) if count >= max(SHORTEST_SEGMENT_ROWS, SHORTEST_SEGMENT_S * rate_hz) else (),
        gaps=(),
        gap_s=0.0,
        deviation_s=0.0,
        uneven_s=0.0,
        on_line=True,
    )


def clock_findings(name: str, clock: Clock, resolution_s: float, row_of: Numbers) -> tuple[Finding, ...]:
    """Return what is to be said of a clock: rounded, uneven, gaps.

    Parameters
    ----------
    name : str
        The log's name.
    clock : Clock
    resolution_s : float
    row_of : range or int array, shape (n,)
        File rows.
    """
    found: list[Finding] = []
    step = 1 / clock.rate_hz
    if clock.on_line and clock.deviation_s > 1e-3 * step and resolution_s > 0:
        message = (
            f"{name}: stamps are rounded to {resolution_s * 1000:g} ms; rows take the times of a straight line at "
            f"{clock.rate_hz:.2f} rows a second"
        )
        found.append(Finding(code="rounded_clock", message=message))
    if not clock.on_line and clock.uneven_s > UNEVEN_SHARE * step:
        message = (
            f"{name}: uneven clock: stamps stray {clock.uneven_s * 1000:.2f} ms (sd) from a straight line "
            f"(limit 5 % of a step, {UNEVEN_SHARE * step * 1000:.2f} ms); rows are "
            f"interpolated to {clock.rate_hz:.2f} a second"
        )
        found.append(Finding(code="uneven_clock", message=message))
    if clock.gaps:
        last = clock.gaps[0] - 1
        gaps = Gaps(
            count=len(clock.gaps),
            lost_s=clock.gap_s,
            of_s=float(clock.time_s[-1] - clock.time_s[0]),
            first_s=float(clock.time_s[last]),
            first_row=int(row_of[last]),
        )
        found.append(gap_finding(name, gaps))
    return tuple(found)
