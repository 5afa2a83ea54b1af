"""Files written whole or not at all."""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, TypeAlias

from . import leftovers
from .errors import CallError
from .locks import alone

WRITABLE, EVERY_RIGHT = 0o222, 0o777
PRIVATE, ANYONE = 0o600, 0o666
"""A file's rights: any of them to write; all there are; the owner's only, and everyone's, for a new one."""

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


def readable_name(name: str) -> str:
    """Return a file's or folder's name with a sign in place of bytes that are no letters: text that can be written."""
    return name.encode(errors="surrogateescape").decode(errors="replace")


def check_writable(path: Path) -> None:
    """Refuse a place that can't take a file, before the work is done.

    Raises
    ------
    CallError
    """
    _place(path)


def _place(path: Path) -> Path:
    """Return where a file really stands: a link within its folder stays one, and what it points to is written.

    Raises
    ------
    CallError
        If it can't be written.
    """
    with _one_line(path):
        try:
            place = path.resolve()
        except RuntimeError:  # links in a circle
            raise CallError(str(path), "a link that leads nowhere", "a file name", "name another") from None
        _check_place(path, place)
    return place


@contextmanager
def _one_line(path: Path) -> Iterator[None]:
    """Say in one line what the system has against a place."""
    try:
        yield
    except OSError as error:
        found = str(error.strerror)
        raise CallError(str(path), found, "a place that can be written", "check disk and rights") from None


def _check_place(path: Path, place: Path) -> None:
    folder = path.parent
    if not folder.is_dir():
        raise CallError(str(path), f"no folder {str(folder)!r}", "a folder that exists", "make it first")
    if path.is_dir():
        raise CallError(str(path), "a folder", "a file name", "add the file's name")
    if path.exists() and not path.is_file():
        raise CallError(str(path), "no ordinary file", "a new file, or one to replace", "name another")
    if path.is_symlink() and not place.is_relative_to(folder.resolve()):
        raise CallError(str(path), "a link that leads out of its folder", "a file", "name the file it points to")
    if not os.access(place.parent, os.W_OK):
        found = f"folder {str(place.parent)!r}, which may not be written"
        raise CallError(str(path), found, "write permission", "name another")
    if place.exists() and not (os.access(place, os.W_OK) and place.stat().st_mode & WRITABLE):
        raise CallError(str(path), "a file that may not be written", "write permission", "allow it, or name another")


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
        In a folder that exists. An existing file is replaced whole, and keeps its rights and, where possible, its
        owner; a link within its folder stays a link.
    data : bytes

    Raises
    ------
    CallError
        If the folder isn't there, isn't writable, or the disk is full, or the file is one that may not be written;
        nothing half-written stays.
    """
    place = _place(path)
    with _one_line(path):
        _write(place, data, lambda: True)


def swap_bytes(path: Path, before: bytes | None, after: bytes) -> bool:
    """Write a file as `write_bytes` does, if it still holds what it held; return whether it did, and was written.

    Parameters
    ----------
    path : Path
    before : bytes or None
        What it has to hold; None: it isn't to be there.
    after : bytes

    Raises
    ------
    CallError
        As `write_bytes`, or if another program is writing it for long.

    Notes
    -----
    Programs that write by this function take turns. Others don't know of it: what they save is told from `before` up to
    the moment before the new file is renamed into place.
    """
    place = _place(path)
    with alone(place), _one_line(path):
        return holds(place, before) and _write(place, after, lambda: holds(place, before))


def holds(path: Path, data: bytes | None) -> bool:
    """Tell whether a file holds just these bytes; None: whether nothing is there. What can't be read holds others."""
    try:
        if data is None:
            return not os.path.lexists(path)
        return path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data
    except OSError:
        return False


def _write(place: Path, data: bytes, still: Callable[[], bool]) -> bool:
    """Write a file if `still` says so just before it is renamed into place; return whether it was."""
    written = False

    def judged() -> bool:
        nonlocal written
        written = still()
        return written

    with _beside_place(place, judged) as file:
        file.write(data)
    return written


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """Give a file beside its place to write, and rename it into place at the end, as `write_bytes` does.

    Parameters
    ----------
    path : Path
        In a folder that exists; one that is there is replaced whole.

    Yields
    ------
    binary file
        Whatever is raised meanwhile removes it and leaves the place as it was.

    Raises
    ------
    CallError
        As `write_bytes`.
    """
    place = _place(path)
    with _one_line(path), _beside_place(place, lambda: True) as file:
        yield file


@contextmanager
def _beside_place(place: Path, still: Callable[[], bool]) -> Iterator[BinaryIO]:
    leftovers.clear(place.parent, place.name)
    beside = _beside(place)
    # the system takes from a new file's rights what the umask says; one to be replaced may be private
    handle = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_EXCL, PRIVATE if place.exists() else ANYONE)
    try:
        with os.fdopen(handle, "w+b") as file, leftovers.held(beside):
            yield file
            file.flush()
            _take_after(place, handle)
            os.fsync(handle)
            if still():
                beside.replace(place)
    finally:
        with suppress(OSError):
            beside.unlink()
    _flush_names(place.parent)


def _beside(place: Path) -> Path:
    """Return a hidden name beside a place, for what is being written; nobody else's."""
    return place.with_name(f"{leftovers.beginning(place.name)}{secrets.token_hex(4)}{leftovers.ENDING}")


def _take_after(place: Path, handle: int) -> None:
    """Give an open file or folder the rights and the owner of the one whose place it takes, if there is one."""
    try:
        old = place.stat()
    except FileNotFoundError:
        return
    rights = old.st_mode & EVERY_RIGHT
    for owner in ((old.st_uid, old.st_gid), (-1, old.st_gid)):
        with suppress(OSError):
            os.fchown(handle, *owner)
            break
    else:  # it belongs to another group now, which gets no more than everyone has
        rights &= ~0o070 | (rights & 0o007) << 3
    with suppress(OSError):  # some disks know no rights
        os.fchmod(handle, rights)


def flush(path: Path) -> None:
    """Have the system put on disk what it still holds of a file or a folder."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _flush_names(folder: Path) -> None:
    """Have the system put a folder's names on disk, where it can: what was written is in its place already."""
    with suppress(OSError):
        flush(folder)


def _flush_all(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.is_file():
            flush(path)
    _flush_names(folder)


def _check_new_folder(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise CallError(str(folder), "a file", "a new folder's name", "name another")
    if os.path.ismount(folder):  # nothing can be renamed into its place
        raise CallError(str(folder), "a disk's own folder", "a folder on it", "name a new one within it")
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
    beside = _beside(place)
    with _one_line(folder):
        beside.mkdir()
        try:
            with leftovers.held(beside) as handle:
                yield beside
                _flush_all(beside)
                _take_after(place, handle)
                beside.replace(place)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
        _flush_names(place.parent)
