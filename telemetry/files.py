"""Files written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TypeAlias

from . import leftovers
from .errors import CallError

Stamp: TypeAlias = tuple[int, int, int]


def stamp(path: Path) -> Stamp | None:
    """Return what tells a changed file without reading it; None where there is none.

    Returns
    -------
    tuple of int, or None
        When it was written, ns; its size, bytes; when the system last noted a change of it, ns. Programs can set the
        first back, not the last: an edit that keeps time and size is told. So is a change of its rights alone.
    """
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ctime_ns


def check_writable(path: Path) -> None:
    """Refuse a place that can't take a file, before the work is done.

    Raises
    ------
    CallError
    """
    folder = path.parent
    if not folder.is_dir():
        raise CallError(str(path), f"no folder {str(folder)!r}", "a folder that exists", "make it first")
    if path.is_dir():
        raise CallError(str(path), "a folder", "a file name", "add the file's name")
    if path.exists() and not path.is_file():
        raise CallError(str(path), "no ordinary file", "a new file, or one to replace", "name another")
    if not os.access(folder, os.W_OK):
        raise CallError(
            str(path), f"folder {str(folder)!r}, which may not be written", "write permission", "name another"
        )


def write_text(path: Path, text: str) -> None:
    """Write a text file as `write_bytes` does: UTF-8, line ends as they stand.

    Raises
    ------
    CallError
    """
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file beside its place, flush it, and rename it into place.

    Parameters
    ----------
    path : Path
        In a folder that exists; an existing file is replaced whole.
    data : bytes

    Raises
    ------
    CallError
        If the folder isn't there, isn't writable, or the disk is full; nothing half-written stays.
    """
    check_writable(path)
    folder = path.parent
    leftovers.clear(folder, path.name)
    beside: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=leftovers.beginning(path.name), suffix=leftovers.ENDING, dir=folder)
        beside = Path(name)
        with os.fdopen(handle, "wb") as file, leftovers.held(beside):
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
            beside.chmod(0o644)
            beside.replace(path)
        _flush_names(folder)
    except OSError as error:
        raise CallError(
            str(path), str(error.strerror), "a place that can be written", "check disk and rights"
        ) from None
    finally:
        if beside is not None:
            beside.unlink(missing_ok=True)


def _flush(path: Path) -> None:
    """Have the system put on disk what it still holds of a file or a folder."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _flush_names(folder: Path) -> None:
    """Have the system put a folder's names on disk, where it can: what was written is in its place already."""
    with suppress(OSError):
        _flush(folder)


def _flush_all(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.is_file():
            _flush(path)
    _flush_names(folder)


def _check_new_folder(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise CallError(str(folder), "a file", "a new folder's name", "name another")
    if folder.is_dir() and any(folder.iterdir()):
        raise CallError(str(folder), "a folder that isn't empty", "a new or an empty folder", "name another")
    check_writable(folder / "new" if folder.is_dir() else folder)


@contextmanager
def whole_folder(folder: Path) -> Iterator[Path]:
    """Give a folder beside its place to fill, and rename it into place at the end.

    Parameters
    ----------
    folder : Path
        Where it is to stand: nothing yet, or an empty folder, within one that exists.

    Yields
    ------
    Path
        The folder to fill. Whatever is raised meanwhile, Ctrl-C too, removes it and leaves the place as it was.

    Raises
    ------
    CallError
        If the place can't take a folder.
    """
    place = folder.resolve()
    _check_new_folder(place)
    leftovers.clear(place.parent, place.name)
    beside: Path | None = None
    try:
        name = tempfile.mkdtemp(prefix=leftovers.beginning(place.name), suffix=leftovers.ENDING, dir=place.parent)
        beside = Path(name)
        with leftovers.held(beside):
            yield beside
            _flush_all(beside)
            beside.chmod(0o755)
            beside.replace(place)
        _flush_names(place.parent)
    except OSError as error:
        raise CallError(
            str(folder), str(error.strerror), "a place that can be written", "check disk and rights"
        ) from None
    finally:
        if beside is not None:
            shutil.rmtree(beside, ignore_errors=True)
