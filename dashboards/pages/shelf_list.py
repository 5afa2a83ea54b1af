"""The list of kept days: newest first, a page at a time, found by words and names."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from telemetry.library import VERDICTS, Differing, Found, Listed
from telemetry.telling.day import date_in_words
from telemetry.words import NOT_STATED, counted, shortened, with_end

from .choice import Choice
from .shelf_link import Asked, bike_link

AT_A_TIME = 25
"""Own choice."""
LONGEST, LONGEST_HEADLINE, MOST_DIFFERING = 120, 240, 3
"""Letters of a name, and of what a day came to; settings told of a day. Own choices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """One kept day in a list; `facts` are texts with a link or none."""

    title: str
    link: str
    facts: tuple[tuple[str, str], ...]
    told: str
    left: str


def kept_day_link(day: str) -> str:
    """Return the link to a kept day."""
    return Choice(day=day).link()


def list_facts(asked: Asked, count: int, days: Sequence[Listed], whose: str) -> Mapping[str, object]:
    """Return what the list's template is filled with.

    Parameters
    ----------
    asked : Asked
    count : int
        How many days are found in all.
    days : sequence of Listed
        Those of this page.
    whose : str
        What the library is called.
    """
    everything = Asked()
    return {
        "asked": asked,
        "whose": whose,
        "rows": tuple(map(_row, days)),
        "found": _found_in_words(asked, count, len(days)),
        "verdicts": VERDICTS,
        "narrowed": asked != Asked(words=asked.words, skip=asked.skip),
        "everything": everything.link() if asked != everything else "",
        **turning(asked, count, AT_A_TIME),
    }


def turning(asked: Asked, count: int, most: int) -> Mapping[str, str]:
    """Return the links to the newer and the older days; empty where there are none."""
    return {
        "newer": asked.link(skip=max(0, asked.skip - most)) if asked.skip else "",
        "older": asked.link(skip=asked.skip + most) if asked.skip + most < count else "",
    }


def _found_in_words(asked: Asked, count: int, shown: int) -> str:
    kind = "kept day" if asked == Asked(skip=asked.skip) else "kept day that is like that"
    if not count:
        return "No day is kept yet." if kind == "kept day" else "No kept day is like that."
    words = f"{count:,} kept days" if count > 1 else counted(count, "kept day")
    if not shown:
        return f"{words}, fewer than this link passes over."
    return f"{words}, newest first." if shown == count else f"{asked.skip + 1:,} to {asked.skip + shown:,} of {words}."


def _row(item: Listed) -> KeptRow:
    day = item.day
    return KeptRow(
        title=shortened(day.title, LONGEST) or day.id,
        link=kept_day_link(day.id),
        facts=tuple(_facts(day)),
        told=shortened(day.headline, LONGEST_HEADLINE),
        left=_left_in_words(item),
    )


def _facts(day: Found) -> Iterator[tuple[str, str]]:
    yield date_in_words(dt.date.fromisoformat(day.date)), ""
    if day.bike:
        yield shortened(day.bike, LONGEST), bike_link(day.bike)
    for text in (day.trail, day.customer):
        if text:
            yield shortened(text, LONGEST), ""


def _left_in_words(item: Listed) -> str:
    """Return with which setup the bike was left, and what of it differed from the others ridden that day."""
    if not item.left:
        return ""
    told = [_differing_in_words(own) for own in item.differing[:MOST_DIFFERING]]
    more = len(item.differing) - len(told)
    told += [f"and {more} more"] if more > 0 else []
    left = f"Left with {shortened(item.left, LONGEST)}"
    return f"{left}: {', '.join(told)}" if told else left


def _differing_in_words(own: Differing) -> str:
    name = with_end(own.words, own.end)
    others = ", ".join(
        f"{shortened(value, LONGEST) or NOT_STATED} with {shortened(setup, LONGEST)}" for setup, value in own.others
    )
    return f"{name} {shortened(own.left, LONGEST) or NOT_STATED} ({others})"
