"""`new` from what is kept: whose last day logs may be a further one of, and a draft like it."""

from __future__ import annotations

import datetime as dt
import os
from contextlib import suppress
from pathlib import Path

from telemetry import library
from telemetry.errors import CallError, LogError
from telemetry.library import LastDay
from telemetry.logs import layout_of
from telemetry.model.day import LogOptions
from telemetry.ride_day import Pattern, as_left, logs_in

from .drafting import Drafted, draft
from .kept_days import open_library


def last_days_like(
    folder: str | os.PathLike[str], kept_in: str | os.PathLike[str] | None = None, bike: str = ""
) -> tuple[LastDay, ...]:
    """Return the last kept days that the logs of a folder may be followed up by, newest first.

    Parameters
    ----------
    folder : str or path
        That holds logs.
    kept_in : str or path, optional
        The library; else ``TELEMETRY_LIBRARY``, else the user's data folder, where there is one.
    bike : str
        Its name, or a part that no other's holds: then its last day alone. Else one day of every bike whose kept logs
        have the same columns as one of these.

    Raises
    ------
    CallError
        If a library or a bike was asked for that there isn't, or the catalogue isn't whole.
    """
    root = library.library_folder(kept_in)
    if not (kept_in or bike) and not library.is_begun(root):
        return ()
    with library.reading(root) as catalogue:
        if bike:
            return (library.last_day_of(catalogue, bike),)
        return library.last_days_logged_so(catalogue, _layouts(Path(folder)))


def _layouts(folder: Path) -> set[str]:
    found = set()
    for log in logs_in(folder):
        with suppress(LogError):
            found.add(layout_of(log, LogOptions()))
    return found - {""}


def draft_from_kept(
    folder: str | os.PathLike[str],
    last: LastDay,
    kept_in: str | os.PathLike[str] | None = None,
    *,
    today: dt.date,
    ridden: dt.date | None = None,
) -> Drafted:
    """Write a first ``ride_day.toml`` like a bike's last kept day; it never overwrites one.

    Parameters
    ----------
    folder : str or path
    last : LastDay
    kept_in : str or path, optional
        The library.
    today : date
    ridden : date, optional
        The day ridden, where it is stated.

    Raises
    ------
    CallError
        As `draft`; or if the kept day isn't whole, or has a form that can't be taken over.
    """
    with open_library(kept_in) as days:
        day = days.day(last.day, last.number)
        name = day.customer.get("name", "")
        names = library.pattern_of(name)
        try:
            pattern, left = as_left(day, lambda text: names.sub(library.REMOVED, text) if name else text)
        except CallError as error:
            raise CallError(last.day, error.found, error.expected, "`--from-nothing` drafts without it") from None
        return draft(folder, today, ridden, Pattern(day=pattern, named=_named(last), left=left))


def _named(last: LastDay) -> str:
    return f"the kept day {last.day} of {last.bike}"
