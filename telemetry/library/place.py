"""Where the days are kept: a folder that is named, else the environment's, else the user's own."""

from __future__ import annotations

import os
from pathlib import Path

from telemetry.own_folders import data_folder

VARIABLE = "TELEMETRY_LIBRARY"


def library_folder(named: str | os.PathLike[str] | None = None) -> Path:
    """Return the library's folder.

    Parameters
    ----------
    named : str or path, optional
        Else ``TELEMETRY_LIBRARY``, else a folder of the user's data: ``$XDG_DATA_HOME`` or ``~/.local/share``,
        ``~/Library/Application Support`` or ``%APPDATA%``.
    """
    stated = named or os.environ.get(VARIABLE)
    if stated:
        return Path(stated).expanduser().absolute()
    return data_folder() / "library"
