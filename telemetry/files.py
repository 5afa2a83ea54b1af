"""Files written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path

from .errors import CallError

LEFT_S = 3600.0


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
    if not os.access(folder, os.W_OK):
        raise CallError(
            str(path), f"folder {str(folder)!r}, which may not be written", "write permission", "name another"
        )


def _sweep(path: Path) -> None:
    """Take away what commands that were killed while writing this file left beside it, long ago."""
    with suppress(OSError):
        for left in path.parent.glob(f".{escape(path.name)}.*.part"):
            if time.time() - left.stat().st_mtime > LEFT_S:
                left.unlink()


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
    _sweep(path)
    beside: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=folder)
        beside = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(0o644)
        beside.replace(path)
    except OSError as error:
        raise CallError(
            str(path), str(error.strerror), "a place that can be written", "check disk and rights"
        ) from None
    finally:
        if beside is not None:
            beside.unlink(missing_ok=True)


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
    beside: Path | None = None
    try:
        beside = Path(tempfile.mkdtemp(prefix=f".{place.name}.", suffix=".part", dir=place.parent))
        yield beside
        beside.chmod(0o755)
        beside.replace(place)
    except OSError as error:
        raise CallError(
            str(folder), str(error.strerror), "a place that can be written", "check disk and rights"
        ) from None
    finally:
        if beside is not None:
            shutil.rmtree(beside, ignore_errors=True)
