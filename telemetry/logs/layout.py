"""What tells the columns of a log from those of others: by their names."""

from __future__ import annotations

import hashlib
from pathlib import Path

from telemetry.model.day import LogOptions

from .opening import open_log

FEWEST_NAMES = 2
"""Columns with a name: a clock and a reading. Fewer tell no logger from another. Own choice."""
LETTERS = 16
"""Of the mark: enough that no two layouts of a library share one."""


def layout_of(path: Path, options: LogOptions) -> str:
    """Return a mark that logs with the same names of columns in the same order share; empty where they have no names.

    Parameters
    ----------
    path : Path
    options : LogOptions

    Raises
    ------
    LogError
        If it can't be told how it is written.
    """
    names = [" ".join(name.casefold().split()) for name in open_log(path, path.name, options).dialect.names]
    if sum(map(bool, names)) < FEWEST_NAMES:
        return ""
    return hashlib.sha256("\n".join(names).encode("utf-8", "surrogatepass")).hexdigest()[:LETTERS]
