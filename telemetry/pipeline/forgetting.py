"""`forget`: a customer's data removed from the library; each of their days is read again before anything is changed."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

from telemetry import library
from telemetry.errors import TelemetryError
from telemetry.library import Forgotten, Kept, Toml, unforgettable
from telemetry.ride_day import read_ride_day, without_customer


def forget(customer: str, folder: str | os.PathLike[str] | None = None) -> Forgotten:
    """Remove a customer's name, their words for their bike, and the name wherever else it stands; measurements stay.

    Parameters
    ----------
    customer : str
        Their name as it was written, whatever its capitals.
    folder : str or path, optional
        Of the library.

    Raises
    ------
    CallError
        If there is no such customer, or a day couldn't be read without the name; then nothing is changed.
    """
    root = library.library_folder(folder)
    with library.reading(root):  # a library isn't begun by this
        pass
    name = library.pattern_of(customer)

    def check(file: Path, kept: Kept) -> None:
        try:
            day = read_ride_day(file)
        except TelemetryError as error:
            raise unforgettable(kept, error.line) from None
        if [run.name for run in day.runs] != [run.name for run in kept.runs]:
            raise unforgettable(kept, "runs of other names")
        if any(day.customer.values()) or name.search(day.source.decode("utf-8", "replace")):
            raise unforgettable(kept, "the name, still there")

    today = dt.datetime.now(dt.UTC).date().isoformat()
    return library.forget(root, customer, Toml(without=without_customer, check=check), today)
