"""Which language the customer's page is said in."""

from __future__ import annotations

from telemetry.errors import CallError
from telemetry.languages import ENGLISH, Language, codes, language
from telemetry.model.day import RideDay


def said_in(asked: str | None, reader: str | None, day: RideDay) -> Language:
    """Return the language asked for, else the day's own, else English; a whole report is in English.

    Parameters
    ----------
    asked : str or None
        As the option has it.
    reader : str or None
        Whom the page is for; None for the whole report.
    day : RideDay

    Raises
    ------
    CallError
        If there is no such language, or one is asked for the whole report.
    """
    if asked is not None and asked not in codes():
        raise CallError("--language", repr(asked), f"a language there is: one of {', '.join(codes())}")
    if asked is not None and reader is None:
        expected = "--for customer beside it: the evidence behind the first page is in English alone"
        raise CallError("--language", "a language for the whole report", expected)
    return ENGLISH if reader is None else language(asked or day.shop.get("language") or ENGLISH.code)
