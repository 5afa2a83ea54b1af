"""What a log says of itself above its readings: the day it was made, and how many rows a second it holds."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from contextlib import suppress

from telemetry.model.log import Preface
from telemetry.trade_words import plain_words, vocabulary

SLOWEST_HZ, FASTEST_HZ = 10.0, 50_000.0
"""Own choices: what is stated beyond these is no rate at which suspension is logged."""
LONGEST_PREFACE, LONGEST_LINE = 200, 300
"""Own choices: lines, and letters of each; what stands further down or behind isn't looked at."""
_DAY = vocabulary(
    "date day datum tag fecha data dia dato dag pvm recorded recording created start started begin aufnahme debut jour "
    "inicio inizio",
    "aufgezeichn aufnahmedat enregistr grabad registr",
)
_OF_THE_LOGGER = vocabulary(
    "firmware fw version build built compiled update serial license", "calibr kalibr etalonn gekauft"
)
_RATE = vocabulary(
    "rate sps taux freq fs", "samplerate datarate lograte abtastrat abtastfreq frequ frecuen czestotl vzorkov"
)
_SAMPLES = vocabulary("sps fs", "sampl abtast echantil muestr campion amostr probk vzork bemonster")
_OTHER_RATE = vocabulary(
    "gps gnss baud cpu heart bit pwm i2c spi frame fps screen cutoff cut",
    "filter lowpass highpass tiefpass notch natural eigenfreq resonan corner coupure satell",
)
_DATE = re.compile(r"(?<!\d)(?:(20\d\d)([-/.]?)(\d\d)\2(\d\d)|(\d\d?)([-/.])\s?(\d\d?)\6\s?(20\d\d))(?!\d)")
_FREQUENCY = re.compile(
    r"(?<![\w.])(?<!\d,)(\d+(?:[.,]\d+)?)[\s,;]*(khz|hz|sps|samples?/s|1/s)?(?![\w./:-]*\d)", re.IGNORECASE
)
_STAMP = re.compile(r"\d+([-/:.])\d+\1\d+")
_UNIT = re.compile(r"(?<![^\W_])(khz|hz|sps)\b", re.IGNORECASE)


def read_preface(lines: Sequence[str]) -> Preface:
    """Return what a log says of itself.

    Parameters
    ----------
    lines : sequence of str
        Those above its header and readings, comments among them.

    Examples
    --------
    >>> read_preface(["Logger: some box", "Datum: 16.05.2026", "Abtastrate: 0,4 kHz"])
    Preface(days=(datetime.date(2026, 5, 16),), rate_hz=400.0, rate_is_sure=True)
    """
    some = [line[:LONGEST_LINE] for line in lines[:LONGEST_PREFACE]]
    days = next((days for line in some if (days := _days(line))), ())
    rates = list(dict.fromkeys(rate for line in some for rate in _rates(line)))
    of_samples = [rate for rate in rates if rate[2]]
    of_rows = of_samples or rates
    if not of_rows:
        return Preface(days=days)
    rate_hz, with_unit, named = of_rows[0]
    return Preface(days=days, rate_hz=rate_hz, rate_is_sure=with_unit and named and len(of_rows) == 1)


def _days(line: str) -> tuple[dt.date, ...]:
    found = _DATE.search(line)
    words = plain_words(line[: found.start()]) if found else ()
    if found is None or not _DAY.speaks_in(words) or _OF_THE_LOGGER.speaks_in(words):
        return ()
    if found[1]:
        return tuple(_dates((int(found[1]), int(found[3]), int(found[4]))))
    first, second, year = int(found[5]), int(found[7]), int(found[8])
    if found[6] == ".":  # no country parts a month from the day behind it by a point
        return tuple(_dates((year, second, first)))
    return tuple(dict.fromkeys(_dates((year, second, first), (year, first, second))))


def _dates(*read: tuple[int, int, int]) -> Iterator[dt.date]:
    for year, month, day in read:
        with suppress(ValueError):
            yield dt.date(year, month, day)


def _rates(line: str) -> Iterator[tuple[float, bool, bool]]:
    """Yield what may be a rate, Hz, whether its unit stands by it, and whether it is said to be the samples'."""
    words, numbers = plain_words(line), list(_FREQUENCY.finditer(_STAMP.sub(" ", line)))
    if not numbers or _OTHER_RATE.speaks_in(words):
        return
    found = next((number for number in numbers if number[2]), numbers[-1])
    unit = (found[2] or next(iter(_UNIT.findall(line)), "")).lower()
    if unit or _RATE.speaks_in(words):
        rate_hz = float(found[1].replace(",", ".")) * (1000.0 if unit == "khz" else 1.0)
        if SLOWEST_HZ <= rate_hz <= FASTEST_HZ:
            yield rate_hz, bool(unit), _SAMPLES.speaks_in(words) or _RATE.speaks_in(words)
