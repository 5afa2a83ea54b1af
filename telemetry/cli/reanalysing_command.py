"""`library reanalyse`: kept days measured anew."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .groups import AS_JSON, LIBRARY, MAX_MEMORY, library
from .searching import searching, wanted_of
from .tables import say, say_json, show

if TYPE_CHECKING:
    from telemetry.pipeline import Reanalysed

MOST_SHOWN = 20
"""Verdicts that turned; own choice."""


@library.command(epilog="Example: telemetry library reanalyse --bike 'Shop mule'")
@searching
@click.option("--anyway", is_flag=True, help="Also days that stand measured by today's definitions.")
@click.option("--at-once", metavar="N", type=click.IntRange(1, 512), help="Days at once; else one a processor.")
@click.option("--scheduler", default="", metavar="ADDRESS", help="Have a Dask cluster do it: tcp://host:8786.")
@click.option("--data-from", default="", metavar="URL", help="Where files are read: a copy of the library's folder.")
@MAX_MEMORY
@LIBRARY
@AS_JSON
def reanalyse(words: tuple[str, ...], *, folder: Path | None, as_json: bool, **asked: Any) -> None:
    """Measure kept days anew from their originals by today's definitions; what they were measured as stays beside it.

    All days; or those whose ids WORDS are, or that are found as by `telemetry find`. Ended at any moment, the same call
    goes on from there.
    """
    from telemetry.errors import CallError
    from telemetry.library import library_folder
    from telemetry.pipeline import Asked, Hands, reanalyse
    from telemetry.words import counted

    from .progress import TimeLeft

    gc.enable()  # this may take days
    chosen = Asked(names=words, wanted=wanted_of(asked), anyway=asked["anyway"])
    hands = Hands(at_once=asked["at_once"] or 0, scheduler=asked["scheduler"], data_from=asked["data_from"])
    with TimeLeft("measured") as progress:
        done = reanalyse(folder, chosen, hands, progress)
    if as_json:
        say_json(done.to_dict())
    else:
        _tell(done)
    if done.not_measured:
        what = counted(len(done.not_measured), "day") + " that can't be measured now"
        expected = "days whose originals are whole"
        raise CallError(str(library_folder(folder)), what, expected, "each is told on standard output")


def _tell(done: Reanalysed) -> None:
    from telemetry.words import counted

    changes = done.changes
    if not (changes.measured or done.not_measured):
        nothing = f"nothing to do: {counted(done.standing, 'kept day')} measured by today's definitions"
        say(f"{nothing} ({done.definitions})" if done.standing else "no kept day is like that")
        return
    say(f"measured {counted(changes.measured, 'day')} by today's definitions ({done.definitions})")
    if done.by_earlier_call:
        say(f"{done.by_earlier_call} of them by an earlier call that was ended", indent=2)
    if done.standing:
        say(f"{counted(done.standing, 'day')} stood measured by them", indent=2)
    if done.travel_made:
        say(f"{counted(done.travel_made, 'file')} of travel written: changed, or lost before", indent=2)
    if changes.alike:
        say(f"{counted(changes.alike, 'day')} gave the very same", indent=2)
    _tell_changes(done)
    for item in done.not_measured:
        say(f"{item.day} stays as it was: {item.reason}")


def _tell_changes(done: Reanalysed) -> None:
    from telemetry.sheet import table
    from telemetry.words import decimals, figure

    from .kept import kept_title

    rows = []
    for row in done.changes.measures:
        moved, places = row.largest, decimals(row.unit)
        most = (
            ["", "", ""]
            if moved is None
            else [figure(moved.old, places), figure(moved.new, places), f"{moved.day}, {moved.setup}"]
        )
        name = kept_title(row.measure, row.end, row.unit)
        rows.append([name, str(row.days), str(row.came), str(row.went), *most])
    if rows:
        say()
        columns = ["mean of a setup", "days changed", "came", "went", "most, from", "to", "on"]
        show(table(columns, rows, title="What changed", right_from=1))
    turned = done.changes.turned
    if turned:
        listed = [
            [item.day, item.setup, kept_title(item.measure, item.end), item.old or "none", item.new or "none"]
            for item in turned[:MOST_SHOWN]
        ]
        show(table(["day", "setup", "measure", "was", "is"], listed, title="Verdicts that turned", right_from=9))
        if len(turned) > MOST_SHOWN:
            say(f"and {len(turned) - MOST_SHOWN} more verdicts: --json lists all")
