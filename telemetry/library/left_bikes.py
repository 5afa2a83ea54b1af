"""Bikes of a kind as each was left on its last kept day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from telemetry.errors import CallError

from .catalogue import Catalogue
from .entering import folded

MOST_NAMED = 8
"""Kinds in a message; own choice."""
LAST_DAYS = (
    "SELECT v.key, v.bike, v.bike_folded, v.definitions, v.cutoff_hz, v.kind, count(*), "
    "max(d.date || ' ' || v.kept_at) "
    "FROM versions v JOIN days d ON v.day = d.key "
    "WHERE v.newest AND v.bike_folded != '' AND EXISTS (SELECT 1 FROM setups s WHERE s.version = v.key AND s.is_left) "
    "GROUP BY v.bike_folded"
)
"""The columns of the one row that holds the maximum stand beside it: so SQLite says of a bare column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftBike:
    """A bike as it was left on its last kept day.

    `days` counts all kept days of it that tell how it was left; `values` maps (measure, end, unit) to the mean of the
    setup's runs or recordings; `full_travel_mm` is of each end where known.
    """

    bike: str
    kind: str
    definitions: int
    cutoff_hz: float | None
    days: int
    full_travel_mm: Mapping[str, float]
    values: Mapping[tuple[str, str, str], float]


def bikes_left(catalogue: Catalogue, kind: str, beside: str = "") -> tuple[LeftBike, ...]:
    """Return the bikes of a kind, and the one held `beside` them, by name.

    Parameters
    ----------
    catalogue : Catalogue
    kind : str
        As their last day states it, capitals and blanks aside.
    beside : str
        A bike's whole name, folded; empty: none.

    Raises
    ------
    CallError
        If no bike is of that kind.
    """
    rows = catalogue.db.execute(LAST_DAYS).fetchall()
    wanted = [row for row in rows if folded(row[5]) == folded(kind) or (beside and row[2] == beside)]
    if not any(folded(row[5]) == folded(kind) for row in wanted) or not folded(kind):
        raise _no_such_kind(catalogue, kind, rows)
    full: dict[int, dict[str, float]] = {row[0]: {} for row in wanted}
    values: dict[int, dict[tuple[str, str, str], float]] = {row[0]: {} for row in wanted}
    keys = ", ".join(map(str, full))
    for version, front, rear in catalogue.db.execute(
        f"SELECT version, front_travel_mm, rear_travel_mm FROM setups WHERE is_left AND version IN ({keys})"  # noqa: S608 - numbers
    ):
        full[version] = {end: mm for end, mm in (("front", front), ("rear", rear)) if mm is not None}
    measured = catalogue.db.execute(
        "SELECT s.version, m.measure, m.end, m.unit, x.value FROM setups s JOIN measured x ON x.setup = s.key "  # noqa: S608 - numbers
        f"JOIN measures m ON x.measure = m.key WHERE s.is_left AND s.version IN ({keys}) ORDER BY m.key"
    )
    for version, measure, end, unit, value in measured:
        values[version][measure, end, unit] = value
    bikes = (
        LeftBike(
            bike=bike,
            kind=stated,
            definitions=definitions,
            cutoff_hz=cutoff_hz,
            days=days,
            full_travel_mm=full[version],
            values=values[version],
        )
        for version, bike, _, definitions, cutoff_hz, stated, days, _ in wanted
    )
    return tuple(sorted(bikes, key=lambda own: own.bike))


def kind_of(catalogue: Catalogue, bike: str) -> str:
    """Return the kind that the last day of a bike, its whole name folded, states; empty where it states none."""
    row = catalogue.db.execute(
        "SELECT v.kind FROM versions v JOIN days d ON v.day = d.key WHERE v.newest AND v.bike_folded = ? "
        "AND EXISTS (SELECT 1 FROM setups s WHERE s.version = v.key AND s.is_left) "
        "ORDER BY d.date DESC, v.kept_at DESC LIMIT 1",
        (bike,),
    ).fetchone()
    return "" if row is None else str(row[0])


def _no_such_kind(catalogue: Catalogue, kind: str, rows: list[tuple[Any, ...]]) -> CallError:
    kinds: dict[str, list[str]] = {}
    for row in rows:
        if row[5]:
            kinds.setdefault(folded(row[5]), []).append(row[5])
    most = sorted(kinds.values(), key=lambda bikes: -len(bikes))[:MOST_NAMED]
    known = ", ".join(f"{bikes[0]} ({len(bikes)})" for bikes in most)
    remedy = f"kinds kept here, with their bikes: {known}" if known else "state it on days: [bike] kind"
    what = f"no bike of kind {kind!r}" if kind else "no kind of bike"
    return CallError(str(catalogue.store.root), what, "the kind that days state of a bike", remedy)
