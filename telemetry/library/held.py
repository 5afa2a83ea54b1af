"""One kept day by its id: its record, and the travel of its runs."""

from __future__ import annotations

from pathlib import Path

from telemetry.errors import CallError

from .catalogue import Catalogue
from .entering import Known, newest_of
from .record import Kept
from .store import Store


def require_day(catalogue: Catalogue, day: str) -> Known:
    """Return the newest version of a day.

    Raises
    ------
    CallError
        If no day of that id is kept.
    """
    known = newest_of(catalogue, day)
    if known is None:
        where = str(catalogue.store.root)
        raise CallError(where, f"no day {day!r}", "the id of a kept day", "`telemetry find` lists them")
    return known


def versions_of(catalogue: Catalogue, day: str) -> list[str]:
    """Return the versions of a day, as their files are called, from the first on.

    Raises
    ------
    CallError
        If no day of that id is kept.
    """
    known = require_day(catalogue, day)
    rows = catalogue.db.execute("SELECT number FROM versions WHERE day = ? ORDER BY number", (known.day,))
    return [f"{day}.{number}" for (number,) in rows]


def record_of(catalogue: Catalogue, day: str, number: int | None = None) -> Kept:
    """Return a version of a day; the newest where none is named.

    Raises
    ------
    CallError
        If it isn't kept, or its file isn't whole.
    """
    known = require_day(catalogue, day)
    versions = catalogue.db.execute("SELECT number FROM versions WHERE day = ? ORDER BY number", (known.day,))
    held = [row[0] for row in versions]
    wanted = known.number if number is None else number
    if wanted not in held:
        where = str(catalogue.store.root)
        raise CallError(where, f"no version {wanted} of {day}", "one of " + ", ".join(map(str, held)), "name one")
    return catalogue.store.read_record(f"{day}.{wanted}")


def travel_of(store: Store, kept: Kept, run: str) -> Path:
    """Return the Parquet file of a run's travel.

    Raises
    ------
    CallError
        If the run has none, or it isn't what was kept.
    """
    found = next((file for file in kept.files if file.kind == "travel" and file.path == run), None)
    if found is None:
        named = ", ".join(file.path for file in kept.files if file.kind == "travel")
        raise CallError(kept.stem, f"no travel of a run {run!r}", f"one of {named}", "name a run that was measured")
    path = store.path("travel", found.sha256)
    if not store.is_whole("travel", found.sha256):
        raise CallError(str(path), "other bytes than were kept", "the travel as kept", "take it from a backup")
    return path
