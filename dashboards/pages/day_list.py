"""The list of a folder's ride days: newest first, with setups and what came of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from telemetry.errors import TelemetryError
from telemetry.ride_day import read_ride_day

from .choice import Choice


class OnShelf(Protocol):
    """A day as the list is told of it."""

    @property
    def name(self) -> str: ...  # noqa: D102 - a shelf's own
    @property
    def path(self) -> Path: ...  # noqa: D102
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def trouble(self) -> str: ...  # noqa: D102
    @property
    def told(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRow:
    """One day in the list."""

    name: str
    title: str
    date: str
    setups: str
    told: str
    link: str


def _row(shelf: OnShelf) -> tuple[dt.date, DayRow]:
    told = shelf.trouble or shelf.told or ("being read" if shelf.state == "reading" else "not read yet")
    try:
        day = read_ride_day(shelf.path)
    except TelemetryError as error:
        row = DayRow(name=shelf.name, title=shelf.name, date="", setups="", told=error.line, link="")
        return dt.date.min, row
    ridden = dict.fromkeys(run.setup for run in day.runs)
    return day.date, DayRow(
        name=shelf.name,
        title=day.title,
        date=f"{day.date.day} {day.date:%B %Y}",
        setups=" · ".join(day.setups[name].label for name in ridden),
        told=told,
        link=Choice(day=shelf.name).link(),
    )


def day_rows(shelves: Iterable[OnShelf]) -> tuple[DayRow, ...]:
    """Return the days, newest first; one whose file is wrong stands last with what is wrong."""
    found = sorted((_row(shelf) for shelf in shelves), key=lambda pair: (pair[0], pair[1].name), reverse=True)
    return tuple(row for _, row in found)
