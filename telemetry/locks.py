"""One writer at a time for one file, whatever process or thread it is in."""

from __future__ import annotations

import fcntl
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .errors import CallError
from .leftovers import beginning

LONGEST_WAIT_S = 5.0
"""Own choice: writing a ride day takes far less, even on a slow disk."""
LOOK_EVERY_S = 0.01


@contextmanager
def alone(place: Path) -> Iterator[None]:
    """Keep every other writer of a file out until the block ends, by a hidden file beside it.

    Parameters
    ----------
    place : Path
        The file, or where it is to stand; links already followed, so that all writers mean the same one.

    Raises
    ------
    CallError
        If another holds it for long, or nothing can be put beside it.

    Notes
    -----
    The system lets go of the lock when its process dies, however it dies; the hidden file that is then left harms
    nobody. On a disk that knows no locks the file's being there is the lock, and has to be removed by hand after that.
    """
    beside = place.with_name(f"{beginning(place.name)}lock")
    handle = _wait_for(beside, place)
    try:
        yield
    finally:
        with suppress(OSError):  # held until closed: whoever waits for it finds it gone, and makes a new one
            beside.unlink()
        os.close(handle)


def _wait_for(beside: Path, place: Path) -> int:
    deadline = time.monotonic() + LONGEST_WAIT_S
    while True:
        try:
            handle = _taken(beside)
        except OSError as error:
            found = f"{error.strerror} at {beside.name}"
            raise CallError(str(place), found, "a place that can be written", "check disk and rights") from None
        if handle is not None:
            return handle
        if time.monotonic() > deadline:
            raise CallError(
                str(place),
                f"another program that has been writing it for {LONGEST_WAIT_S:.0f} s",
                "one at a time",
                f"try again; if none is writing, remove {beside.name} beside it",
            )
        time.sleep(LOOK_EVERY_S)


def _taken(beside: Path) -> int | None:
    """Return the hidden file, opened and locked; None where another writer has it."""
    handle, made = _opened(beside)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        mine = _is_there_still(handle, beside)
    except (BlockingIOError, PermissionError):
        mine = False
    except OSError:  # a disk that knows no locks
        mine = made
    if mine:
        return handle
    os.close(handle)
    return None


def _opened(beside: Path) -> tuple[int, bool]:
    """Return the hidden file, and whether it was made just now."""
    flags = os.O_RDWR | os.O_CLOEXEC | os.O_NOFOLLOW
    while True:
        try:
            return os.open(beside, flags | os.O_CREAT | os.O_EXCL, 0o666), True
        except FileExistsError:
            pass
        with suppress(FileNotFoundError):  # removed since
            try:
                return os.open(beside, flags), False
            except PermissionError:  # somebody else's: to be let read is enough for most disks
                return os.open(beside, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW), False


def _is_there_still(handle: int, beside: Path) -> bool:
    """Tell whether the file that was locked is the one there: its last holder removes it before letting go."""
    try:
        return os.path.samestat(os.fstat(handle), beside.lstat())
    except FileNotFoundError:
        return False
