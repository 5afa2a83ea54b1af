"""Whether two runs hold one ride: a log copied under two names counts as two independent runs otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import blake2b

import numpy as np

from telemetry.model.finding import Finding
from telemetry.model.log import Log

ROWS_LOOKED_AT = 4096
"""Spread over the whole log: two rides never agree in all of them to the last count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ridden:
    """What tells a ride from another: a mark of its logs' readings, their names, and the part that was ridden, s."""

    run: str
    logs: str
    mark: bytes
    start_s: float
    end_s: float

    def overlaps(self, other: Ridden) -> bool:
        """Tell whether both hold a stretch of the same readings."""
        return self.mark == other.mark and self.start_s < other.end_s and other.start_s < self.end_s


def readings_mark(logs: Sequence[Log]) -> bytes:
    """Return a mark of a run's readings: equal for equal logs, whatever their files are called.

    Parameters
    ----------
    logs : sequence of Log
        The one log of a run, or the two of two loggers.
    """
    digest = blake2b(digest_size=16)
    for log in logs:
        count = log.time_s.shape[0]
        places = np.unique(np.linspace(0, count - 1, ROWS_LOOKED_AT).astype(np.int64))
        digest.update(f"{count} {len(log.columns)}".encode())
        for column in log.columns.values():
            digest.update(np.ascontiguousarray(column[places]).tobytes())
    return digest.digest()


def same_readings(rides: Sequence[Ridden]) -> dict[str, Finding]:
    """Return what each run is told that holds the same stretch of the same readings as another.

    Parameters
    ----------
    rides : sequence of Ridden
        Of a day's runs. Runs that are other stretches of one log are none of these.
    """
    found: dict[str, Finding] = {}
    for ride in rides:
        other = next((other for other in rides if other is not ride and ride.overlaps(other)), None)
        if other is None:
            continue
        message = (
            f"{ride.run}: {ride.logs} holds the very readings of {other.run} ({other.logs}); a ride of its own is "
            "expected: copy the right log, or leave one of the two runs out (leave_out)"
        )
        found[ride.run] = Finding(code="same_readings", message=message)
    return found
