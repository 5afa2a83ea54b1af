"""Time cells: date-time stamps and clock times into seconds, and the unit of plain numbers."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from telemetry.errors import LogError
from telemetry.model.arrays import Floats, Ints

from .month_names import with_month_number
from .table import Words
from .time_units import (
    DAY_S,
    LEAST_RATE_HZ,
    MOST_RATE_HZ,
    SECONDS_PER,
    named_unit,
    plausible_unit,
    rates_in_words,
)

HOUR_S = 3600.0
YEAR_S = 365.25 * DAY_S
LONGEST_RUN_S, FURTHEST_STAMP_S = 100 * YEAR_S, 1e12
"""Own choices: a clock that is set meanwhile jumps by the years since 1970, none by more; from 1e12 s on a double
can't tell one row from the next."""
MOST_FAR_SHARE = 0.2
"""As of cells that are no numbers."""
NO_CLOCK = "name the column that holds the clock, and its unit: [log] time = { column = ..., unit = ... }"
_FRACTION = r"(?:[.,]\d+|:\d{3}|:\d{6})"
_NO_HOURS = re.compile(rf"(?P<m>\d{{1,3}}):(?P<s>\d{{2}}{_FRACTION})")
"""Hours left out, as spreadsheets and lap timers do: it starts anew every hour, or runs on beyond 60 minutes."""
_CLOCKS = (
    re.compile(rf"(?P<h>\d{{1,3}}):(?P<m>\d{{2}})(?::(?P<s>\d{{2}}{_FRACTION}?))?\s*(?P<half>[AP]M)?", re.IGNORECASE),
    _NO_HOURS,
    re.compile(r"(?P<h>\d{2})(?P<m>\d{2})(?P<s>\d{2}(?:[.,]\d+)?)"),  # ISO 8601, basic format
)
_DATES = (
    re.compile(r"(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})[T ]+(.*)"),
    re.compile(r"(\d{4})(\d{2})(\d{2})[T ]+(.*)"),
)
_ZONE = re.compile(r"(Z|[+-]\d{2}:?\d{2})$")
STEP_ROWS = 50_000
SPREADSHEET_EPOCH = datetime(1899, 12, 30)  # noqa: DTZ001 - a logger's clock has no zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamps:
    """A log's stamps.

    Attributes
    ----------
    seconds : float array, shape (n,)
        Seconds after the first stamp, as they stand (not yet unrolled or sorted); NaN where a cell holds none.
    resolution_s : float
        Smallest step of which all stamps are multiples.
    written_s : float
        What they are written to: the smallest decimal step, at most a number's own unit.
    unit_s : float
        Length of the clock's unit, for counters that roll over.
    unit : str or None
        That unit; None where cells tell it, as a date does.
    first : datetime or None
        The first stamp where it is absolute.
    first_s : float
        The first stamp as it stands, s: since the clock's own zero, midnight or 1970.
    words : str
        The clock for a person.
    """

    seconds: Floats
    resolution_s: float
    written_s: float
    unit_s: float
    first: datetime | None
    first_s: float
    words: str
    unit: str | None = None


def decimal_resolution(values: Floats, unit_s: float) -> tuple[float, float]:
    """Return the smallest step of which all values are multiples, and the smallest decimal one, s.

    Parameters
    ----------
    values : float array, shape (n,)
        In the clock's unit.
    unit_s : float
        Length of the unit, s.

    Returns
    -------
    resolution_s, written_s : float
        Never under a nanosecond, nor under what a double resolves at this size. They differ where several rows share a
        stamp: resolution is the step of which all stamps are multiples, decimal or not.

    Examples
    --------
    >>> import numpy as np
    >>> decimal_resolution(np.array([0.0, 3.3, 6.7]), 1e-3)
    (0.0001, 0.0001)
    """
    known = np.isfinite(values)
    finite = values if known.all() else values[known]
    size = max(float(finite.max()), -float(finite.min())) if finite.size else 1.0
    sample = finite if finite.size <= 20_000 else finite[:: finite.size // 20_000 + 1]
    for places in range(-3, 10):
        scaled = sample * 10.0**places
        tolerance = max(1e-6, 4e-16 * size * 10.0**places * 4)
        if tolerance < 0.2 and np.all(np.abs(scaled - np.round(scaled)) <= tolerance):
            written_s = 10.0**-places * unit_s
            return max(_ticks_shared(finite, 10.0**places) * written_s, 1e-9), max(written_s, 1e-9)
    least_s = max(1e-9, 4e-16 * size * unit_s)
    return least_s, least_s


def _ticks_shared(stamps: Floats, per_unit: float) -> int:
    """Return the step, in ticks, of which all stamps are multiples where several rows share each, else 1."""
    first = np.diff(stamps[:STEP_ROWS])
    if np.count_nonzero(first) > 0.8 * first.size:
        return 1
    step = np.diff(stamps)
    step *= per_unit
    ticks = np.rint(step, out=step).astype(np.int64)
    shared = int(np.gcd.reduce(ticks))
    return shared if shared * ticks.size > int(ticks.sum()) else 1


def number_stamps(values: Floats, name: str, unit: str | None, where: str) -> Stamps:
    """Return stamps from a column of plain numbers.

    Parameters
    ----------
    values : float array, shape (n,)
    name : str
        The column's name, which may tell the unit.
    unit : {"s", "ms", "us", "ns", "min", "days"} or None
        Pinned unit.
    where : str

    Raises
    ------
    LogError
        If the unit can't be told.
    """
    step = usual_step(values)
    told = unit or named_unit(name) or plausible_unit(step)
    if told is None:
        raise _without_unit(step, name, where)
    likely = plausible_unit(step)
    hint = f'state the unit: [log] time = {{ column = ..., unit = "{likely}" }}' if likely not in (None, told) else ""
    values = _near_the_rest(values, SECONDS_PER[told], where, hint)
    first = _moment(float(values[0]), told)
    known = np.isfinite(values)
    stands = float(values[int(np.argmax(known))]) if known.any() else 0.0
    seconds = values - stands
    seconds *= SECONDS_PER[told]
    resolution_s, written_s = decimal_resolution(values, SECONDS_PER[told])
    return Stamps(
        seconds=seconds,
        resolution_s=resolution_s,
        written_s=min(written_s, SECONDS_PER[told]),
        unit_s=SECONDS_PER[told],
        first=first,
        first_s=stands * SECONDS_PER[told],
        words=f"clock {name or 'column'} in {told}",
        unit=told,
    )


def _without_unit(step: float, name: str, where: str) -> LogError:
    """Return the error of a clock that never steps forward, or whose steps may be of several units or of none."""
    if math.isnan(step):
        remedy = "name the column that runs in [log] time, or state rate_hz"
        return LogError(where, f"no steps forward in time column {name!r}", "a clock that runs", remedy)
    rates, found = rates_in_words(step), f"steps of {step:g} in time column {name!r}"
    if rates:
        remedy = f"state the unit: [log] time = {{ column = ..., unit = {rates} }}; where none is right, state rate_hz"
        return LogError(where, found, "steps that fit one unit alone", remedy)
    expected = f"{LEAST_RATE_HZ:.0f} to {MOST_RATE_HZ:.0f} rows a second in one unit or another"
    return LogError(where, found, expected, f"{NO_CLOCK}, or state rate_hz")


def _near_the_rest(values: Floats, unit_s: float, where: str, hint: str) -> Floats:
    """Return stamps without those that no clock shows, or none whose other stamps are these.

    Raises
    ------
    LogError
        If more of them are such than can be left out.
    """
    low, high = float(np.fmin.reduce(values)) * unit_s, float(np.fmax.reduce(values)) * unit_s
    runs, furthest = high - low, max(-low, high)
    if not (runs > LONGEST_RUN_S or furthest > FURTHEST_STAMP_S):
        return values
    seconds = values * unit_s
    near = np.abs(seconds - np.nanmedian(seconds)) <= LONGEST_RUN_S
    near &= np.abs(seconds) <= FURTHEST_STAMP_S
    if np.count_nonzero(near) < (1 - MOST_FAR_SHARE) * np.count_nonzero(np.isfinite(values)):
        told = f"that runs over {runs / YEAR_S:.3g}" if runs > LONGEST_RUN_S else f"that shows {furthest / YEAR_S:.3g}"
        raise LogError(where, f"a clock {told} years", "the time of a ride", hint or NO_CLOCK)
    return np.where(near, values, np.nan)


def _moment(value: float, unit: str) -> datetime | None:
    """Return the moment a stamp tells, where it counts from 1970 or is a spreadsheet's day; else None."""
    if unit == "days":
        return SPREADSHEET_EPOCH + timedelta(days=value) if 20_000 < value < 80_000 else None
    seconds = value * SECONDS_PER[unit]
    return datetime.fromtimestamp(seconds) if 1e9 < seconds < 4e9 else None  # noqa: DTZ006 - a logger has no zone


def usual_step(values: Floats) -> float:
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
    found = next((match for pattern in _CLOCKS if (match := pattern.fullmatch(text.strip()))), None)
    if found is None:
        return math.nan
    parts = found.groupdict()
    hour, minute = int(parts.get("h") or 0), int(parts["m"])
    second = float((parts["s"] or "0").replace(",", ".").replace(":", "."))
    half = (parts.get("half") or "").upper()
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


def _dated(cell: str) -> re.Match[str] | None:
    return next((match for pattern in _DATES if (match := pattern.fullmatch(cell))), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """What different cells tell: seconds of a day (NaN where none), which date each (-1 none), the dates and a sign."""

    seconds: Floats
    which: Ints
    dates: tuple[tuple[str, str, str], ...]
    sign: str


def _read(known: Sequence[str]) -> _Read:
    seconds, which = np.empty(len(known)), np.full(len(known), -1)
    dates: dict[tuple[str, str, str], int] = {}
    sign = ""
    for place, cell in enumerate(known):
        match = _dated(with_month_number(cell.strip()))
        if match is None:
            seconds[place] = _seconds_of_day(cell)
            continue
        sign = sign or match.string[len(match.group(1))]
        which[place] = dates.setdefault((match.group(1), match.group(2), match.group(3)), len(dates))
        clock = _ZONE.sub("", match.group(4).strip())
        seconds[place] = _seconds_of_day(clock) if clock else 0.0
    return _Read(seconds=seconds, which=which, dates=tuple(dates), sign=sign)


def word_stamps(cells: Words, where: str, *, day_first: bool | None) -> Stamps:
    """Return stamps from date-time cells or clock times.

    Parameters
    ----------
    cells : Words
        ``2026-05-16T09:12:00.25``, ``05/25/2022 05:46:08.066 PM``, ``20260516T091200``, ``23:59:59.98``,
        ``23:59:59:980``, minutes and seconds as ``59:59.98`` or ``59:59:980`` ...; empty where there is none.
    where : str
    day_first : bool or None
        Whether 02/03/2026 is the 2nd of March; None to find out.

    Raises
    ------
    LogError
        If no cell is a stamp, or a date is none of the calendar.
    """
    read = _read(cells.known)
    dated = bool(read.dates)
    order = _date_order(read.dates, read.sign, day_first=day_first) if dated else None
    days = [_day_number(key, order, where) for key in read.dates] if order is not None else []
    base = min(days, default=0)  # seconds since the first day keep their decimals; since 1970 they'd not
    since_base = np.array([day - base for day in [*days, base]]) * DAY_S  # the last one: a cell without a date
    absolute = _near_the_rest((read.seconds + since_base[read.which])[cells.codes], 1.0, where, "")
    good = np.flatnonzero(np.isfinite(absolute))
    if good.size == 0:
        raise LogError(
            where,
            f"time cell {cells.known[0]!r}" if cells.known[0] else "no time in any cell",
            "numbers or date-time stamps",
            "name the time column in [log], or state rate_hz",
        )
    start = float(absolute[good[0]])
    seconds = np.round(absolute - start, 9)
    if not dated:
        hourly = all(_NO_HOURS.fullmatch(cell.strip()) for cell in cells.known if cell)
        period_s = HOUR_S if hourly else DAY_S
        fall = np.diff(seconds[good], prepend=seconds[good[0]]) < -period_s / 2
        seconds[good] += period_s * np.cumsum(fall)
    first = _day_and_second(base, start) if dated else None
    resolution_s, written_s = decimal_resolution(seconds, 1.0)
    return Stamps(
        seconds=seconds,
        resolution_s=resolution_s,
        written_s=written_s,
        unit_s=resolution_s,
        first=first,
        first_s=base * DAY_S + start,
        words="date-time stamps" if dated else "clock times",
    )


def _day_and_second(day: int, second: float) -> datetime | None:
    """Return a moment; None beyond the calendar's end."""
    try:
        return datetime(1970, 1, 1) + timedelta(days=day, seconds=round(second, 6))  # noqa: DTZ001 - zone unknown
    except OverflowError:
        return None


def _day_number(key: tuple[str, str, str], order: _Order, where: str) -> int:
    year = int(key[order.year])
    try:
        day = date(year + 2000 if year < 100 else year, int(key[order.month]), int(key[order.day]))
    except ValueError:
        raise LogError(
            where, f"date {'/'.join(key)}", "a day of the calendar", "set day_first = true, or false, in [log]"
        ) from None
    return (day - date(1970, 1, 1)).days
