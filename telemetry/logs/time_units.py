"""The unit of a clock's numbers: by its name, or by how far it steps from row to row."""

from __future__ import annotations

import re

DAY_S = 86_400.0
SECONDS_PER = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "min": 60.0, "days": DAY_S}
"""Days are what spreadsheets count, from the end of 1899 on; phones log ns."""
PLAUSIBLE_STEP_S, SLOWEST_STEP_S = (1e-4, 0.05), 0.2
"""Loggers write from 20 to 10 000 rows a second (common practice, no source), some 5."""
LEAST_RATE_HZ, MOST_RATE_HZ = 5.0, 20_000.0
"""Own choice: what a hobby logger writes lies from 20 to 5000 rows a second."""
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


def rate_in_words(rate_hz: float) -> str:
    """Return a rate for a person.

    Examples
    --------
    >>> rate_in_words(2e4), rate_in_words(199.98765)
    ('20000 rows a second', '200 rows a second')
    """
    return f"{rate_hz:.4g} rows a second" if rate_hz < 1000 else f"{rate_hz:.0f} rows a second"


def rates_in_words(step: float, *, but: str = "") -> str:
    """Return the units in which this step between rows is a logger's, each with its rate; empty where there is none.

    Parameters
    ----------
    step : float
        In the clock's own unit.
    but : str, optional
        A unit that is out of the question.

    Examples
    --------
    >>> rates_in_words(100.0)
    '"us" (10000 rows a second) or "ms" (10 rows a second)'
    >>> rates_in_words(2.0, but="us"), rates_in_words(1e-7)
    ('"ms" (500 rows a second)', '')
    """
    rates = {unit: 1 / (step * SECONDS_PER[unit]) for unit in ("ns", "us", "ms", "s") if unit != but and step > 0}
    told = (
        f'"{unit}" ({rate_in_words(rate)})' for unit, rate in rates.items() if _lies(rate, LEAST_RATE_HZ, MOST_RATE_HZ)
    )
    return " or ".join(told)


def _lies(value: float, low: float, high: float) -> bool:
    return low * 0.999 <= value <= high * 1.001
