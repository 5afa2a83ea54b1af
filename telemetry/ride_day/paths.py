"""Paths in a ride day: relative to the file, inside its folder."""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath


def inside(folder: Path, text: str) -> Path | str:
    """Return the path a file names, or in words what is wrong with it.

    Parameters
    ----------
    folder : Path
        The ride day's folder.
    text : str
        As written in the file.

    Returns
    -------
    Path, or str
        Links are followed: what they point to must lie inside the folder too.
    """
    if not text.strip() or "\x00" in text:
        return "no file name"
    if PurePosixPath(text).is_absolute() or PureWindowsPath(text).is_absolute() or PureWindowsPath(text).drive:
        return f"the absolute path {text!r}"
    relative = Path(text.replace("\\", "/"))
    if ".." in relative.parts:
        return f"{text!r}, which leads out of the folder"
    path = folder / relative
    try:
        if not path.resolve().is_relative_to(folder.resolve()):
            return f"{text!r}, a link that leads out of the folder"
    except (OSError, RuntimeError):
        return f"{text!r}, a link that leads nowhere"
    return path
