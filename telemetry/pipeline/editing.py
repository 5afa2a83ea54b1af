"""What a day's file is to be changed by, and which logs in its folder it doesn't mention yet."""

from __future__ import annotations

import time
from pathlib import Path

from telemetry.model.day import RideDay
from telemetry.ride_day import AddRun, Bounds, ChangedFileError, LeaveOut, NameFocus, Proposal, logs_in, propose, write

QUIET_S = 1.0
"""A log written to within so long may still be being copied."""

__all__ = [
    "AddRun",
    "Bounds",
    "ChangedFileError",
    "LeaveOut",
    "NameFocus",
    "Proposal",
    "new_logs",
    "propose",
    "write",
]


def new_logs(day: RideDay) -> tuple[Path, ...]:
    """Return the logs in a day's folder that it doesn't mention, by name; none that is still being copied.

    Parameters
    ----------
    day : RideDay
    """
    now = time.time()
    found = []
    for path in logs_in(day.folder):
        try:
            written = path.stat().st_mtime
        except OSError:
            continue
        if path not in day.logs and not 0 <= now - written < QUIET_S:
            found.append(path)
    return tuple(found)
