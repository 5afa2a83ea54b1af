"""A whole second library, made while the first is in use."""

from __future__ import annotations

import shutil
from contextlib import closing
from pathlib import Path

from telemetry.errors import CallError
from telemetry.files import whole_folder

from .caring import Progress
from .catalogue import FILE, Catalogue, connected, note_last, reading, writing
from .keeping import stems_of
from .record import Kind
from .store import Store, told


def back_up(root: Path, to: Path, progress: Progress | None = None) -> int:
    """Copy a library into a new folder; return how many versions it holds.

    Parameters
    ----------
    root : Path
        The library's folder; others may keep, find and take out meanwhile.
    to : Path
        New or empty, within a folder that exists, and outside the library.
    progress : callable, optional
        Told each file before it is copied.

    Raises
    ------
    CallError
        If the place can't take it, or a file of the library is damaged: `check` tells which.

    Notes
    -----
    What is there when it begins is copied at leisure; what changed meanwhile while nobody writes.
    """
    if to.resolve().is_relative_to(root.resolve()):
        raise CallError(str(to), "a place within the library", "a place outside it", "name another")
    with whole_folder(to) as place:
        with reading(root) as catalogue:
            wanted = _wanted(catalogue)
        _copy(Store(root), Store(place), wanted, progress)
        with writing(root) as catalogue:
            changed = _wanted(catalogue)
            _copy(catalogue.store, Store(place), changed, progress, may_lack=False)
            _remove(Store(place), changed)
            stems = stems_of(catalogue)
            (place / "days").mkdir(exist_ok=True)
            for stem in stems:
                record = catalogue.store.record(stem)
                with told(record):
                    shutil.copyfile(record, Store(place).record(stem))
            _copy_catalogue(catalogue, place / FILE)
            note_last(place, catalogue.changes)
    return len(stems)


def _wanted(catalogue: Catalogue) -> set[tuple[Kind, str]]:
    rows = catalogue.db.execute("SELECT DISTINCT kind = 'travel', sha256 FROM files")
    return {("travel" if is_travel else "original", content.hex()) for is_travel, content in rows}


def _copy(
    source: Store, target: Store, files: set[tuple[Kind, str]], progress: Progress | None, *, may_lack: bool = True
) -> None:
    """Copy the files that aren't there yet; where one `may_lack`, one that was taken out meanwhile is passed over."""
    for kind, sha256 in sorted(files):
        place = target.path(kind, sha256)
        if place.exists():
            continue
        if progress is not None:
            progress(sha256[:8])
        with told(place):
            place.parent.mkdir(parents=True, exist_ok=True)
            try:
                shutil.copyfile(source.path(kind, sha256), place)
            except FileNotFoundError:
                if may_lack:
                    continue
                raise _lost(source.path(kind, sha256), "no such file") from None
        if not target.is_whole(kind, sha256):
            raise _lost(source.path(kind, sha256), "a damaged file")


def _lost(path: Path, found: str) -> CallError:
    return CallError(str(path), found, "what was kept", "`telemetry library check` says of which day")


def _remove(target: Store, wanted: set[tuple[Kind, str]]) -> None:
    """Remove what was taken out while the rest was copied."""
    for kind, sha256, path in target.all_files():
        if (kind, sha256) not in wanted:
            path.unlink()


def _copy_catalogue(catalogue: Catalogue, file: Path) -> None:
    file.touch()
    with closing(connected(file)) as copy:
        catalogue.db.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file; it goes back to its own way when it is written
