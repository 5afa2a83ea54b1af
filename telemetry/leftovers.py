"""What a killed process leaves beside its place: told from what is being written, and cleared away."""

from __future__ import annotations

import fcntl
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

ENDING = ".part"
SETTLED_S = 10.0
"""Own choice: what is younger may belong to a process that hasn't laid its hand on it yet."""


def beginning(name: str) -> str:
    """Return how the name of a file or folder begins while `name` is being written: hidden, and told by it."""
    return f".{name}."


@contextmanager
def held(path: Path) -> Iterator[int]:
    """Hold a file or folder that is being written, and give its handle.

    The system lets go of it when the process dies, however it dies.
    """
    handle = os.open(path, os.O_RDONLY)
    try:
        with suppress(OSError):  # some network disks know no locks
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield handle
    finally:
        os.close(handle)


def _is_left(path: Path, settled_s: float) -> bool:
    """Tell whether nobody holds a file or folder any more; what can't be told is let be."""
    try:
        status = path.lstat()
        settled = not settled_s or 0 <= status.st_mtime <= time.time() - settled_s  # a clock may have been set back
        if path.is_symlink() or not settled:
            return False
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    except OSError:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    else:
        return True
    finally:
        os.close(handle)


def clear(folder: Path, name: str, settled_s: float = SETTLED_S) -> None:
    """Remove what processes that were killed while writing `name` left in a folder.

    Parameters
    ----------
    folder : Path
    name : str
        Of the file or folder that was being written.
    settled_s : float, optional
        What is younger is let be; 0 where the caller keeps every other writer of it out.

    Notes
    -----
    What can't be removed is let be: it is hidden, and nothing reads it.
    """
    try:
        left = [path for path in folder.iterdir() if _named(path.name, name) and _is_left(path, settled_s)]
    except OSError:
        return
    for path in left:
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            with suppress(OSError):
                path.unlink()


def _named(found: str, name: str) -> bool:
    """Tell whether a name is one of ours for `name`: what stands between beginning and ending holds no dot."""
    middle = found.removeprefix(beginning(name)).removesuffix(ENDING)
    return found == f"{beginning(name)}{middle}{ENDING}" and "." not in middle and bool(middle)
