"""Dates that name their month (``16-May-2026``), with its number in place of the name."""

from __future__ import annotations

import re

from telemetry.trade_words import without_accents

_MONTHS = (
    ("jan", "ene", "gen"),
    ("feb", "fev"),
    ("mar", "mrz"),
    ("apr", "avr", "abr"),
    ("may", "mai", "mag"),
    ("jun", "juin", "giu"),
    ("jul", "juil", "lug"),
    ("aug", "aou", "ago"),
    ("sep", "set"),
    ("oct", "okt", "ott"),
    ("nov",),
    ("dec", "dez", "dic"),
)
"""First letters in English, German, French, Spanish and Italian, accents aside; from memory."""
_NUMBERS = {word: number for number, words in enumerate(_MONTHS, 1) for word in words}
_DATES = (
    re.compile(r"(?P<day>\d{1,2})[-/. ]+(?P<month>[^\W\d]{3,10})[-/., ]+(?P<year>\d{4}|\d{2})(?P<rest>[T ].*)?"),
    re.compile(r"(?P<month>[^\W\d]{3,10})[. ]+(?P<day>\d{1,2}),? +(?P<year>\d{4}),?(?P<rest>[T ].*)?"),
    re.compile(r"(?P<year>\d{4})[-/. ](?P<month>[^\W\d]{3,10})[-/. ](?P<day>\d{1,2})(?P<rest>[T ].*)?"),
)


def with_month_number(cell: str) -> str:
    """Return a stamp whose date names its month with year, month and day as numbers; any other as it is.

    Examples
    --------
    >>> with_month_number("16-May-2026 09:12:00.25"), with_month_number("Dez. 3, 2026 9:12:00 PM")
    ('2026-05-16 09:12:00.25', '2026-12-03 9:12:00 PM')
    >>> with_month_number("2026-05-16 09:12:00")
    '2026-05-16 09:12:00'
    """
    found = next((match for pattern in _DATES if (match := pattern.fullmatch(cell))), None)
    if found is None:
        return cell
    word = without_accents(found["month"]).lower()
    number = _NUMBERS.get(word[:4]) or _NUMBERS.get(word[:3])
    year = int(found["year"])
    date = f"{year + 2000 if year < 100 else year}-{number:02d}-{int(found['day']):02d}" if number else None
    return cell if date is None else date + (found["rest"] or " ")
