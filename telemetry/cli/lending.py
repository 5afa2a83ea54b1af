"""Whose spread a comparison borrows, as commands are told it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from telemetry.model.day import RideDay

_LIBRARY, _ALONE = f"{__name__}.library", f"{__name__}.alone"


def _note(context: click.Context, option: click.Parameter, value: object) -> None:
    context.meta[_LIBRARY if option.name == "library" else _ALONE] = value


def lending_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that say whose spread is borrowed; `read_lent` goes by them."""
    alone = click.option(
        "--this-day-alone",
        is_flag=True,
        callback=_note,
        expose_value=False,
        help="Borrow no spread: neither of kept days nor of spread_from.",
    )
    folder = click.option(
        "--library",
        metavar="FOLDER",
        type=click.Path(path_type=Path),
        callback=_note,
        expose_value=False,
        help="Where the bike's days are kept whose spread is borrowed; else TELEMETRY_LIBRARY, else your own data.",
    )
    return folder(alone(command))


def library_told() -> Path | None:
    """Return the library that the command was told of."""
    folder: Path | None = click.get_current_context().meta.get(_LIBRARY)
    return folder


def read_lent(ride_day: Path) -> RideDay:
    """Return a ride day that borrows as the command was told.

    Raises
    ------
    RideDayError
        If it is wrong.
    """
    from telemetry.pipeline import with_kept_days
    from telemetry.ride_day import read_ride_day

    meta, day = click.get_current_context().meta, read_ride_day(ride_day)
    if meta.get(_ALONE):
        return with_kept_days(day, None)
    return day if meta.get(_LIBRARY) is None else with_kept_days(day, meta[_LIBRARY])
