"""The last kept day of a bike, as a pattern for the next: by the columns of its logs, or by name."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from .bikes import bike_named
from .catalogue import Catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class LastDay:
    """The newest version of a bike's last kept day."""

    bike: str
    day: str
    date: str
    number: int


_LAST = (
    "SELECT v.bike, d.id, d.date, v.number, v.bike_folded, v.layouts FROM versions v JOIN days d ON v.day = d.key "
    "WHERE v.newest AND v.bike_folded != ''"
)
_NEWEST_FIRST = "ORDER BY d.date DESC, v.kept_at DESC, d.id DESC"


def last_day_of(catalogue: Catalogue, asked: str) -> LastDay:
    """Return a bike's last kept day, by its name or a part that no other's holds.

    Raises
    ------
    CallError
        If there is no such bike, or several.
    """
    bike = bike_named(catalogue, asked)
    row = catalogue.db.execute(f"{_LAST} AND v.bike_folded = ? {_NEWEST_FIRST} LIMIT 1", (bike,)).fetchone()
    return LastDay(bike=row[0], day=row[1], date=row[2], number=row[3])


def last_days_logged_so(catalogue: Catalogue, layouts: Collection[str]) -> tuple[LastDay, ...]:
    """Return the last kept day of every bike that has one whose logs have one of these layouts, newest first."""
    found: dict[str, LastDay] = {}
    for bike, day, date, number, name, held in catalogue.db.execute(f"{_LAST} AND v.layouts != '' {_NEWEST_FIRST}"):
        if name not in found and not set(layouts).isdisjoint(held.split()):
            found[name] = LastDay(bike=bike, day=day, date=date, number=number)
    return tuple(found.values())
