"""The list of a folder's ride days: newest first, with setups and what came of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from telemetry.model.day import RideDay
from telemetry.telling.day import date_in_words

from .choice import Choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """What a day's own file says, as far as the list tells it; where it can't be read, `wrong` says why."""

    title: str = ""
    date: dt.date = dt.date.min
    setups: tuple[str, ...] = ()
    wrong: str = ""


class OnShelf(Protocol):
    """A day as the list is told of it."""

    @property
    def name(self) -> str: ...  # noqa: D102 - a shelf's own
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def trouble(self) -> str: ...  # noqa: D102
    @property
    def headline(self) -> str: ...  # noqa: D102
    @property
    def glance(self) -> Glance | None: ...  # noqa: D102


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRow:
    """One day in the list."""

    name: str
    title: str
    date: str
    setups: str
    told: str
    link: str


def glance_of(day: RideDay) -> Glance:
    """Return what the list says of a day."""
    ridden = dict.fromkeys(run.setup for run in day.runs)
    return Glance(title=day.title, date=day.date, setups=tuple(day.setups[name].label for name in ridden))


def _row(shelf: OnShelf) -> tuple[dt.date, DayRow]:
    told = shelf.trouble or shelf.headline or ("being read" if shelf.state == "reading" else "not read yet")
    seen = shelf.glance or Glance(title=shelf.name)
    if seen.wrong:
        return dt.date.min, DayRow(name=shelf.name, title=shelf.name, date="", setups="", told=seen.wrong, link="")
    return seen.date, DayRow(
        name=shelf.name,
        title=seen.title,
        date="" if seen.date == dt.date.min else date_in_words(seen.date),
        setups=" · ".join(seen.setups),
        told=told,
        link=Choice(day=shelf.name).link(),
    )


def day_rows(shelves: Iterable[OnShelf]) -> tuple[DayRow, ...]:
    """Return the days, newest first; one whose file is wrong stands last with what is wrong."""
    found = sorted((_row(shelf) for shelf in shelves), key=lambda pair: (pair[0], pair[1].name), reverse=True)
    return tuple(row for _, row in found)
