"""Kept days of one bike that may lend a later day their spread: what tells whether they are alike, and the spread."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

from .catalogue import Catalogue
from .entering import folded
from .record import KeptSpread


@dataclass(frozen=True, slots=True, kw_only=True)
class Lender:
    """A version of a kept day.

    `bike`, `trail`, `riders` and `customer` are folded; `low_pass_hz` is 0 where it isn't known; `has_spread` tells
    whether any of its measures has one.
    """

    key: int
    id: str
    number: int
    date: str
    kept_at: str
    definitions: int
    bike: str
    trail: str
    riders: tuple[str, ...]
    customer: str
    asked_cutoff_hz: float
    low_pass_hz: float
    has_spread: bool

    @property
    def stem(self) -> str:
        """How this version is called."""
        return f"{self.id}.{self.number}"


def lenders(catalogue: Catalogue, bike: str, before: str) -> tuple[Lender, ...]:
    """Return every version of a bike's kept days of an earlier date, by date and version; of another bike's, too.

    A later version may say that the day was another bike's.

    Parameters
    ----------
    catalogue : Catalogue
    bike : str
        Its whole name, whatever its capitals.
    before : str
        A date: ``2026-05-16``.
    """
    rows = catalogue.db.execute(
        "SELECT v.key, d.id, v.number, d.date, v.kept_at, v.definitions, v.bike_folded, v.trail, v.riders, c.name, "
        "v.asked_cutoff_hz, coalesce(v.cutoff_hz, 0), EXISTS (SELECT 1 FROM spreads x WHERE x.version = v.key) "
        "FROM versions v JOIN days d ON v.day = d.key LEFT JOIN customers c ON v.customer = c.key "
        "WHERE v.day IN (SELECT day FROM versions WHERE bike_folded = ?) AND d.date < ? "
        "ORDER BY d.date, d.id, v.number",
        (folded(bike), before),
    )
    return tuple(_lender(row) for row in rows)


def begun_at(catalogue: Catalogue) -> str:
    """Return when the first of all versions that are there was kept, ISO 8601; empty where there is none."""
    rows = catalogue.db.execute("SELECT kept_at FROM versions").fetchall()
    return min((kept_at for (kept_at,) in rows), key=dt.datetime.fromisoformat, default="")


def _lender(row: tuple[Any, ...]) -> Lender:
    key, name, number, date, kept_at, definitions, bike, trail, riders, customer, asked, low_pass, has_spread = row
    return Lender(
        key=key,
        id=name,
        number=number,
        date=date,
        kept_at=kept_at,
        definitions=definitions,
        bike=bike,
        trail=folded(trail),
        riders=tuple(json.loads(riders)),
        customer=folded(customer or ""),
        asked_cutoff_hz=asked,
        low_pass_hz=float(low_pass),
        has_spread=bool(has_spread),
    )


def spreads(catalogue: Catalogue, version: int) -> Iterator[KeptSpread]:
    """Yield how far the runs of a version, by its key, scattered."""
    rows = catalogue.db.execute(
        "SELECT m.measure, m.end, m.unit, x.variance, x.nu FROM spreads x JOIN measures m ON x.measure = m.key "
        "WHERE x.version = ? ORDER BY m.key",
        (version,),
    )
    for measure, end, unit, variance, nu in rows:
        yield KeptSpread(measure=measure, end=end, unit=unit, variance=variance, nu=nu)


def holds_any(catalogue: Catalogue, version: int, contents: Collection[str]) -> bool:
    """Tell whether a version, by its key, holds a file of one of these contents."""
    found = "SELECT 1 FROM files WHERE sha256 = ? AND version = ?"
    return any(
        catalogue.db.execute(found, (bytes.fromhex(sha256), version)).fetchone() is not None for sha256 in contents
    )
