"""Time cells: date-time stamps and clock times into seconds, and the unit of plain numbers."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Floats

SECONDS_PER = {"s": 1.0, "ms": 1e-3, "us": 1e-6}
PLAUSIBLE_STEP_S = (1e-4, 0.05)
"""Loggers write from 20 to 10 000 rows a second (common practice, no source)."""

_NAMED_UNIT = (
    ("us", re.compile(r"(^|[^a-z])(us|µs|micros|microseconds?)([^a-z]|$)", re.IGNORECASE)),
    ("ms", re.compile(r"(^|[^a-z])(ms|millis|msec|milliseconds?)([^a-z]|$)", re.IGNORECASE)),
    ("s", re.compile(r"(^|[^a-z])(s|sec|secs|seconds?)([^a-z]|$)", re.IGNORECASE)),
)
_CLOCK = re.compile(r"^(\d{1,3}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?\s*(AM|PM)?$", re.IGNORECASE)
_DATE = re.compile(r"^(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})[T ]+(.*)$")
_ZONE = re.compile(r"(Z|[+-]\d{2}:?\d{2})$")
STEP_ROWS = 50_000
HALF_DAY_S, DAY_S = 43_200.0, 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamps:
    """A log's stamps.

    Attributes
    ----------
    seconds : float array, shape (n,)
        Seconds after the first stamp, as they stand (not yet unrolled or sorted); NaN where a cell holds none.
    resolution_s : float
        Smallest decimal step of which all stamps are multiples.
    unit_s : float
        Length of the clock's unit, for counters that roll over.
    first : datetime or None
        The first stamp where it is absolute.
    words : str
        The clock for a person.
    """

    seconds: Floats
    resolution_s: float
    unit_s: float
    first: datetime | None
    words: str


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
    """Return the unit in which this step between rows is a logger's, None where none fits."""
    for unit, seconds in SECONDS_PER.items():
        if PLAUSIBLE_STEP_S[0] * 0.999 <= step * seconds <= PLAUSIBLE_STEP_S[1] * 1.001:
            return unit
    return None


def decimal_resolution(values: Floats, unit_s: float) -> float:
    """Return the smallest decimal step of which all values are multiples, s.

    Parameters
    ----------
    values : float array, shape (n,)
        In the clock's unit.
    unit_s : float
        Length of the unit, s.

    Returns
    -------
    float
        Never under a nanosecond, nor under what a double resolves at this size. Where several rows share a stamp,
        the step of which all stamps are multiples, decimal or not.

    Examples
    --------
    >>> import numpy as np
    >>> decimal_resolution(np.array([0.0, 3.3, 6.7]), 1e-3)
    0.0001
    """
    known = np.isfinite(values)
    finite = values if known.all() else values[known]
    size = float(np.max(np.abs(finite))) if finite.size else 1.0
    sample = finite if finite.size <= 20_000 else finite[:: finite.size // 20_000 + 1]
    for places in range(-3, 10):
        scaled = sample * 10.0**places
        tolerance = max(1e-6, 4e-16 * size * 10.0**places * 4)
        if tolerance < 0.2 and np.all(np.abs(scaled - np.round(scaled)) <= tolerance):
            return max(_ticks_shared(finite, 10.0**places) * 10.0**-places * unit_s, 1e-9)
    return max(1e-9, 4e-16 * size * unit_s)


def _ticks_shared(stamps: Floats, per_unit: float) -> int:
    """Return the step, in ticks, of which all stamps are multiples where several rows share each, else 1."""
    first = np.diff(stamps[:STEP_ROWS])
    if np.count_nonzero(first) > 0.8 * first.size:
        return 1
    step = np.round(np.diff(stamps) * per_unit).astype(np.int64)
    shared = int(np.gcd.reduce(step))
    return shared if shared * step.size > int(step.sum()) else 1


def number_stamps(values: Floats, name: str, unit: str | None, where: str) -> Stamps:
    """Return stamps from a column of plain numbers.

    Parameters
    ----------
    values : float array, shape (n,)
    name : str
        The column's name, which may tell the unit.
    unit : {"s", "ms", "us"} or None
        Pinned unit.
    where : str

    Raises
    ------
    LogError
        If the unit can't be told.
    """
    step = _usual_step(values)
    told = unit or named_unit(name) or plausible_unit(step)
    if told is None:
        found = f"steps of {step:g} in time column {name!r}"
        raise LogError(
            where, found, "steps of 0.1 to 50 ms", 'state the unit: [log] time = { column = ..., unit = "ms" }'
        )
    first, began = None, float(values[0]) * SECONDS_PER[told]
    if math.isfinite(began) and 1e9 < began < 4e9:
        first = datetime.fromtimestamp(began)  # noqa: DTZ006 - a logger's clock has no zone
    known = np.isfinite(values)
    seconds = values - (float(values[int(np.argmax(known))]) if known.any() else 0.0)
    seconds *= SECONDS_PER[told]
    return Stamps(
        seconds=seconds,
        resolution_s=decimal_resolution(values, SECONDS_PER[told]),
        unit_s=SECONDS_PER[told],
        first=first,
        words=f"clock {name or 'column'} in {told}",
    )


def _usual_step(values: Floats) -> float:
    """Return the usual step between rows, from the first rows."""
    step = np.diff(values[:STEP_ROWS][np.isfinite(values[:STEP_ROWS])])
    forward = step[step > 0]
    if forward.size == 0:
        return math.nan
    span = float(forward.sum())
    usual = float(np.median(forward))
    coarse = span / max(1, step.size)  # several rows share a stamp
    return coarse if forward.size < 0.5 * step.size else usual


def _seconds_of_day(text: str) -> float:
    found = _CLOCK.match(text.strip())
    if found is None:
        return math.nan
    hour, minute = int(found.group(1)), int(found.group(2))
    second = float((found.group(3) or "0").replace(",", "."))
    half = (found.group(4) or "").upper()
    if half:
        hour = hour % 12 + (12 if half == "PM" else 0)
    return 3600.0 * hour + 60.0 * minute + second


@dataclass(frozen=True, slots=True)
class _Order:
    """In which order a date's three numbers stand."""

    year: int
    month: int
    day: int


def _date_order(dates: Sequence[tuple[str, str, str]], sign: str, *, day_first: bool | None) -> _Order:
    """Return the order as pinned, else as the numbers tell, else by custom: dots mean that the day stands first."""
    if len(dates[0][0]) == 4:
        return _Order(0, 1, 2)
    if day_first is None:
        day_first = any(int(date[0]) > 12 for date in dates) or (
            sign == "." and not any(int(date[1]) > 12 for date in dates)
        )
    return _Order(2, 1, 0) if day_first else _Order(2, 0, 1)


def _date_of(match: re.Match[str]) -> tuple[str, str, str]:
    return match.group(1), match.group(2), match.group(3)


def word_stamps(cells: Sequence[str], where: str, *, day_first: bool | None) -> Stamps:
    """Return stamps from date-time cells or clock times.

    Parameters
    ----------
    cells : sequence of str
        ``2026-05-16T09:12:00.25``, ``05/25/2022 05:46:08.066 PM``, ``23:59:59.98`` ...; empty where there is none.
    where : str
    day_first : bool or None
        Whether 02/03/2026 is the 2nd of March; None to find out.

    Raises
    ------
    LogError
        If no cell is a stamp, or a date is none of the calendar.
    """
    unique = list(dict.fromkeys(cells))
    dated = [_DATE.match(cell.strip()) for cell in unique]
    found = [_date_of(match) for match in dated if match]
    days: dict[str, int] = {}
    zone_free = [
        _ZONE.sub("", match.group(4).strip()) if match else cell for match, cell in zip(dated, unique, strict=True)
    ]
    if found:
        sign = next(match.string.strip()[len(match.group(1))] for match in dated if match)
        order = _date_order(found, sign, day_first=day_first)
        for key in dict.fromkeys(found):
            days[" ".join(key)] = _day_number(key, order, where)
    base = min(days.values(), default=0)  # seconds since the first day keep their decimals; since 1970 they'd not
    table: dict[str, float] = {}
    for cell, match, clock in zip(unique, dated, zone_free, strict=True):
        second = _seconds_of_day(clock) if clock else (0.0 if match else math.nan)
        table[cell] = second + ((days[" ".join(_date_of(match))] - base) * DAY_S if match else 0.0)
    absolute = np.array([table[cell] for cell in cells])
    good = np.flatnonzero(np.isfinite(absolute))
    if good.size == 0:
        raise LogError(
            where,
            f"time cell {unique[0]!r}" if unique[0] else "no time in any cell",
            "numbers or date-time stamps",
            "name the time column in [log]",
        )
    start = float(absolute[good[0]])
    seconds = np.round(absolute - start, 9)
    if not found:
        fall = np.diff(seconds[good], prepend=seconds[good[0]]) < -HALF_DAY_S
        seconds[good] += DAY_S * np.cumsum(fall)
    epoch = datetime(1970, 1, 1)  # noqa: DTZ001 - zone unknown
    first = epoch + timedelta(days=base, seconds=round(start, 6)) if found else None
    resolution = decimal_resolution(seconds, 1.0)
    return Stamps(
        seconds=seconds,
        resolution_s=resolution,
        unit_s=resolution,
        first=first,
        words="date-time stamps" if found else "clock times",
    )


def _day_number(key: tuple[str, str, str], order: _Order, where: str) -> int:
    year = int(key[order.year])
    try:
        day = date(year + 2000 if year < 100 else year, int(key[order.month]), int(key[order.day]))
    except ValueError:
        raise LogError(
            where, f"date {'/'.join(key)}", "a day of the calendar", "set day_first = true, or false, in [log]"
        ) from None
    return (day - date(1970, 1, 1)).days
