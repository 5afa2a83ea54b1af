"""A day put into the library, and taken out whole: files first, the catalogue last."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry.errors import CallError

from .called import SHA256
from .catalogue import Catalogue, writing
from .entering import Known, clear_unused, enter, new_id, same_day
from .held import require_day
from .record import KINDS, Kept, KeptFile, KeptResults
from .store import Store, told


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """What became of a day: its id and version, and whether it was kept already as it stands."""

    id: str
    number: int
    already: bool


def put(root: Path, staged: Path, kept: Kept) -> Put:
    """Keep a day whose files are staged: as a new day, as the next version of one, or not at all where nothing changed.

    Parameters
    ----------
    root : Path
        The library's folder.
    staged : Path
        Of `Store.staged`, filled by `take_in`.
    kept : Kept
        Without id and number.

    Raises
    ------
    CallError
        If the library can't take it; then nothing of it is kept.
    """
    with writing(root, sweep) as catalogue:
        found = same_day(catalogue, kept)
        if found is not None and found.content == kept.content:
            if kept.runs and not is_whole(catalogue.store, f"{found.id}.{found.number}"):
                write_all(catalogue, staged, [_mended(catalogue, kept, found)])
            bring_back(catalogue.store, staged, [replace(kept, files=kept.originals)])
            return Put(id=found.id, number=found.number, already=True)
        named = _named(catalogue, kept, found)
        write_all(catalogue, staged, [named])
        return Put(id=named.id, number=named.number, already=False)


def is_whole(store: Store, stem: str) -> bool:
    """Tell whether a version's record can be read and the travel that it holds is there as it was kept."""
    try:
        kept = store.read_record(stem)
    except CallError:
        return False
    return all(store.is_whole(file.kind, file.sha256) for file in kept.every_file if file.kind == "travel")


def still_whole(store: Store, before: Iterable[KeptResults]) -> tuple[KeptResults, ...]:
    """Return earlier results with the travel that is there as it was kept: what is lost of it can't be made again."""
    return tuple(
        replace(own, travel=tuple(file for file in own.travel if store.is_whole("travel", file.sha256)))
        for own in before
    )


def _mended(catalogue: Catalogue, kept: Kept, found: Known) -> Kept:
    """Return a version whose record or travel was lost as it is measured today; when it was kept stays."""
    store = catalogue.store
    with suppress(CallError):
        old = store.read_record(f"{found.id}.{found.number}")
        return replace(old.measured(kept.results), before=still_whole(store, old.before), measured_at=kept.kept_at)
    (kept_at,) = catalogue.db.execute(
        "SELECT kept_at FROM versions WHERE day = ? AND number = ?", (found.day, found.number)
    ).fetchone()
    return replace(kept, id=found.id, number=found.number, kept_at=kept_at)


def write_all(catalogue: Catalogue, staged: Path, versions: Sequence[Kept]) -> None:
    """Put versions of a day whose files are staged: files first, then the catalogue in one change, then their records.

    Raises
    ------
    CallError
        If the library can't take them; then nothing of them is kept.
    """
    files = [file for kept in versions for file in kept.every_file]
    try:
        with told(catalogue.store.root):
            catalogue.store.put(staged, files)
        _require_there(catalogue.store, files)
        with catalogue.change():
            for kept in versions:
                enter(catalogue, kept)
                due(catalogue, kept.stem, kept.packed())
    except BaseException:
        remove_unused(catalogue, [file.sha256 for file in files])
        raise
    write_due(catalogue)


def _require_there(store: Store, files: Iterable[KeptFile]) -> None:
    """Refuse files that another day put in place, and that went with it meanwhile."""
    for file in files:
        place = store.path(file.kind, file.sha256)
        if not place.exists():
            raise CallError(str(place), "a file that was taken out meanwhile", "files that stay", "try again")


def bring_back(store: Store, staged: Path, versions: Sequence[Kept]) -> None:
    """Put staged files in place of those that were lost or damaged."""
    files = {(file.kind, file.sha256): file for kept in versions for file in kept.every_file}
    with told(store.root):
        store.put(staged, [file for file in files.values() if not store.is_whole(file.kind, file.sha256)])


def _named(catalogue: Catalogue, kept: Kept, found: Known | None) -> Kept:
    if found is None:
        return replace(kept, id=new_id(catalogue, kept), number=1)
    return replace(kept, id=found.id, number=found.number + 1)


def take_out(root: Path, day: str) -> int:
    """Take a day out whole, every version of it; return how many there were.

    Raises
    ------
    CallError
        If no day of that id is kept.
    """
    with writing(root, sweep) as catalogue:
        known = require_day(catalogue, day)
        versions = [row[0] for row in catalogue.db.execute("SELECT number FROM versions WHERE day = ?", (known.day,))]
        files = _files_of(catalogue, known.day)
        with catalogue.change():
            for number in versions:
                due(catalogue, f"{day}.{number}", None)
            catalogue.db.execute("DELETE FROM days WHERE key = ?", (known.day,))
            clear_unused(catalogue)
            to_sweep(catalogue)
        write_due(catalogue)
        remove_unused(catalogue, files)
        emptied(catalogue)
    return len(versions)


def _files_of(catalogue: Catalogue, day: int) -> list[str]:
    rows = catalogue.db.execute(
        "SELECT DISTINCT sha256 FROM files WHERE version IN (SELECT key FROM versions WHERE day = ?)", (day,)
    )
    return [content.hex() for (content,) in rows]


def remove_unused(catalogue: Catalogue, contents: Iterable[str]) -> list[Path]:
    """Remove those files, by content, that no version holds; return them. What can't be removed is left to a check."""
    gone = []
    for sha256 in set(contents):
        held = catalogue.db.execute("SELECT 1 FROM files WHERE sha256 = ?", (bytes.fromhex(sha256),)).fetchone()
        if held is None:
            for kind in KINDS:
                path = catalogue.store.path(kind, sha256)
                with suppress(OSError):
                    path.unlink()
                    gone.append(path)
    return gone


def to_sweep(catalogue: Catalogue) -> None:
    """Note, within a change, that files and freed pages are to be cleared after it."""
    catalogue.db.execute("UPDATE state SET value = 1 WHERE name = 'to_sweep'")


def due(catalogue: Catalogue, stem: str, record: bytes | None) -> None:
    """Note, within a change, what the file of a version is to hold after it; None: it is to go."""
    catalogue.db.execute("INSERT OR REPLACE INTO records_due VALUES (?, ?)", (stem, record))


def write_due(catalogue: Catalogue) -> None:
    """Write the files of versions that changes have left to be written; what finds no room stays due."""
    for stem, record in catalogue.db.execute("SELECT stem, record FROM records_due").fetchall():
        with suppress(CallError):
            catalogue.store.write_record(stem, record)
            catalogue.db.execute("DELETE FROM records_due WHERE stem = ?", (stem,))


def emptied(catalogue: Catalogue) -> None:
    """Leave nothing of what was removed in the catalogue's freed pages, nor in its log of changes.

    Where there is no room for that, or another program is reading, it is left to the next change.
    """
    with suppress(sqlite3.OperationalError):  # the change itself stands
        catalogue.db.execute("VACUUM")
        catalogue.db.execute("UPDATE state SET value = 0 WHERE name = 'to_sweep'")
        is_read = bool(catalogue.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0])
        if is_read:
            to_sweep(catalogue)


def sweep(catalogue: Catalogue) -> list[Path]:
    """Clear what a killed process left: files that no version holds, and what was freed in the catalogue.

    Returns
    -------
    list of Path
        The files that were removed.

    Notes
    -----
    A record that the catalogue doesn't know is no leftover: the catalogue is older than its day, which `check` enters.
    Its files stay too; where such a record can't be read, every file does.
    """
    write_due(catalogue)
    store = catalogue.store
    known = stems_of(catalogue)
    held = _contents(store, [stem for stem in store.stems() if stem not in known])
    there = (
        []
        if held is None
        else [name for _, name, _ in store.all_files() if SHA256.fullmatch(name) and name not in held]
    )
    gone = remove_unused(catalogue, there)
    emptied(catalogue)
    return gone


def stems_of(catalogue: Catalogue) -> set[str]:
    """Return the versions that the catalogue knows."""
    rows = catalogue.db.execute("SELECT d.id, v.number FROM versions v JOIN days d ON v.day = d.key")
    return {f"{name}.{number}" for name, number in rows}


def _contents(store: Store, stems: Iterable[str]) -> set[str] | None:
    """Return the files that records hold; None where one of them can't be read."""
    try:
        return {file.sha256 for stem in stems for file in store.read_record(stem).every_file}
    except CallError:
        return None
