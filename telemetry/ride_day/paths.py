"""Paths in a ride day: relative to the file, inside its folder, to ordinary files."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TypeAlias

from telemetry.toml_problems import Words, near_words

LONGEST = 1000
"""Letters of a path: own choice; systems take 4096 bytes at most."""

Files: TypeAlias = Callable[[Path], Sequence[Path]]


class WrongPathError(ValueError):
    """What was found at a path, and what was expected."""

    def __init__(self, found: str, expected: Words) -> None:
        self.found = found
        self.expected = expected
        super().__init__(found)


def file_inside(folder: Path, text: str, what: str, files: Files | None = None) -> Path:
    """Return the file a ride day names.

    Parameters
    ----------
    folder : Path
        The ride day's folder.
    text : str
        As written in the file.
    what : str
        What the file should be: ``"a log"``.
    files : callable, optional
        Returns a folder's files that may be meant where none is there; any of them else.

    Returns
    -------
    Path
        Links are followed: what they point to lies inside the folder too.

    Raises
    ------
    WrongPathError
        If the path leads out of the folder, or no ordinary file is there.
    """
    within = f"{what} inside the ride day's folder, by its path from there"
    if not text.strip() or "\x00" in text:
        raise WrongPathError("no file name", within)
    if len(text) > LONGEST:
        raise WrongPathError(f"a path of {len(text)} letters", within)
    if PurePosixPath(text).is_absolute() or PureWindowsPath(text).is_absolute() or PureWindowsPath(text).drive:
        raise WrongPathError(f"the absolute path {text!r}", within)
    relative = Path(text.replace("\\", "/"))
    if ".." in relative.parts:
        raise WrongPathError(f"{text!r}, which leads out of the folder", within)
    path = folder / relative
    try:
        if not path.resolve().is_relative_to(folder.resolve()):
            raise WrongPathError(f"{text!r}, a link that leads out of the folder", within)
        _check_ordinary(path, text, what, files or _files)
    except (OSError, RuntimeError):
        raise WrongPathError(f"{text!r}, which can't be opened", within) from None
    return path


def _check_ordinary(path: Path, text: str, what: str, files: Files) -> None:
    if path.is_dir():
        raise WrongPathError(f"the folder {text!r}", f"{what}: a file")
    if not path.exists():
        raise WrongPathError(f"no file {text!r}", partial(_there, path, what, files))
    if not path.is_file():
        raise WrongPathError(f"{text!r}, no ordinary file", f"{what}: an ordinary file")


def _there(path: Path, what: str, files: Files) -> str:
    """Return what was expected: a file that stands where one was looked for."""
    beside = [item.name for item in files(path.parent)] if path.parent.is_dir() else []
    return near_words(path.name, beside, f"{what} that is there")


def _files(folder: Path) -> list[Path]:
    with os.scandir(folder) as there:
        return [Path(item) for item in there if not item.name.endswith(".toml") and not item.name.startswith(".")]
