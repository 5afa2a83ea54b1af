"""What leaves for others, and comes from them: export, library pack, library take-in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import click
from click.core import ParameterSource

from telemetry.errors import CallError

from .groups import LIBRARY, MAX_MEMORY, RIDE_DAY, WITHOUT_NAMES, library, telemetry
from .lending import lending_options, library_told, read_lent
from .searching import searching, wanted_of
from .tables import say

if TYPE_CHECKING:
    from telemetry.library import Packed

Form: TypeAlias = Literal["parquet", "csv"]
NOBODY = click.option(
    "--without-names",
    is_flag=True,
    help="Leave out customer, shop, riders, notes and comments, and their names wherever they stand.",
)
OUT_ZIP = click.option(
    "--out", type=click.Path(path_type=Path), required=True, metavar="FILE.zip", help="Archive to write."
)


@telemetry.command(epilog="Example: telemetry export sample_runs/lower_leg_oil --out for_my_tools")
@RIDE_DAY
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    help="Folder to write, a new or an empty one; with --zip the archive.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["parquet", "csv"]),
    default="parquet",
    show_default=True,
    help="Of every file.",
)
@click.option(
    "--zip", "as_zip", is_flag=True, help="Pack the day whole, for another library: `telemetry library take-in`."
)
@WITHOUT_NAMES
@lending_options
@MAX_MEMORY
def export(ride_day: Path, *, out: Path, form: Form, as_zip: bool, without_names: bool) -> None:
    """Write measures, verdicts, findings, every hit and the cleaned signals as files for your own tools.

    With --zip the day's own files, its travel and its record go into one archive that another library takes in;
    RIDE_DAY may then be the id of a kept day too, and every version of it goes; --without-names then takes the names
    out of titles, files and heads of logs as well.
    """
    from telemetry import pipeline

    from .progress import ProgressLine

    if as_zip:
        _packed(_pack_one(ride_day, out, names=not without_names), out)
        return
    day = read_lent(ride_day)
    with ProgressLine(len(day.runs)) as progress, ProgressLine(len(day.runs), "writing") as writing:
        done = pipeline.export(day, out, form, names=not without_names, progress=progress, writing=writing)
    for what, why in done.without.items():
        say(f"without {what}: {why}")
    say(f"wrote {out}: {len(done.files)} files; about.json says how the signals were cleaned")
    pipeline.require_all_read(done.analysis.unread)


def _pack_one(ride_day: Path, out: Path, *, names: bool) -> Packed:
    """Pack a day of a folder, or a kept one by its id."""
    from telemetry import pipeline

    from .progress import ProgressLine

    if click.get_current_context().get_parameter_source("form") == ParameterSource.COMMANDLINE:
        raise CallError("--format", "a form of tables, with --zip", "one of the two", "leave one out")
    if not ride_day.exists() and pipeline.is_id(ride_day.name):
        return pipeline.pack_kept([ride_day.name], out, library_told(), names=names)
    day = read_lent(ride_day)
    with ProgressLine(len(day.runs)) as progress:
        return pipeline.pack_day(day, out, names=names, progress=progress)


def _packed(packed: Packed, out: Path) -> None:
    from telemetry.words import counted

    held = f"{counted(packed.versions, 'kept version')} with {counted(packed.files, 'file')}"
    say(f"wrote {out}: {held}, {packed.size / 1e6:.1f} MB; `telemetry library take-in {out}` takes it in elsewhere")


@library.command(epilog="Example: telemetry library pack --bike 'Shop mule' --out mule.zip")
@searching
@click.option("--day", "days", metavar="ID", multiple=True, help="This kept day; may be repeated.")
@OUT_ZIP
@NOBODY
@LIBRARY
def pack(*, days: tuple[str, ...], out: Path, without_names: bool, folder: Path | None, **asked: Any) -> None:
    """Pack kept days, every version of each, for another library: by their ids, or those that a search finds."""
    from telemetry import pipeline

    from .progress import ProgressLine

    if days and any(asked.values()):
        raise CallError("--day", "ids and a search", "one of the two", "leave one out")
    ids = days or pipeline.ids_found(wanted_of(asked), folder)
    with ProgressLine(len(ids), "packing") as progress:
        _packed(pipeline.pack_kept(ids, out, folder, names=not without_names, progress=progress), out)


@library.command(name="take-in", epilog="Example: telemetry library take-in mule.zip")
@click.argument("file", metavar="FILE.zip", type=click.Path(path_type=Path))
@LIBRARY
def take_in(file: Path, *, folder: Path | None) -> None:
    """Take in the days of an archive as they were kept elsewhere, all versions; twice changes nothing."""
    from telemetry.library import library_folder, take_in
    from telemetry.words import counted

    from .progress import ProgressLine

    root = library_folder(folder)
    with ProgressLine(0, "unpacking") as progress:
        taken = take_in(root, file, progress)
    for day in taken:
        if day.added:
            before = day.number - day.added
            versions = f"version {day.number}" if day.added == 1 else f"versions {before + 1} to {day.number}"
            say(f"took in {day.id}, {versions}")
        else:
            say(f"kept already as {day.id}: nothing has changed")
    say(f"{counted(sum(day.added > 0 for day in taken), 'day')} taken in, in {root}")
