"""The unit of a clock's numbers: by its name, or by how far it steps from row to row."""

from __future__ import annotations

import re

DAY_S = 86_400.0
SECONDS_PER = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "min": 60.0, "days": DAY_S}
"""Days are what spreadsheets count, from the end of 1899 on; phones log ns."""
PLAUSIBLE_STEP_S, SLOWEST_STEP_S = (1e-4, 0.05), 0.2
"""Loggers write from 20 to 10 000 rows a second (common practice, no source), some 5."""
SURE_NS = 1e6
"""Steps of a second or more, were they us."""

_NAMED_UNIT = (
    ("ns", re.compile(r"(^|[^a-z])(ns|nanos|nsecs?|nanoseconds?)([^a-z]|$)", re.IGNORECASE)),
    ("us", re.compile(r"(^|[^a-z])(us|µs|micros|usecs?|microseconds?)([^a-z]|$)", re.IGNORECASE)),
    ("ms", re.compile(r"(^|[^a-z])(ms|millis|msecs?|milliseconds?)([^a-z]|$)", re.IGNORECASE)),
    ("s", re.compile(r"(^|[^a-z])(s|sec|secs|seconds?)([^a-z]|$)", re.IGNORECASE)),
    ("min", re.compile(r"(^|[^a-z])(min|mins|minutes?)([^a-z]|$)", re.IGNORECASE)),
)


def named_unit(name: str) -> str | None:
    """Return the time unit a column's name tells, None where it tells none.

    Examples
    --------
    >>> named_unit("t_ms"), named_unit("Time [s]"), named_unit("time_us"), named_unit("time")
    ('ms', 's', 'us', None)
    """
    spaced = name.replace("_", " ")
    return next((unit for unit, pattern in _NAMED_UNIT if pattern.search(spaced)), None)


def plausible_unit(step: float) -> str | None:
    """Return the unit in which this step between rows is a logger's, None where none fits or several may.

    Minutes may be seconds of a fast logger, and fewer than a million ns may be us of a slow one: those need a name.

    Examples
    --------
    >>> plausible_unit(0.002), plausible_unit(2.0), plausible_unit(2e6), plausible_unit(2e5), plausible_unit(2.3e-8)
    ('s', 'ms', 'ns', None, 'days')
    """
    possible = possible_units(step)
    return possible[0] if len(possible) == 1 else None


def possible_units(step: float) -> tuple[str, ...]:
    """Return the units in which this step between rows may be a logger's.

    A fast logger's step may be a slow one's in a unit a thousand times as long: both are returned.

    Examples
    --------
    >>> possible_units(2.0), possible_units(100.0), possible_units(0.1), possible_units(3e4)
    (('ms',), ('us', 'ms'), ('ms', 's'), ('us',))
    """
    units = ("s", "ms", "us", "days", *(["ns"] if step >= SURE_NS else []))
    unit = next((unit for unit in units if _lies(step * SECONDS_PER[unit], *PLAUSIBLE_STEP_S)), None)
    if unit is None:
        return ()
    slower = {"ms": "s", "us": "ms"}.get(unit)
    doubtful = slower is not None and _lies(step * SECONDS_PER[slower], PLAUSIBLE_STEP_S[1], SLOWEST_STEP_S)
    return (unit, slower) if slower is not None and doubtful else (unit,)


def _lies(step_s: float, low_s: float, high_s: float) -> bool:
    return low_s * 0.999 <= step_s <= high_s * 1.001
