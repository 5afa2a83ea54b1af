"""Two logs that are stated to be one logger's: joined by their stamps, unless what they hold speaks against it."""

from __future__ import annotations

import numpy as np

from telemetry.conditioning import ClockLine
from telemetry.model.day import RunEntry
from telemetry.model.finding import Finding
from telemetry.model.log import Log

from .joining import Ends, Join, Presses, joins_by_data

LEAST_SHARED_S = 1.0
"""Own choice: one logger starts and stops both its files at once; two that share less are of two rides."""
REMEDY = "name the two logs of one ride, or take same_clock out: pushes or a marker join two loggers"


def stated_join(run: RunEntry, front: Log, rear: Log, rides: Ends, presses: Presses) -> Join | Finding:
    """Return the join of two logs of one clock by their stamps, or what speaks against that.

    Parameters
    ----------
    run : RunEntry
    front, rear : Log
    rides : dict of end to Ride
        Each log cleaned by itself.
    presses : dict of end to dict of marker to float array
        Seconds at which markers were pressed, on each log's clock.
    """
    if front.first_s is None or rear.first_s is None:
        return _contradicted(run, "a log without a clock", "stamps in both")
    line = ClockLine(offset_s=rear.first_s - front.first_s, rate=1.0, worst_s=0.0)
    spans = [
        (float(log.time_s[0]) + log.first_s, float(log.time_s[-1]) + log.first_s)
        for log in (front, rear)
        if log.first_s is not None
    ]
    shared_s = min(last for _, last in spans) - max(first for first, _ in spans)
    if shared_s < LEAST_SHARED_S:
        (a, b), (c, d) = spans
        found = f"stamps from {a:.3f} to {b:.3f} s at the front and from {c:.3f} to {d:.3f} s at the rear"
        return _contradicted(run, found, f"stamps that share {LEAST_SHARED_S:g} s or more")
    for other in joins_by_data(rides, presses):
        apart_s = _apart_s(other.line, line, rear)
        if apart_s > other.within_s + 1 / front.rate_hz + 1 / rear.rate_hz:
            found = f"logs {apart_s:.3f} s off each other by {other.by}"
            return _contradicted(run, found, f"at most {other.within_s:g} s and a row of each")
    return Join(line=line, by="their stamps, of one clock as stated", clocks="one")


def _apart_s(one: ClockLine, other: ClockLine, log: Log) -> float:
    """Return how far two clock lines are apart at most where a log has rows."""
    ends = np.array([log.time_s[0], log.time_s[-1]])
    return float(np.abs(one.here(ends) - other.here(ends)).max())


def _contradicted(run: RunEntry, found: str, expected: str) -> Finding:
    message = (
        f"{run.name}: same_clock is stated, but found {found}; expected {expected}, so nothing is measured: {REMEDY}"
    )
    return Finding(severity="error", code="same_clock_contradicted", message=message)
