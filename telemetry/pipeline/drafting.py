"""`new`: a first ride day from the logs a folder holds."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

from telemetry.errors import CallError, LogError
from telemetry.files import holds, swap_bytes
from telemetry.logs import sketch_log
from telemetry.model.log import LogSketch
from telemetry.ride_day import FILE_NAME, draft_ride_day, logs_in, unwritable_names


def draft(
    folder: str | os.PathLike[str], today: dt.date, ridden: dt.date | None = None
) -> tuple[Path, tuple[LogSketch, ...], tuple[str, ...]]:
    """Write a first ``ride_day.toml`` into a folder of logs.

    Parameters
    ----------
    folder : str or path
    today : date
    ridden : date, optional
        The day ridden, where it is stated.

    Returns
    -------
    path, sketches, refusals
        The file written, what was found in each log, and why other files weren't taken.

    Raises
    ------
    CallError
        If the folder isn't one, already holds a ride day, or holds no log that can be read; nothing is written.
    """
    place = Path(folder)
    if not place.is_dir():
        raise CallError(str(place), "no such folder", "a folder that holds the logs", "name the folder")
    file = place / FILE_NAME
    already = CallError(
        str(file), "a ride day already", "a folder without one", f"`telemetry add {place}` enters logs that it lacks"
    )
    if not holds(file, None):
        raise already
    sketches = []
    refused = [
        f"{name}: found a name that isn't text; expected one that can be written. Rename the file"
        for name in unwritable_names(place)
    ]
    for path in logs_in(place):
        try:
            sketches.append(sketch_log(path))
        except LogError as error:
            refused.append(error.line)
    if not sketches:
        why = refused[0] if refused else "no .csv, .txt, .log, .tsv or .dat file, plain or .gz"
        raise CallError(str(place), f"no log that can be read ({why})", "at least one log", "copy the logs into it")
    if not swap_bytes(file, None, draft_ride_day(sketches, today, ridden).encode("utf-8")):
        raise already
    return file, tuple(sketches), tuple(refused)
