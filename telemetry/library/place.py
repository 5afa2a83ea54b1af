"""Where the days are kept: a folder that is named, else the environment's, else the user's own."""

from __future__ import annotations

import os
import sys
from pathlib import Path

PROGRAM = "suspension-telemetry"
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
    if sys.platform == "win32":
        base = os.environ.get("APPDATA") or str(Path.home() / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Application Support")
    else:
        base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / PROGRAM / "library"
