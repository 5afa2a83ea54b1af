"""One language: its sentences with their fields filled in, its numbers and dates."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from telemetry.words import figure, lower_first, upper_first

Message: TypeAlias = str | tuple[str, ...]
"""A sentence with its fields in braces; several, one a plural form, where it counts something (the field `count`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """A language.

    Attributes
    ----------
    code : str
        Such as ``"de"`` (ISO 639-1).
    messages : mapping of str to Message
        By their ids.
    form_of : callable
        Which plural form a number takes.
    decimal : str
        What stands before the first decimal.
    date_form : str
        With the fields `day`, `month` (its name), `month_number`, `year`.
    months : tuple of str
        Their names.
    lowers : bool
        Whether a name begins small within a sentence.
    """

    code: str
    messages: Mapping[str, Message]
    form_of: Callable[[int], int]
    decimal: str
    date_form: str
    months: tuple[str, ...]
    lowers: bool

    def say(self, message: str, /, **fields: object) -> str:
        """Return a sentence.

        Parameters
        ----------
        message : str
            Its id.
        **fields
            What stands in its fields, as it is to be read; `count` is a whole number and chooses the plural form.
        """
        found = self.messages[message]
        if isinstance(found, tuple):
            count = fields["count"]
            found = found[self.form_of(count)] if isinstance(count, int) else found[-1]
        return found.format(**fields)

    def has(self, message: str) -> bool:
        """Tell whether there is such a message."""
        return message in self.messages

    def within(self, text: str) -> str:
        """Return a name to stand within a sentence: small at its beginning, where the language writes it so."""
        return lower_first(text) if text and self.lowers else text

    def begin(self, text: str) -> str:
        """Return a text to begin a sentence with."""
        return upper_first(text) if text else text

    def number(self, written: str) -> str:
        """Return a number that is written with a decimal point as this language writes it."""
        return written.replace(".", self.decimal)

    def figure(self, value: float, places: int, *, signed: bool = False) -> str:
        """Return a number with so many decimals and a real minus sign."""
        return self.number(figure(value, places, signed=signed))

    def unit(self, unit: str) -> str:
        """Return a unit as people read it; what has no words of its own is an open symbol: ``bar``, ``N/mm``."""
        return self.say(f"unit.{unit}") if self.has(f"unit.{unit}") else unit

    def difference_unit(self, unit: str) -> str:
        """Return the unit of a difference: shares differ by points."""
        return self.unit("points" if unit in {"%", "% points"} else unit)

    def date(self, date: dt.date) -> str:
        """Return a date."""
        month = self.months[date.month - 1]
        return self.date_form.format(day=date.day, month=month, month_number=date.month, year=date.year)
