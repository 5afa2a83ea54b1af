"""Two loggers' logs on one clock: the line between their clocks, and the joined log."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.signal import correlate, correlation_lags

from telemetry.model.arrays import Floats, read_only
from telemetry.model.finding import errors_by_end
from telemetry.model.log import Log
from telemetry.model.peaks import peak_shift
from telemetry.model.sensor import ColumnName

FEWEST_ROWS, SHORTEST_S = 16, 0.25
"""A stretch both logs cover, as one log's stretches are judged."""

AS_FAST_SHARE = 0.99
"""Own choice: a rate nearer than this to the highest is one with it."""
_SAME_S = 1e-9
"""Times nearer to each other are one: what arithmetic leaves of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockLine:
    """How one clock's seconds follow from another's: ``here = offset_s + rate * there``.

    `worst_s` is the largest distance of a common moment from the line, s; 0 where two moments make it.
    """

    offset_s: float
    rate: float
    worst_s: float

    @property
    def drift_ppm(self) -> float:
        """By how much the other clock runs slow, parts in a million."""
        return 1e6 * (self.rate - 1.0)

    def here(self, there_s: Floats) -> Floats:
        """Return the other clock's seconds on this one."""
        return np.asarray(self.offset_s + self.rate * there_s, dtype=float)


SAME = ClockLine(offset_s=0.0, rate=1.0, worst_s=0.0)


def clock_line(here_s: Sequence[float], there_s: Sequence[float]) -> ClockLine:
    """Return the least-squares line through moments that both clocks saw.

    Parameters
    ----------
    here_s, there_s : sequences of float, equally long
        The same moments on both clocks. A single one gives the offset only, with a rate of 1.

    Examples
    --------
    >>> line = clock_line([10.0, 110.01], [2.0, 102.0])
    >>> round(line.offset_s, 4), round(line.drift_ppm)
    (7.9998, 100)
    """
    here, there = np.asarray(here_s, dtype=float), np.asarray(there_s, dtype=float)
    if here.shape[0] < 2:
        return ClockLine(offset_s=float(here[0] - there[0]), rate=1.0, worst_s=0.0)
    rate, offset = np.polyfit(there, here, 1)
    worst = float(np.abs(offset + rate * there - here).max())
    return ClockLine(offset_s=float(offset), rate=float(rate), worst_s=worst)


def shape_lag_s(here: Floats, there: Floats, rate_hz: float, most_s: float) -> tuple[float, float]:
    """Return how much later a shape comes in one signal than in another, and how alike they then are.

    Parameters
    ----------
    here, there : float arrays, shapes (n,), (m,)
        On even clocks of the same rate, each counted from its own first sample.
    rate_hz : float
    most_s : float
        Largest lag looked at.

    Returns
    -------
    float and float
        The lag of `here` behind `there`, s, refined by a parabola; the correlation there, 1 for equal shapes.
    """
    a, b = here - here.mean(), there - there.mean()
    power = float(np.sqrt(np.dot(a, a) * np.dot(b, b)))
    if power == 0.0:
        return 0.0, 0.0
    likeness = correlate(a, b, "full", method="fft") / power
    lags = correlation_lags(a.shape[0], b.shape[0], "full")
    near = np.flatnonzero(np.abs(lags) <= most_s * rate_hz)
    best = int(near[np.argmax(likeness[near])])
    inside = 0 < best < likeness.shape[0] - 1
    shift = float(peak_shift(*likeness[best - 1 : best + 2])) if inside else 0.0
    return (float(lags[best]) + shift) / rate_hz, float(likeness[best])


def joined_log(here: Log, there: Log, line: ClockLine, names: Mapping[ColumnName, ColumnName]) -> Log:
    """Return one log with the readings of both, on the first one's clock.

    Parameters
    ----------
    here, there : Log
    line : ClockLine
        From the second's clock to the first's.
    names : mapping of column to column
        What the second's columns are called in the joined log.

    Returns
    -------
    Log
        The second's readings are interpolated between its rows; as they were logged they stand in `own`, unless both
        have the same stamps. Only what both cover without a gap counts; findings and history are those of both.
    """
    there = _on_line(there, line, names)
    columns = {
        column: read_only(np.interp(here.time_s, there.time_s, values)) for column, values in there.columns.items()
    }
    segments = _shared(here, [(float(there.time_s[a]), float(there.time_s[b - 1])) for a, b in there.segments])
    covered = sum(float(here.time_s[b - 1] - here.time_s[a]) for a, b in segments)
    own = {} if _same_rows(here, there) else dict.fromkeys(columns, there)
    return replace(
        here,
        columns={**here.columns, **columns},
        segments=segments,
        gap_s=float(here.time_s[-1] - here.time_s[0]) - covered,
        findings=(*here.findings, *there.findings),
        history=(*here.history, *there.history),
        own={**here.own, **own, **there.own},
    )


def _on_line(there: Log, line: ClockLine, names: Mapping[ColumnName, ColumnName]) -> Log:
    """Return a log on another clock, its columns named as there."""
    return replace(
        there,
        time_s=read_only(line.here(there.time_s)),
        rate_hz=there.rate_hz / line.rate,
        columns={names[column]: values for column, values in there.columns.items()},
        own={names[column]: _on_line(log, line, names) for column, log in there.own.items()},
    )


def _same_rows(here: Log, there: Log) -> bool:
    alike = here.segments == there.segments and here.time_s.shape == there.time_s.shape
    return alike and bool(np.allclose(here.time_s, there.time_s, rtol=0.0, atol=_SAME_S))


def on_one_clock(logs: Sequence[Log], counted: Collection[ColumnName]) -> Log:
    """Return one log of sensors that share a clock and have rows of their own, on the first clock that is no slower.

    What a sensor lacks is a gap of all, but where its log is in error, or it isn't counted.

    Parameters
    ----------
    logs : sequence of Log
        One or more, each of whole rows, seconds after one moment.
    counted : collection of column
        Those whose gaps count.
    """
    main = [log for log in logs if not log.columns.keys().isdisjoint(counted)] or logs
    right = [log for log in main if not errors_by_end(log.findings)] or main
    highest_hz = max(log.rate_hz for log in right)
    whole = fastest = next(log for log in right if log.rate_hz >= AS_FAST_SHARE * highest_hz)
    for log in logs:
        if log is not fastest:
            joined = joined_log(whole, log, SAME, {column: column for column in log.columns})
            whole = (
                joined
                if any(log is own for own in right)
                else replace(joined, segments=whole.segments, gap_s=whole.gap_s)
            )
    return replace(whole, presses=logs[0].presses)


def _shared(here: Log, spans: Sequence[tuple[float, float]]) -> tuple[tuple[int, int], ...]:
    """Return the sample ranges of the first log's stretches that the other's stretches cover too."""
    found = []
    for start, stop in here.segments:
        for first_s, last_s in spans:
            a = start + np.searchsorted(here.time_s[start:stop], first_s - _SAME_S)
            b = start + np.searchsorted(here.time_s[start:stop], last_s + _SAME_S)
            if b - a >= FEWEST_ROWS and here.time_s[b - 1] - here.time_s[a] >= SHORTEST_S:
                found.append((int(a), int(b)))
    return tuple(found)
