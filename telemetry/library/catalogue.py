"""The catalogue: one SQLite file, opened, brought up to date, looked over, and closed again."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from telemetry.errors import CallError
from telemetry.files import stamp, write_text
from telemetry.locks import alone

from .schema import MIGRATIONS
from .store import Store, told

FILE = "catalogue.sqlite"
LAST = "last_change.json"
BUSY_S = 5.0
"""Own choice, as for the lock: a change takes milliseconds."""
MARK = 0x5354_4C42
"""What tells a file of ours from other programs' (SQLite's application_id); own choice."""
MOST_CHANGES = 2**53
"""A note of more changes was damaged: nobody makes so many."""
MAKE_ANEW = "`telemetry library check` makes it anew from the days that are kept beside it"


@dataclass(frozen=True, slots=True)
class Catalogue:
    """An open catalogue and the files beside it."""

    db: sqlite3.Connection
    store: Store

    @property
    def file(self) -> Path:
        """Where it stands."""
        return self.store.root / FILE

    @property
    def changes(self) -> int:
        """How many changes it has been through."""
        return int(self.db.execute("SELECT value FROM state WHERE name = 'changes'").fetchone()[0])

    @contextmanager
    def change(self) -> Iterator[None]:
        """Make one change of what the block does: all of it or, where anything is raised, nothing."""
        self.db.execute("BEGIN IMMEDIATE")
        try:
            self.db.execute("UPDATE state SET value = value + 1 WHERE name = 'changes'")
            yield
            self.db.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):
                self.db.execute("ROLLBACK")
            raise


@contextmanager
def _in_one_line(file: Path) -> Iterator[None]:
    """Say in one line what the catalogue can't do."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.ProgrammingError):
            raise
        raise _told(file, str(error)) from None
    except json.JSONDecodeError as error:  # lists stand in some columns
        raise damaged(file, str(error)) from None


def _told(file: Path, text: str) -> CallError:
    """Return the error of what SQLite found; what isn't the disk's fault nor another program's is the catalogue's."""
    if "full" in text or "I/O" in text:
        return CallError(str(file), text, "room to write", "make room on the disk; nothing was changed")
    if "readonly" in text or "unable to open" in text:
        return CallError(str(file), text, "a catalogue that can be written", "check disk and rights")
    if "locked" in text:
        return CallError(str(file), "another program that is writing", "its turn to end soon", "try again")
    return damaged(file, text)


class LostCatalogueError(CallError):
    """The catalogue is damaged, gone, or older than the days kept: it can be made anew of them."""


def damaged(file: Path, found: str) -> LostCatalogueError:
    """Return the error of a catalogue that isn't whole."""
    return LostCatalogueError(str(file), f"a damaged catalogue ({found})", "a whole one", MAKE_ANEW)


def connected(file: Path, *, fixed: bool = False) -> sqlite3.Connection:
    """Return a connection to a file that is there; a `fixed` one is read as it stands, with nothing put beside it."""
    where = f"{file.as_uri()}?mode=ro&immutable=1" if fixed else f"{file.as_uri()}?mode=rw"
    db = sqlite3.connect(where, uri=True, timeout=BUSY_S, isolation_level=None)
    db.execute("PRAGMA foreign_keys = ON")
    db.execute("PRAGMA secure_delete = ON")
    db.execute("PRAGMA synchronous = FULL")
    return db


def _version(db: sqlite3.Connection) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def _check_kind(db: sqlite3.Connection, file: Path, newest: int) -> None:
    """Refuse a file that is no catalogue of ours, or one of a newer program."""
    version = _version(db)
    mark = int(db.execute("PRAGMA application_id").fetchone()[0])
    if version > newest:
        remedy = "bring this program up to date"
        raise CallError(str(file), f"a catalogue of form {version}", f"form {newest} at most", remedy)
    if mark not in (MARK, 0) or (version and mark != MARK):
        raise CallError(str(file), "another program's file", "a catalogue of kept days", "name another folder")


def migrate(db: sqlite3.Connection, migrations: Sequence[str]) -> None:
    """Bring a catalogue up to date, a version at a time: each wholly or not at all.

    Parameters
    ----------
    db : Connection
        Of a catalogue of this program, or an empty file.
    migrations : sequence of str
    """
    db.execute("PRAGMA journal_mode = WAL")
    for number in range(_version(db), len(migrations)):
        steps = f"PRAGMA application_id = {MARK};\nPRAGMA user_version = {number + 1};"
        try:
            db.executescript(f"BEGIN IMMEDIATE;\n{migrations[number]}\n{steps}\nCOMMIT;")
        except BaseException:
            with suppress(sqlite3.Error):
                db.execute("ROLLBACK")
            raise


def read_last(root: Path) -> tuple[int, list[int]]:
    """Return how many changes were last seen, and the stamp of the catalogue that was then found whole."""
    try:
        raw = json.loads((root / LAST).read_text(encoding="utf-8"))
        changes, whole = int(raw["changes"]), list(map(int, raw["whole"]))
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return 0, []
    return (changes, whole) if 0 <= changes <= MOST_CHANGES else (0, [])


def note_last(root: Path, changes: int) -> None:
    """Note how many changes a catalogue has been through, and that it is whole as it now stands.

    What is copied over it later is told by both: an older one has been through fewer, another one was written later.
    """
    found, most = stamp(root / FILE), max(changes, read_last(root)[0])  # another may have changed it since
    with suppress(CallError):  # a disk that takes nothing more: it is looked through again next time
        write_text(root / LAST, json.dumps({"changes": most, "whole": list(found or ())}))


def _look_through(db: sqlite3.Connection, file: Path) -> bool:
    """Refuse a catalogue that isn't whole, or older than the days kept; return whether it had to be read for that.

    One that was seen whole as it stands isn't read again.
    """
    changes, whole = read_last(file.parent)
    unseen = list(stamp(file) or ()) != whole
    if unseen:
        _require_sound(db, file)
    found_changes = int(db.execute("SELECT value FROM state WHERE name = 'changes'").fetchone()[0])
    if found_changes < changes:
        what = f"an older catalogue ({found_changes} changes) than the days kept ({changes} changes)"
        raise LostCatalogueError(str(file), what, "the newest one", MAKE_ANEW)
    if unseen:
        _require_known(db, file)
    return unseen


def _require_sound(db: sqlite3.Connection, file: Path) -> None:
    """Refuse a catalogue whose pages or tables aren't as they should be."""
    found = str(db.execute("PRAGMA quick_check(1)").fetchone()[0])
    if found != "ok":
        raise damaged(file, found)
    if _tables(db) != _tables_of(MIGRATIONS):
        raise damaged(file, "other tables than it should have")
    state = dict(db.execute("SELECT name, value FROM state").fetchall())
    if not all(isinstance(state.get(name), int) for name in ("changes", "to_sweep")):
        raise damaged(file, "no count of its changes")


def _tables(db: sqlite3.Connection) -> dict[str, list[str]]:
    names = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return {name: [row[1] for row in db.execute("SELECT * FROM pragma_table_info(?)", (name,))] for name in names}


@cache
def _tables_of(migrations: tuple[str, ...]) -> dict[str, list[str]]:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        migrate(db, migrations)
        return _tables(db)


def _require_known(db: sqlite3.Connection, file: Path) -> None:
    """Refuse a catalogue that lacks a version whose record is there: it is older than the days kept."""
    store = Store(file.parent)
    stems = store.stems()
    rows = db.execute(
        "SELECT d.id || '.' || v.number FROM versions v JOIN days d ON v.day = d.key UNION SELECT stem FROM records_due"
    )
    held = {row[0] for row in rows}
    unknown = [stem for stem in stems if stem not in held and store.record(stem).exists()]
    if unknown:
        what = f"an older catalogue than the days kept (it lacks {min(unknown)})"
        raise LostCatalogueError(str(file), what, "the newest one", MAKE_ANEW)


@contextmanager
def reading(root: Path) -> Iterator[Catalogue]:
    """Open a library to look into it; nothing is made where there is none.

    Raises
    ------
    CallError
        If there is none, it isn't whole, or is older than the days kept or newer than this program.
    """
    file = root / FILE
    if not file.is_file():
        _refuse_lost(root)
        raise CallError(str(root), "no library", "a folder of kept days", "`telemetry keep RIDE_DAY` begins one")
    with _in_one_line(file):
        db = _to_read(file)
        try:
            _check_kind(db, file, len(MIGRATIONS))
            if _version(db) < len(MIGRATIONS):
                db.close()
                with writing(root):
                    pass
                db = _to_read(file)
            looked = _look_through(db, file)
            db.execute("PRAGMA query_only = ON")
            catalogue = Catalogue(db=db, store=Store(root))
            changes = catalogue.changes
            yield catalogue
        finally:
            db.close()
        if looked:
            note_last(root, changes)


def _to_read(file: Path) -> sqlite3.Connection:
    try:
        db = connected(file)
        try:
            db.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except BaseException:
            db.close()
            raise
    except sqlite3.OperationalError:  # nothing can be put beside it; what is not in it yet can't be read then
        db = connected(file, fixed=True)
    return db


@contextmanager
def writing(root: Path, sweep: Callable[[Catalogue], object] | None = None) -> Iterator[Catalogue]:
    """Open a library to change it, one process at a time; it is begun where there is none.

    Parameters
    ----------
    root : Path
    sweep : callable, optional
        Done first where a process was killed before it had cleared up.

    Raises
    ------
    CallError
        As `reading`, or if it can't be written.
    """
    file = root / FILE
    begin(root)
    with alone(file.resolve()), _in_one_line(file):
        if not file.exists():
            _refuse_lost(root)
            with told(file):
                file.touch()
        db = connected(file)
        with closing(db):
            _check_kind(db, file, len(MIGRATIONS))
            migrate(db, MIGRATIONS)
            _look_through(db, file)
            catalogue = Catalogue(db=db, store=Store(root))
            if sweep is not None and _is_unfinished(db):
                sweep(catalogue)
            yield catalogue
            changes = catalogue.changes
        note_last(root, changes)


def _is_unfinished(db: sqlite3.Connection) -> bool:
    """Tell whether a process was killed before it had cleared up after a change."""
    swept = db.execute("SELECT 1 FROM state WHERE name = 'to_sweep' AND value").fetchone() is None
    return not swept or db.execute("SELECT 1 FROM records_due LIMIT 1").fetchone() is not None


def _refuse_lost(root: Path) -> None:
    """Refuse a folder in which days are kept whose catalogue is gone."""
    if Store(root).stems():
        raise LostCatalogueError(str(root / FILE), "no catalogue beside kept days", "the catalogue", MAKE_ANEW)


def is_begun(root: Path) -> bool:
    """Tell whether days are kept in a folder.

    Raises
    ------
    CallError
        If it can't be looked into.
    """
    with told(root):
        return (root / FILE).exists() or bool(Store(root).stems())


def begin(root: Path) -> None:
    """Make the library's folder where there is none; refuse one that holds something else."""
    with told(root):
        root.mkdir(parents=True, exist_ok=True)
        if not is_begun(root):
            others = [path.name for path in root.iterdir() if not path.name.startswith(".")]
            known = {LAST, "days", "originals", "travel"}
            if set(others) - known:
                what = f"a folder that holds other files ({min(set(others) - known)})"
                raise CallError(str(root), what, "a library, or a new or an empty folder", "name another")
