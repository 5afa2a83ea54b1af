"""The file ``ride_day.toml`` itself: found, read and parsed."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from telemetry import toml_bounds
from telemetry.errors import CallError, Problem, RideDayError
from telemetry.toml_bounds import TomlError

FILE_NAME = "ride_day.toml"


def find_ride_day(path: str | os.PathLike[str]) -> Path:
    """Return the file itself, or the ``ride_day.toml`` a folder holds.

    Parameters
    ----------
    path : str or path

    Returns
    -------
    Path

    Raises
    ------
    CallError
        If there is none, or it is no ordinary file.
    """
    given = Path(path)
    try:
        file = given / FILE_NAME if given.is_dir() else given
        if file.is_dir():
            raise CallError(str(file), "a folder", f"a file {FILE_NAME}", "name the ride day's folder or its file")
        if not file.exists():
            remedy = f"`telemetry new {given}` drafts one from the logs in it" if given.is_dir() else "check the path"
            raise CallError(str(file), "no such file", f"a {FILE_NAME} or the folder that holds one", remedy)
        if not file.is_file():
            raise CallError(str(file), "no ordinary file", f"a {FILE_NAME}", "check the path")
        if not file.resolve().is_relative_to(file.parent.resolve()):
            remedy = "name the file it points to, or copy it here"
            raise CallError(str(file), "a link that leads out of its folder", "the file itself", remedy)
    except OSError as error:
        raise CallError(str(given), str(error.strerror).lower(), f"a {FILE_NAME}", "check the path") from None
    return file


def content(file: Path) -> bytes:
    """Return a ride day's file as it stands, read once.

    Raises
    ------
    CallError
        If it can't be read, or is far too large to be one.
    """
    try:
        return toml_bounds.read_bytes(file)
    except TomlError as error:
        raise CallError(str(file), error.found, error.expected, "check the path") from None
    except OSError as error:
        raise CallError(str(file), str(error.strerror).lower(), "a readable file", "check its permissions") from None


def text_of(data: bytes, file: Path) -> str:
    """Return a file's content as text, without a byte order mark; lines end as Python's do.

    Raises
    ------
    CallError
        If it isn't UTF-8.
    """
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        raise CallError(str(file), "text that isn't UTF-8", "UTF-8 text", "save the file as UTF-8") from None


def parse_text(text: str, name: str) -> dict[str, Any]:
    """Return a ride day's text as TOML reads it; `name` is the file's.

    Raises
    ------
    RideDayError
        If it isn't TOML, or larger or deeper than any ride day; the line or the key is named.
    """
    try:
        return toml_bounds.parse(text)
    except TomlError as error:
        raise RideDayError(name, (Problem(key="TOML", found=error.found, expected=error.expected),)) from None
