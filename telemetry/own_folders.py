"""Where this program keeps what is a user's: what stays, and what it can work out again."""

from __future__ import annotations

import os
import sys
from pathlib import Path

PROGRAM = "suspension-telemetry"


def _folder(*, windows: tuple[str, str], mac: str, else_in: tuple[str, str]) -> Path:
    """Return this program's folder in the platform's own; `windows` and `else_in`: a variable, and a path from home."""
    if sys.platform == "darwin":
        return Path.home() / "Library" / mac / PROGRAM
    variable, usual = windows if sys.platform == "win32" else else_in
    return Path(os.environ.get(variable) or Path.home() / usual) / PROGRAM


def data_folder() -> Path:
    """Return where this user's data of the program stay."""
    return _folder(
        windows=("APPDATA", "AppData/Roaming"),
        mac="Application Support",
        else_in=("XDG_DATA_HOME", ".local/share"),
    )


def cache_folder() -> Path:
    """Return where this user's programs keep what they can work out again."""
    return _folder(windows=("LOCALAPPDATA", "AppData/Local"), mac="Caches", else_in=("XDG_CACHE_HOME", ".cache"))
