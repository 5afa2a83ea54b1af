"""The library looked over: files against what was kept, the catalogue against the files; what can be mended is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from telemetry.errors import CallError
from telemetry.locks import alone

from .as_entered import Comparer, comparing, require_whole
from .catalogue import FILE, Catalogue, LostCatalogueError, connected, migrate, note_last, read_last, reading, writing
from .entering import clear_unused, enter
from .keeping import stems_of, sweep, write_due
from .record import Kept, KeptFile
from .schema import MIGRATIONS
from .store import Store, told

Progress = Callable[[str], None]
TO_MEND = "keep the day again, or take the file from a backup"


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedOver:
    """What was found: how much was looked at, what was mended, and what is left for the tuner, a line each."""

    versions: int
    files: int
    mended: tuple[str, ...]
    left: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry library check --json`."""
        found = {"mended": list(self.mended), "left": list(self.left)}
        return {"versions": self.versions, "files": self.files, **found}


def look_over(root: Path, progress: Progress | None = None) -> LookedOver:
    """Look the whole library over, and mend what can be.

    Parameters
    ----------
    root : Path
        The library's folder.
    progress : callable, optional
        Told each version before its files are read.

    Returns
    -------
    LookedOver

    Raises
    ------
    CallError
        If there is no library, it is of a newer program, or it can't be written.

    Notes
    -----
    A catalogue that is damaged, gone, or older than the days is made anew from the versions' own files. Files that
    nothing holds are removed. Damaged originals are told: keeping the day again, or a backup, brings them back.
    """
    mended: list[str] = []
    left: list[str] = []
    try:
        with reading(root) as catalogue:
            require_whole(catalogue)
        mended += _in_order(root)
    except LostCatalogueError as error:
        if not Store(root).stems():
            raise
        left += _made_anew(root)
        mended += [f"the catalogue was made anew (it was {error.found})", *_in_order(root)]
    with reading(root) as catalogue:
        known = sorted(stems_of(catalogue))
    files, doubtful = 0, []
    with comparing() as comparer:
        for stem in known:
            if progress is not None:
                progress(stem)
            count, lines = _looked_at(root, stem, comparer)
            files += count
            doubtful += [stem] if lines else []
        if doubtful:
            with writing(root) as catalogue:  # nobody takes a day out, or a name, while these are looked at again
                there = stems_of(catalogue)
                for stem in (stem for stem in doubtful if stem in there):
                    mended += _entered_again(catalogue, stem, comparer)
                    left += _looked_at(root, stem, comparer)[1]
    return LookedOver(versions=len(known), files=files, mended=tuple(mended), left=tuple(dict.fromkeys(left)))


def _in_order(root: Path) -> list[str]:
    """Enter what the catalogue lacks, remove what nothing holds; return a line for each."""
    with writing(root) as catalogue:
        catalogue.store.clear_leftovers()
        lines = list(_entered(catalogue))
        return lines + [f"removed {path.relative_to(root)}: no day holds it" for path in sweep(catalogue)]


def _looked_at(root: Path, stem: str, comparer: Comparer) -> tuple[int, list[str]]:
    """Return how many files a version has, and what isn't as it was kept."""
    store = Store(root)
    try:
        kept = store.read_record(stem)
    except CallError as error:
        return 0, [f"{stem}: {error.line}; {TO_MEND}"]
    with reading(root) as catalogue:
        same = comparer.is_as_entered(catalogue, kept)
    lines = [] if same else [f"{stem}: the catalogue says other of it than was kept"]
    return len(kept.every_file), [*lines, *_damaged(store, kept)]


def _entered_again(catalogue: Catalogue, stem: str, comparer: Comparer) -> list[str]:
    """Enter a version anew of which the catalogue says other than its record."""
    with suppress(CallError):  # told where its files are looked at
        kept = catalogue.store.read_record(stem)
        if not comparer.is_as_entered(catalogue, kept):
            with catalogue.change():
                enter(catalogue, kept)
                clear_unused(catalogue)
            why = "the catalogue said other of it than was kept, or less, as of days kept by an earlier program"
            return [f"entered {stem} anew: {why}"]
    return []


def _made_anew(root: Path) -> list[str]:
    """Make the catalogue of the records; return what of them can't be read."""
    file, store, lost = root / FILE, Store(root), []
    with alone(file.resolve()), store.staged() as staged:
        fresh = staged / FILE
        fresh.touch()
        with closing(connected(fresh)) as db:
            migrate(db, MIGRATIONS)
            catalogue = Catalogue(db=db, store=store)
            with catalogue.change():
                for stem in store.stems():
                    try:
                        enter(catalogue, store.read_record(stem))
                    except CallError as error:
                        lost.append(error.line)
                changes = read_last(root)[0] + 1
                db.execute("UPDATE state SET value = ? WHERE name = 'changes'", (changes,))
        with told(file):
            for ending in ("-wal", "-shm"):
                file.with_name(file.name + ending).unlink(missing_ok=True)
            fresh.replace(file)
        note_last(root, changes)
    return lost


def _entered(catalogue: Catalogue) -> Iterator[str]:
    """Enter the versions that have a file and aren't in the catalogue as it says; yield a line each."""
    rows = catalogue.db.execute("SELECT d.id, v.number, v.content FROM versions v JOIN days d ON v.day = d.key")
    held = {f"{name}.{number}": content for name, number, content in rows.fetchall()}
    write_due(catalogue)
    for stem in catalogue.store.stems():
        with suppress(CallError):  # told where its files are looked at
            kept = catalogue.store.read_record(stem)
            if held.get(stem) != kept.content:
                with catalogue.change():
                    enter(catalogue, kept)
                yield f"entered {stem}: it was kept, and the catalogue didn't say so"


def _damaged(store: Store, kept: Kept) -> Iterator[str]:
    for file in dict.fromkeys(kept.every_file):
        if not store.is_whole(file.kind, file.sha256):
            yield _damaged_line(store, kept, file)


def _damaged_line(store: Store, kept: Kept, file: KeptFile) -> str:
    there = store.path(file.kind, file.sha256).exists()
    what = "holds other bytes than were kept" if there else "is gone"
    if file.kind == "travel":
        does = "makes it again" if file in kept.files else "leaves it out: only earlier results hold it"
        return f"{kept.stem}, travel of {file.path}: {what}; `telemetry library reanalyse {kept.id}` {does}"
    return f"{kept.stem}, {file.path}: {what}; {TO_MEND}"
