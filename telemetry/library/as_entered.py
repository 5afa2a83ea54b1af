"""A version as a catalogue holds it: its rows with all that they point to and that points to them, without the keys."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from typing import Any

from .catalogue import Catalogue, damaged, migrate
from .entering import enter
from .record import Kept
from .schema import MIGRATIONS

OF_THE_DAY = frozenset({"newest", "place"})
"""Columns that hang on a day's other versions."""


@dataclass(frozen=True, slots=True)
class _Shape:
    """A table: its columns, the one by which others point to it, and which of its own point to which table."""

    columns: tuple[str, ...]
    key: str
    points: dict[str, str]


def _shapes(db: sqlite3.Connection) -> dict[str, _Shape]:
    names = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
    found = {}
    for name in names:
        told = db.execute(f"PRAGMA table_info({name})").fetchall()
        points = {row[3]: row[2] for row in db.execute(f"PRAGMA foreign_key_list({name})")}
        key = next((row[1] for row in told if row[5] == 1), "")
        found[name] = _Shape(columns=tuple(row[1] for row in told), key=key, points=points)
    return found


class Comparer:
    """What tells whether a catalogue holds a version as its record says; it enters the record into one of its own."""

    def __init__(self, scratch: sqlite3.Connection) -> None:
        self._scratch = scratch
        self._shapes = _shapes(scratch)

    def is_as_entered(self, catalogue: Catalogue, kept: Kept) -> bool:
        """Tell whether a catalogue holds a version as its record says."""
        enter(Catalogue(db=self._scratch, store=catalogue.store), kept)
        wanted = self._told(self._scratch, kept)
        self._scratch.execute("DELETE FROM days")
        return bool(wanted == self._told(catalogue.db, kept))

    def _told(self, db: sqlite3.Connection, kept: Kept) -> Any:
        row = db.execute(
            "SELECT v.key FROM versions v JOIN days d ON v.day = d.key WHERE d.id = ? AND v.number = ?",
            (kept.id, kept.number),
        ).fetchone()
        return None if row is None else next(self._rows(db, "versions", "key", row[0], {}), None)

    def _rows(
        self, db: sqlite3.Connection, table: str, column: str, value: object, seen: dict[tuple[str, object], Any]
    ) -> Iterator[Any]:
        """Yield the rows of a table that hold a value, each with what it points to and the rows that point to it."""
        shape = self._shapes[table]
        found = db.execute(f"SELECT {', '.join(shape.columns)} FROM {table} WHERE {column} = ?", (value,))  # noqa: S608 - ours
        for values in found.fetchall():
            row = dict(zip(shape.columns, values, strict=True))
            own = [
                (name, self._pointed(db, shape.points[name], told, seen) if name in shape.points else told)
                for name, told in row.items()
                if name not in OF_THE_DAY and name != column and (name != shape.key or shape.key != "key")
            ]
            beneath = [
                (name, sorted(self._rows(db, name, pointing, row[shape.key], seen), key=repr))
                for name, other in self._shapes.items()
                for pointing, to in other.points.items()
                if to == table
            ]
            yield tuple(own), tuple(beneath)

    def _pointed(self, db: sqlite3.Connection, table: str, key: object, seen: dict[tuple[str, object], Any]) -> Any:
        if (table, key) not in seen:
            shape = self._shapes[table]
            names = [name for name in shape.columns if name != shape.key and name not in OF_THE_DAY]
            row = db.execute(f"SELECT {', '.join(names)} FROM {table} WHERE {shape.key} = ?", (key,)).fetchone()  # noqa: S608 - ours
            seen[table, key] = row
        return seen[table, key]


@contextmanager
def comparing() -> Iterator[Comparer]:
    """Give what holds records and a catalogue against each other."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as scratch:
        migrate(scratch, MIGRATIONS)
        scratch.execute("PRAGMA foreign_keys = ON")
        yield Comparer(scratch)


def require_whole(catalogue: Catalogue) -> None:
    """Refuse a catalogue whose tables don't fit together.

    Raises
    ------
    LostCatalogueError
    """
    db, file = catalogue.db, catalogue.file
    found = str(db.execute("PRAGMA integrity_check(1)").fetchone()[0])
    if found != "ok":
        raise damaged(file, found)
    if db.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise damaged(file, "rows that point to none")
    newest = "SELECT max(number) FROM versions w WHERE w.day = v.day"
    if db.execute(f"SELECT 1 FROM versions v WHERE newest != (number = ({newest})) LIMIT 1").fetchone():  # noqa: S608 - ours
        raise damaged(file, "a newest version that isn't")
    if db.execute("SELECT 1 FROM days WHERE key NOT IN (SELECT day FROM versions) LIMIT 1").fetchone():
        raise damaged(file, "a day without versions")
