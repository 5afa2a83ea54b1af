"""Where ride days lie in a folder: looked for without opening a file, each once, by a name that a link can hold."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from telemetry.ride_day import FILE_NAME

DEEPEST_FOLDER = 2


def days_in(folder: Path) -> dict[str, Path]:
    r"""Return the files of a folder's ride days, by the days' names.

    Parameters
    ----------
    folder : Path
        Looked through itself and up to two folders down; hidden folders, links that lead out and what may not be
        listed are passed over.

    Returns
    -------
    dict of str to Path
        A name is the way from the folder to the day. Bytes that are no letters stand in it as ``\xff``. A day that
        links lead to from several places is there once, by its own place where that is in reach.
    """
    root = os.path.realpath(folder)
    own: dict[str, tuple[bool, int, str]] = {}
    for way in _ways(str(folder), root, ""):
        place = os.path.realpath(os.path.join(folder, way))  # noqa: PTH118 - thousands of folders: no object for each
        by_link = place != os.path.normpath(os.path.join(root, way))  # noqa: PTH118
        found = (by_link, way.count(os.sep), way)
        own[place] = min(own.get(place, found), found)
    days: dict[str, Path] = {}
    for _, _, way in sorted(own.values()):
        name = os.fsencode(Path(way).as_posix()).decode("utf-8", "backslashreplace")
        while name in days:  # one whose letters are another's bytes
            name += "'"
        days[name] = folder / way / FILE_NAME
    return days


def _ways(folder: str, root: str, way: str, depth: int = 0) -> Iterator[str]:
    """Yield the ways to the folders that hold a file of a ride day's name, from the folder down."""
    here = os.path.join(folder, way)  # noqa: PTH118
    file = os.path.join(here, FILE_NAME)  # noqa: PTH118
    if os.path.lexists(file) and _within(file, root):
        yield way
    if depth == DEEPEST_FOLDER:
        return
    try:
        with os.scandir(here) as entries:
            below = [entry.name for entry in entries if _may_hold_days(entry, root)]
    except OSError:
        return
    for name in below:
        yield from _ways(folder, root, os.path.join(way, name), depth + 1)  # noqa: PTH118


def _may_hold_days(entry: os.DirEntry[str], root: str) -> bool:
    try:
        return (
            not entry.name.startswith(".") and entry.is_dir() and (not entry.is_symlink() or _within(entry.path, root))
        )
    except OSError:
        return False


def _within(path: str, root: str) -> bool:
    return Path(os.path.realpath(path)).is_relative_to(root)
