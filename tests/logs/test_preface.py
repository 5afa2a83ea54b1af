"""What lines above a log's readings say of its rate and its day."""

from __future__ import annotations

import datetime as dt
import time

import pytest

from telemetry.logs.preface import read_preface


@pytest.mark.parametrize(
    ("line", "rate_hz", "sure"),
    [
        ("Sample rate of channels 1 to 4: 400 Hz", 400, True),
        ("# Abtastrate,1000,Hz", 1000, True),
        ("Sample rate (Hz)\t500", 500, True),
        ("rate_hz=400, date=2026-05-16", 400, True),
        ("Rate 400 from 09:12:03 on, version 2.11.0", 400, False),
        ("Frequency;0,4;kHz", 400, True),
        ("rate of channels 1 to 4: 500", 500, False),
        ("Analog inputs at 200 Hz", 200, False),
        ("GPS rate: 10 Hz", None, False),
        ("Low-pass filter 50 Hz", None, False),
        ("Samples: 40000", None, False),
        ("Baud rate 9600", None, False),
        ("Sample rate: 1 Hz", None, False),
    ],
)
def test_rate(line: str, rate_hz: float | None, sure: bool) -> None:
    found = read_preface([line])
    assert (found.rate_hz, found.rate_is_sure) == (rate_hz, sure)


@pytest.mark.parametrize(
    ("line", "days"),
    [
        ("Recorded 2026-05-16 09:12:03", ("2026-05-16",)),
        ("Datum;16. 05. 2026", ("2026-05-16",)),
        ("Date: 02/03/2026", ("2026-03-02", "2026-02-03")),
        ("Date: 03/03/2026", ("2026-03-03",)),
        ("Date: 31.02.2026", ()),
        ("Firmware date: 2024-01-02", ()),
        ("2026-05-16", ()),
    ],
)
def test_day(line: str, days: tuple[str, ...]) -> None:
    assert read_preface([line]).days == tuple(map(dt.date.fromisoformat, days))


def test_a_line_of_many_digits_is_passed_in_no_time() -> None:
    """The pattern for rates goes back over such a line from each of its digits: 24 s, where none stops it."""
    start = time.thread_time()
    read_preface(["Rate " + "1" * 40_000 + "x1"])
    assert time.thread_time() - start < 2.0
