"""Layouts of the table: how time is written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import numpy as np

from tests.layouts.layout import Columns, Layout
from tests.layouts.ride import RATE_HZ, ROWS, STARTED, Cells, clock, fork, numbers, shock, stamps
from tests.logs.written import Manner

SINCE_1970 = STARTED.replace(tzinfo=dt.UTC).timestamp()


def beside(*clocks: tuple[str, Cells]) -> Columns:
    """Return a log's columns with these for its clock."""
    return (*clocks, ("fork", fork()), ("shock", shock()))


def stamped(name: str, form: Callable[[dt.datetime], str]) -> Columns:
    """Return a log's columns with stamps for its clock."""
    return beside((name, stamps(form)))


def ms_of(at: dt.datetime) -> str:
    return f"{at.microsecond // 1000:03d}"


RATE_STATED = (f"rate_hz = {RATE_HZ}",)

CLOCKS = (
    Layout(name="milliseconds", columns=beside(("millis", clock()))),
    Layout(name="microseconds", columns=beside(("us", clock(1e6)))),
    Layout(name="seconds with decimals", columns=beside(("Time (s)", clock(1.0, 3)))),
    Layout(name="nanoseconds", columns=beside(("timestamp_ns", clock(1e9)))),
    Layout(
        name="days as a spreadsheet counts them",
        columns=beside(("time", numbers(lambda: 46158 + (33120 + np.arange(ROWS) / RATE_HZ) / 86400, 10))),
    ),
    Layout(name="minutes and seconds", columns=stamped("Elapsed", lambda at: f"{at:%M:%S}.{ms_of(at)}")),
    Layout(
        name="minutes, seconds and milliseconds, colons between",
        columns=stamped("clock", lambda at: f"{at:%M:%S}:{ms_of(at)}"),
    ),
    Layout(name="a clock whose name tells no unit", columns=beside(("t", clock(1.0, 3)))),
    Layout(
        name="a counter of ms that starts anew at 2¹⁶",
        columns=beside(("t_ms", clock(starts=60_000, wraps_at=2**16))),
        shown=(0, 1384),
    ),
    Layout(
        name="a counter of µs that starts anew at 2³²",
        columns=beside(("micros", clock(1e6, starts=2**32 - 8e6, wraps_at=2**32))),
        shown=(0, 2000),
    ),
    Layout(name="seconds since 1970", columns=beside(("timestamp", clock(1.0, 3, SINCE_1970)))),
    Layout(name="milliseconds since 1970", columns=beside(("timestamp", clock(1e3, 0, SINCE_1970 * 1e3)))),
    Layout(name="microseconds since 1970", columns=beside(("timestamp", clock(1e6, 0, SINCE_1970 * 1e6)))),
    Layout(
        name="date and time as in ISO 8601",
        columns=stamped("time", lambda at: at.isoformat(timespec="milliseconds")),
    ),
    Layout(
        name="date and time with a zone",
        columns=stamped("time", lambda at: at.isoformat(timespec="milliseconds") + "+02:00"),
    ),
    Layout(
        name="date and time with points, the day first",
        columns=stamped("Datum", lambda at: f"{at:%d.%m.%Y %H:%M:%S}.{ms_of(at)}"),
        manner=Manner(delimiter=";"),
    ),
    Layout(
        name="a clock of twelve hours",
        columns=stamped("Time", lambda at: f"{at:%m/%d/%Y %I:%M:%S}.{ms_of(at)} {at:%p}"),
    ),
    Layout(
        name="the month by its name",
        columns=stamped("time", lambda at: f"{at:%d-%b-%Y %H:%M:%S}.{ms_of(at)}"),
    ),
    Layout(name="clock times without a date", columns=stamped("time", lambda at: f"{at:%H:%M:%S}.{ms_of(at)}")),
    Layout(
        name="date and clock in two columns",
        columns=beside(
            ("date", stamps(lambda at: f"{at:%Y-%m-%d}")), ("clock", stamps(lambda at: f"{at:%H:%M:%S}.{ms_of(at)}"))
        ),
    ),
    Layout(
        name="date and time to the second, milliseconds beside",
        columns=beside(("time", stamps(lambda at: f"{at:%Y-%m-%d %H:%M:%S}")), ("ms", stamps(ms_of))),
        shown=(0, 250),
    ),
    Layout(
        name="seconds and microseconds in two columns",
        columns=beside(("sec", clock(1.0)), ("usec", numbers(lambda: np.arange(ROWS) % RATE_HZ * (1e6 / RATE_HZ)))),
        shown=(0, 250),
    ),
    Layout(
        name="stamps of whole seconds",
        columns=beside(("seconds", clock(1.0))),
        shown=(0, 250),
        said="The rate is the slope of a line through the rows at which the clock ticks.",
    ),
    Layout(
        name="date and time to the whole second",
        columns=stamped("time", lambda at: f"{at:%Y-%m-%d %H:%M:%S}"),
        shown=(0, 250),
    ),
    Layout(
        name="a sample counter and no clock",
        columns=beside(("sample", numbers(lambda: np.arange(float(ROWS))))),
        log=RATE_STATED,
        asked="no column looks like a clock",
    ),
    Layout(
        name="a counter of rows before the clock, no header",
        columns=(("", numbers(lambda: np.arange(1.0, ROWS + 1))), *beside(("", clock()))),
        manner=Manner(header=False),
        said="Which end is which is asked.",
    ),
    Layout(
        name="no clock at all",
        columns=beside(),
        log=RATE_STATED,
        asked="no column looks like a clock",
        said="Write the rate that the logger is set to; check it against a run timed by hand.",
    ),
    Layout(
        name="no clock, but the rate above the readings",
        columns=beside(),
        manner=Manner(junk=(f"Sample rate: {RATE_HZ} Hz",)),
        said="The draft takes the rate from there.",
    ),
)
