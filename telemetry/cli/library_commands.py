"""Commands of the library: keep, find, history, settings, forget, and its care."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from .groups import AS_JSON, LIBRARY, MAX_MEMORY, RIDE_DAY, library, telemetry
from .searching import searching, wanted_of
from .tables import say, say_json, show

BIKE = click.argument("bike")


@telemetry.command(epilog="Example: telemetry keep sample_runs/lower_leg_oil --library days")
@RIDE_DAY
@LIBRARY
@MAX_MEMORY
def keep(ride_day: Path, *, folder: Path | None) -> None:
    """Keep a day for later: its files untouched, what was measured and decided. Twice the same changes nothing."""
    from telemetry import pipeline
    from telemetry.ride_day import read_ride_day

    from .progress import ProgressLine

    day = read_ride_day(ride_day)
    with ProgressLine(len(day.runs)) as progress:
        kept = pipeline.keep(day, folder, progress)
    version = f"{kept.put.id}, version {kept.put.number}"
    if kept.analysis is None:
        say(f"kept already as {version}, in {kept.folder}: nothing has changed")
        return
    say(f"kept as {version}, in {kept.folder}")
    say(kept.headline)
    for run in kept.analysis.runs:
        if run.usable == "ride again":
            say(f"{run.entry.name} is kept, and not measured: `telemetry check` says why", indent=2)
    if not day.bike.name:
        say("it states no [bike] name: `history` and `settings` go by that", indent=2)


@telemetry.command(epilog="Example: telemetry find quarry --setting lower_leg_oil_each_ml=8 --verdict changed")
@searching
@LIBRARY
@AS_JSON
def find(*, folder: Path | None, as_json: bool, **asked: Any) -> None:
    """Find kept days, newest first: every one of WORDS stands in what was written of them."""
    from telemetry import library

    from .kept import found_sheet

    wanted = wanted_of(asked)
    with library.reading(library.library_folder(folder)) as catalogue:
        found = library.find(catalogue, wanted)
    if as_json:
        say_json({"days": [day.to_dict() for day in found]})
    else:
        found_sheet(found)


@telemetry.command(epilog="Example: telemetry history 'Shop mule'")
@BIKE
@click.option("--measure", "measures", multiple=True, metavar="MEASURE", help="Show this one; may be repeated.")
@LIBRARY
@AS_JSON
def history(bike: str, *, measures: tuple[str, ...], folder: Path | None, as_json: bool) -> None:
    """Show what was measured of BIKE over its kept days: the mean of each setup's runs, with its 95 % interval."""
    from telemetry import library

    from .kept import history_sheet

    with library.reading(library.library_folder(folder)) as catalogue:
        found = library.history(catalogue, bike, measures)
    if as_json:
        say_json(found.to_dict())
    else:
        history_sheet(found, every=bool(measures))


@telemetry.command(epilog="Example: telemetry settings 'Shop mule'")
@BIKE
@LIBRARY
@AS_JSON
def settings(bike: str, *, folder: Path | None, as_json: bool) -> None:
    """Show what was on BIKE as it was left: the setup of the last run of its last kept day."""
    from telemetry import library

    from .kept import left_tables, left_title

    with library.reading(library.library_folder(folder)) as catalogue:
        left = library.settings(catalogue, bike)
    if as_json:
        say_json(left.to_dict())
        return
    say(left_title(left))
    say()
    for found in left_tables(left):
        show(found)


@telemetry.command(epilog="Example: telemetry forget 'Their Name'")
@click.argument("customer")
@LIBRARY
def forget(customer: str, *, folder: Path | None) -> None:
    """Remove CUSTOMER from the library, their name out of every kept file too; the measurements stay."""
    from telemetry import pipeline
    from telemetry.words import counted

    done = pipeline.forget(customer, folder)
    say(f"removed from {counted(len(done.days), 'kept day')}: {', '.join(done.days)}")
    say(f"{counted(done.files, 'file')} written anew without the name; the measurements stayed as they are")
    say("your own folders, reports, exports and backups still hold it")


@library.command(epilog="Example: telemetry library check")
@LIBRARY
@AS_JSON
def check(*, folder: Path | None, as_json: bool) -> None:
    """Read every kept file and hold it against what was kept; mend what can be mended."""
    from telemetry.errors import CallError
    from telemetry.library import library_folder, look_over
    from telemetry.words import counted

    from .progress import ProgressLine

    root = library_folder(folder)
    with ProgressLine(0, "looking at") as progress:
        found = look_over(root, progress)
    if as_json:
        say_json(found.to_dict())
    else:
        for line in (*found.mended, *found.left):
            say(line)
        good = "; all of it is whole" if not found.left else ""
        say(f"looked at {counted(found.versions, 'kept version')} with {counted(found.files, 'file')}{good}")
    if found.left:
        what = counted(len(found.left), "thing") + " that can't be mended here"
        raise CallError(str(root), what, "a whole library", "each is told on standard output")


@library.command(epilog="Example: telemetry library backup /media/stick/days")
@click.argument("to", type=click.Path(path_type=Path))
@LIBRARY
def backup(to: Path, *, folder: Path | None) -> None:
    """Copy the whole library into the new folder TO, also while days are being kept."""
    from telemetry.library import back_up, library_folder
    from telemetry.words import counted

    from .progress import ProgressLine

    with ProgressLine(0, "copying") as progress:
        versions = back_up(library_folder(folder), to, progress)
    say(f"wrote {to}: {counted(versions, 'kept version')}; `--library {to}` looks into it")


@library.command(name="take-out", epilog="Example: telemetry library take-out 2026-05-16-3f9a21")
@click.argument("day")
@LIBRARY
def take_out(day: str, *, folder: Path | None) -> None:
    """Take the kept DAY out whole: every version, with the files that no other day holds."""
    from telemetry.library import library_folder, take_out
    from telemetry.words import counted

    versions = take_out(library_folder(folder), day)
    say(f"took out {day}: {counted(versions, 'version')}")
