"""Earlier days in words: what a day borrows from them, and which were left out."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.earlier import DayLeftOut, EarlierDay, EarlierDays
from telemetry.words import counted, first_to_last


def spread_in_words(told: EarlierDays) -> str:
    """Return by what spread between runs a day is judged: this day's, and that of which earlier ones; empty: nothing.

    Parameters
    ----------
    told : EarlierDays
    """
    if not told.source:
        return ""
    more = (_late(told.perhaps_late), _without(told.days), _left_out(told.left_out))
    return ". ".join(filter(None, [f"Spread: {_lent(told)}", *more]))


def _lent(told: EarlierDays) -> str:
    worth, days = round(told.degrees_of_freedom), counted(len(told.days), "earlier day")
    if told.why_none:
        return f"this day alone; {told.why_none}"
    if not worth:
        return f"this day alone; the {days} {_whose(told)} tell of no measure often enough"
    freedom = f"worth {counted(worth, 'run')} more (degrees of freedom)"
    return f"this day and {len(told.days)} earlier ones, {freedom}: {_whose(told)}, {_dates(told.days)}"


def _whose(told: EarlierDays) -> str:
    return "kept days of this bike and trail" if told.source == "library" else "named in spread_from"


def _dates(days: Sequence[EarlierDay] | Sequence[DayLeftOut]) -> str:
    """Return the dates of some days, and the name of one without."""
    return first_to_last([day.date or day.day for day in days])


def _late(days: Sequence[EarlierDay]) -> str:
    return f"Of these, kept on this day's date or later: {_dates(days)}" if days else ""


def _without(days: Sequence[EarlierDay]) -> str:
    lost = [f"{', '.join(day.without)} of {day.date}" for day in days if day.without]
    return f"Without {'; '.join(lost)}: no log that can be read" if lost else ""


def _left_out(days: Sequence[DayLeftOut]) -> str:
    """Return the days that were left out, those of one reason together."""
    reasons = dict.fromkeys(day.reason for day in days)
    told = []
    for reason in reasons:
        of_reason = [day for day in days if day.reason == reason]
        told.append(f"{_dates(of_reason)} ({reason})")
    return f"Left out: {'; '.join(told)}" if told else ""
