"""Records of kept days of a bike, a trail, or both: so many at a time, the latest first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.errors import CallError

from .bikes import bike_named
from .catalogue import Catalogue
from .entering import folded
from .record import Kept

FROM = "FROM versions v JOIN days d ON v.day = d.key"


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """Some kept days by date.

    Attributes
    ----------
    count : int
        How many there are in all.
    days : tuple of Kept
        Those that were asked for, the earliest first.
    bikes, trails : tuple of (str, int)
        What bikes and trails these days name, of all and not only of those returned, with how many days each; the
        most frequent first.
    unread : tuple of str
        Why a day's record can't be read, a line each.
    """

    count: int
    days: tuple[Kept, ...]
    bikes: tuple[tuple[str, int], ...]
    trails: tuple[tuple[str, int], ...]
    unread: tuple[str, ...]


def past_of(
    catalogue: Catalogue, *, bike: str = "", trail: str = "", until: str = "", skip: int = 0, most: int
) -> Past:
    """Return the latest kept days of a bike, of a trail, or of both.

    Parameters
    ----------
    catalogue : Catalogue
    bike : str, optional
        Its name, or a part that no other's holds.
    trail : str, optional
        Its whole name, whatever its capitals.
    until : str, optional
        The last date.
    skip, most : int
        So many of the latest are passed over, and no more than so many are returned.

    Raises
    ------
    CallError
        If there is no such bike, or several.
    """
    catalogue.db.create_function("fold", 1, folded, deterministic=True)
    texts, values = ["v.newest"], []
    if bike:
        texts.append("v.bike_folded = ?")
        values.append(bike_named(catalogue, bike))
    of_bike = " AND ".join(texts), tuple(values)
    if trail:
        texts.append("fold(v.trail) = ?")
        values.append(folded(trail))
    if until:
        texts.append("d.date <= ?")
        values.append(until)
    where = " AND ".join(texts)
    stems = catalogue.db.execute(
        f"SELECT d.id, v.number {FROM} WHERE {where} ORDER BY d.date DESC, d.id DESC LIMIT ? OFFSET ?",
        [*values, most, skip],
    ).fetchall()
    count = catalogue.db.execute(f"SELECT count(*) {FROM} WHERE {where}", values).fetchone()[0]
    days, unread = _read(catalogue, [f"{day}.{number}" for day, number in reversed(stems)])
    bikes = _named(catalogue, "bike", where, values)
    trails = _named(catalogue, "trail", *of_bike) if bike else ()
    return Past(count=count, days=days, bikes=bikes, trails=trails, unread=unread)


def _read(catalogue: Catalogue, stems: Sequence[str]) -> tuple[tuple[Kept, ...], tuple[str, ...]]:
    days, unread = [], []
    for stem in stems:
        try:
            days.append(catalogue.store.read_record(stem))
        except CallError as error:
            unread.append(error.line)
    return tuple(days), tuple(unread)


def _named(catalogue: Catalogue, what: str, where: str, values: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Return the names of days' bikes or trails, with how many days each; the most frequent first."""
    rows = catalogue.db.execute(
        f"SELECT max(v.{what}), count(*) {FROM} WHERE {where} AND v.{what} != '' "
        f"GROUP BY fold(v.{what}) ORDER BY count(*) DESC, max(v.{what})",
        values,
    )
    return tuple((name, count) for name, count in rows)
