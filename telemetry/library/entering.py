"""A version of a day put into the catalogue, and taken out of it."""

from __future__ import annotations

import json
import sqlite3
import unicodedata
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from .catalogue import Catalogue
from .differences import packed
from .record import Kept, KeptFile, KeptSetup, KeptSpread, KeptValue, KeptVerdict
from .record_of_comparison import KeptComparison

VERDICTS = ("changed", "unchanged", "undecided")
DAY_FILE = "day"
"""The kind, in the catalogue, of a ride day's own file: names stand in it."""
RUN_FILE = "run"
"""That of a log of the day's own runs: no other day has ridden them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The newest version of a kept day."""

    day: int
    id: str
    number: int
    content: str


def newest_of(catalogue: Catalogue, day: str) -> Known | None:
    """Return the newest version of a day by its id; None where there is none."""
    return _known(catalogue, "d.id = ?", (day,))


def content_of_version(catalogue: Catalogue, day: str, number: int) -> str | None:
    """Return what tells the originals of a version from any others; None where it isn't kept."""
    row = catalogue.db.execute(
        "SELECT v.content FROM versions v JOIN days d ON v.day = d.key WHERE d.id = ? AND v.number = ?", (day, number)
    ).fetchone()
    return None if row is None else str(row[0])


def _known(catalogue: Catalogue, where: str, values: tuple[object, ...]) -> Known | None:
    row = catalogue.db.execute(  # values stand apart
        "SELECT d.key, d.id, v.number, v.content FROM days d JOIN versions v ON v.day = d.key AND v.newest "  # noqa: S608 - ours
        f"WHERE {where} ORDER BY v.kept_at DESC, v.key DESC LIMIT 1",
        values,
    ).fetchone()
    return None if row is None else Known(day=row[0], id=row[1], number=row[2], content=row[3])


def same_day(catalogue: Catalogue, kept: Kept) -> Known | None:
    """Return the day that this is a version of; None for a new one.

    Parameters
    ----------
    catalogue : Catalogue
    kept : Kept
        Its date, bike, place and files are looked at.

    Notes
    -----
    The same date, kept from the same folder (one taken in from another library tells none); or the same date and bike,
    and at least one run's log in common.
    """
    found = _known(catalogue, "d.date = ? AND d.place = ?", (kept.date, kept.place)) if kept.place else None
    if found is not None:
        return found
    ridden = [bytes.fromhex(file.sha256) for file in kept.files if file.is_run]
    marks = ", ".join("?" * len(ridden))
    shares = f"EXISTS (SELECT 1 FROM files f WHERE f.version = v.key AND f.sha256 IN ({marks}))"  # noqa: S608 - ours
    return _known(catalogue, f"d.date = ? AND v.bike_folded = ? AND {shares}", (kept.date, folded(kept.bike), *ridden))


def folded(text: str) -> str:
    """Return a text as it is looked for: capitals, runs of blanks and how accents are written make no difference."""
    return " ".join(unicodedata.normalize("NFC", text.casefold()).split())


def new_id(catalogue: Catalogue, kept: Kept) -> str:
    """Return an id for a new day: its date and the beginning of its content's mark, of so many letters as it takes."""
    content = kept.content
    for letters in range(6, len(content)):
        name = f"{kept.date}-{content[:letters]}"
        taken = catalogue.db.execute("SELECT 1 FROM days WHERE id = ?", (name,)).fetchone()
        if taken is None and not catalogue.store.record(f"{name}.1").exists():
            return name
    return f"{kept.date}-{content}"


def enter(catalogue: Catalogue, kept: Kept) -> None:
    """Enter a version, within a change that the caller makes; one that is there is replaced."""
    db = catalogue.db
    row = db.execute("SELECT key FROM days WHERE id = ?", (kept.id,)).fetchone()
    if row is None:
        day = _added(db, "INSERT INTO days (id, date, place) VALUES (?, ?, ?)", (kept.id, kept.date, kept.place))
    else:
        day = row[0]
        db.execute("DELETE FROM versions WHERE day = ? AND number = ?", (day, kept.number))
        db.execute("UPDATE days SET place = ? WHERE key = ?", (kept.place, day))
    values = {
        "day": day,
        "number": kept.number,
        "newest": 0,
        "content": kept.content,
        "kept_at": kept.kept_at,
        "definitions": kept.definitions,
        "title": kept.title,
        "bike": kept.bike,
        "bike_folded": folded(kept.bike),
        "trail": kept.trail,
        "headline": kept.headline,
        "setups": json.dumps([setup.name for setup in kept.setups], ensure_ascii=False),
        "verdicts": " ".join(sorted({row.verdict for row in deciding(kept)})),
        "folded": folded(f"{kept.title} {kept.bike} {kept.trail} {kept.headline} {kept.words}"),
        "customer": _customer(db, kept),
        "kind": kept.kind,
        "cutoff_hz": kept.conditioning.get("cutoff_hz"),
        "riders": json.dumps([folded(rider) for rider in kept.riders], ensure_ascii=False),
        "asked_cutoff_hz": kept.asked_cutoff_hz,
        "layouts": " ".join(kept.layouts),
    }
    columns, marks = ", ".join(values), ", ".join(f":{name}" for name in values)
    version = _added(db, f"INSERT INTO versions ({columns}) VALUES ({marks})", values)  # noqa: S608 - names are ours
    for place, setup in enumerate(kept.setups):
        _enter_setup(db, version, place, setup)
    _enter_spreads(db, version, kept)
    db.executemany(
        "INSERT OR IGNORE INTO files VALUES (?, ?, ?)",  # two of a version's files may be alike
        [(bytes.fromhex(file.sha256), version, _kind(file)) for file in kept.every_file],
    )
    mark_newest(catalogue, day)


def _kind(file: KeptFile) -> str:
    return DAY_FILE if file.is_day else RUN_FILE if file.is_run else file.kind


def mark_newest(catalogue: Catalogue, day: int) -> None:
    """Mark the newest version of a day; a day that has none left goes."""
    catalogue.db.execute(
        "UPDATE versions SET newest = number = (SELECT max(number) FROM versions WHERE day = :day) WHERE day = :day",
        {"day": day},
    )
    catalogue.db.execute(
        "DELETE FROM days WHERE key = :day AND NOT EXISTS (SELECT 1 FROM versions WHERE day = :day)", {"day": day}
    )


def clear_unused(catalogue: Catalogue) -> None:
    """Remove what no version holds any more: customers and settings, and what is noted of one that is gone."""
    catalogue.db.execute(
        "DELETE FROM customers WHERE key NOT IN (SELECT customer FROM versions WHERE customer NOTNULL)"
    )
    catalogue.db.execute("DELETE FROM settings WHERE key NOT IN (SELECT setting FROM in_force)")
    stems = "SELECT d.id || '.' || v.number FROM versions v JOIN days d ON v.day = d.key"
    catalogue.db.execute(f"DELETE FROM measured_anew WHERE stem NOT IN ({stems})")  # noqa: S608 - ours


def _added(db: sqlite3.Connection, statement: str, values: object) -> int:
    key = db.execute(statement, values).lastrowid  # type: ignore[arg-type]
    assert key is not None  # noqa: S101 - an INSERT gives one
    return key


def _customer(db: sqlite3.Connection, kept: Kept) -> int | None:
    name, bike = (kept.customer.get(key, "") for key in ("name", "bike"))
    if not (name or bike):
        return None
    db.execute(
        "INSERT OR IGNORE INTO customers (name, bike, folded) VALUES (?, ?, ?)", (name, bike, folded(f"{name} {bike}"))
    )
    return int(db.execute("SELECT key FROM customers WHERE name = ? AND bike = ?", (name, bike)).fetchone()[0])


def deciding(kept: Kept) -> tuple[KeptVerdict, ...]:
    """Return the verdicts a day is found by: of the rows in focus, of all where none was named."""
    rows = tuple(row for setup in kept.setups for row in setup.verdicts)
    return tuple(row for row in rows if row.focus) or rows


def _enter_setup(db: sqlite3.Connection, version: int, place: int, setup: KeptSetup) -> None:
    full = (setup.full_travel_mm.get("front"), setup.full_travel_mm.get("rear"))
    values = (version, place, setup.name, setup.label, setup.left, *full)
    columns = "version, place, name, label, is_left, front_travel_mm, rear_travel_mm"
    key = _added(db, f"INSERT INTO setups ({columns}) VALUES (?, ?, ?, ?, ?, ?, ?)", values)  # noqa: S608 - ours
    stated = [(item.key, item.end, item.text, item.number) for item in setup.settings]
    db.executemany("INSERT OR IGNORE INTO settings (name, end, text, number) VALUES (?, ?, ?, ?)", stated)
    db.executemany(
        "INSERT INTO in_force SELECT ?, key FROM settings WHERE name = ? AND end = ? AND text = ?",
        [(key, *row[:3]) for row in stated],
    )
    rows = _measures(db, setup.values)
    db.executemany(
        "INSERT INTO measured SELECT ?, key, ?, ?, ? FROM measures WHERE measure = ? AND end = ? AND unit = ?",
        [(key, item.value, item.half, item.n, *row) for item, row in zip(setup.values, rows, strict=True)],
    )
    judged = _measures(db, setup.verdicts)
    db.executemany(
        "INSERT INTO verdicts SELECT ?, key, ? FROM measures WHERE measure = ? AND end = ? AND unit = ?",
        [(key, VERDICTS.index(item.verdict), *row) for item, row in zip(setup.verdicts, judged, strict=True)],
    )
    if setup.compared is not None:
        _enter_compared(db, key, setup.compared)


def _enter_compared(db: sqlite3.Connection, setup: int, compared: KeptComparison) -> None:
    held = (setup, compared.against, " ".join(compared.open), packed(db, compared.differences))
    db.execute("INSERT INTO compared (setup, against, open, differences) VALUES (?, ?, ?, ?)", held)
    db.executemany(
        "INSERT INTO changes VALUES "
        "(:setup, :key, :end, :words, :before, :after, :before_number, :after_number, :unit)",
        [{"setup": setup} | asdict(item) for item in compared.changes],
    )


def _enter_spreads(db: sqlite3.Connection, version: int, kept: Kept) -> None:
    rows = _measures(db, kept.spreads)
    db.executemany(
        "INSERT INTO spreads SELECT ?, key, ?, ? FROM measures WHERE measure = ? AND end = ? AND unit = ?",
        [(version, item.variance, item.nu, *row) for item, row in zip(kept.spreads, rows, strict=True)],
    )


def _measures(
    db: sqlite3.Connection, items: Sequence[KeptValue] | Sequence[KeptVerdict] | Sequence[KeptSpread]
) -> list[tuple[str, str, str]]:
    """Return measure, end and unit of each, known to the catalogue from now on."""
    rows = [(item.measure, item.end, item.unit) for item in items]
    db.executemany("INSERT OR IGNORE INTO measures (measure, end, unit) VALUES (?, ?, ?)", rows)
    return rows
