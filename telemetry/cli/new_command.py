"""The command `new`: a first ride day from logs, like an earlier day, or like a bike's last kept one."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from telemetry.errors import CallError

from .groups import MAX_MEMORY, telemetry
from .searching import DATE
from .tables import say

if TYPE_CHECKING:
    from telemetry.library import LastDay
    from telemetry.pipeline import Drafted

MOST_OFFERED = 9
"""Own choice."""


@telemetry.command(epilog="Example: telemetry new my_day --like last_week")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--like", metavar="EARLIER_DAY", type=click.Path(path_type=Path), help="Day of the same bike to take over."
)
@click.option("--bike", default="", metavar="NAME", help="Take over this bike's last kept day.")
@click.option("--from-nothing", is_flag=True, help="Take over no kept day.")
@click.option("--date", "ridden", metavar="DATE", type=DATE, help="Day ridden: 2026-05-16.")
@click.option(
    "--library",
    "kept_in",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="Where the bike's days are kept; else TELEMETRY_LIBRARY, else your own data.",
)
@MAX_MEMORY
def new(
    folder: Path, *, like: Path | None, bike: str, from_nothing: bool, ridden: datetime | None, kept_in: Path | None
) -> None:
    """Draft a ride_day.toml from the logs in FOLDER; it never overwrites one: `telemetry add` enters further logs.

    Where days of one bike are kept whose logs have the same columns, its last one is taken over.
    """
    from telemetry.pipeline import draft

    from .entering import drafted_sheet

    if sum(map(bool, (like, bike, from_nothing))) > 1:
        raise CallError("new", "more than one of --like, --bike, --from-nothing", "one of them")
    day = None if ridden is None else ridden.date()
    last = None if like is not None or from_nothing else _last_day(folder, kept_in, bike)
    if last is None:
        drafted_sheet(draft(folder, _today(), day, like), folder)
    else:
        drafted_sheet(_from_kept(folder, last, kept_in, day), folder)


def _today() -> date:
    return date.today()  # noqa: DTZ011 - the tuner's own day


def _last_day(folder: Path, kept_in: Path | None, bike: str) -> LastDay | None:
    """Return the kept day to take over: the one of the bike that is named, else of the only one logged so, else asked.

    A library that wasn't asked for and can't be looked into is told of, and nothing is taken over.
    """
    from telemetry.pipeline import last_days_like

    if not folder.is_dir():
        return None
    try:
        found = last_days_like(folder, kept_in, bike)
    except CallError as error:
        if kept_in is not None or bike:
            raise
        say(f"no kept day is looked for: {error.line}")
        return None
    return found[0] if len(found) == 1 else _chosen(found, folder)


def _chosen(found: Sequence[LastDay], folder: Path) -> LastDay | None:
    """Ask which bike it is, where someone sits at the terminal; elsewhere say how to take one over."""
    if not found:
        return None
    listed = ", ".join(f"{number} {own.bike} ({own.date})" for number, own in enumerate(found[:MOST_OFFERED], 1))
    more = f" and {len(found) - MOST_OFFERED} more" if len(found) > MOST_OFFERED else ""
    if sys.stdin.isatty() and sys.stdout.isatty():
        say("Several bikes' kept logs have these columns.")
        numbers = click.IntRange(0, min(len(found), MOST_OFFERED))
        given = click.prompt(f"Take over the last day of which? 0 none, {listed}{more}", type=numbers, default=0)
        return found[int(given) - 1] if given else None
    say(f"nothing is taken over: several bikes' kept logs have these columns, {listed}{more}")
    say(f"`telemetry new {folder} --bike NAME`, in place of this draft, takes over one's last day")
    return None


def _from_kept(folder: Path, last: LastDay, kept_in: Path | None, ridden: date | None) -> Drafted:
    from telemetry.pipeline import draft_from_kept

    drafted = draft_from_kept(folder, last, kept_in, today=_today(), ridden=ridden)
    say(f"taken over from {last.day}, the last kept day of {last.bike}: bike, sensors, calibration, the setup as left")
    say("not its trail, weather, rider, customer or zero. Another bike? Delete the draft: --from-nothing makes another")
    return drafted
