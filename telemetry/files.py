"""Files written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from .errors import CallError


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
