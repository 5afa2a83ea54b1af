"""What commands hang on: the program, its library, and the arguments and options that several take."""

from __future__ import annotations

from pathlib import Path

import click

from telemetry import __version__, memory
from telemetry.errors import CallError

RIDE_DAY = click.argument("ride_day", metavar="RIDE_DAY", type=click.Path(path_type=Path))
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")


def _state_ceiling(_context: click.Context, _option: click.Parameter, written: str | None) -> None:
    """Tell the whole process the most memory it may take; without a ceiling it is half of what is free."""
    ceiling = None if written is None else memory.ceiling_of(written)
    if written is not None and ceiling is None:
        least = f"{memory.LEAST_CEILING / 1e9:g} GB"
        raise CallError("--max-memory", repr(written), f"a size from {least} on with its unit, such as 4GB or 800MB")
    memory.state_ceiling(ceiling)


WITHOUT_NAMES = click.option(
    "--without-names", is_flag=True, help="Leave out rider, customer, shop and notes; titles and file names stay."
)
MAX_MEMORY = click.option(
    "--max-memory",
    metavar="SIZE",
    callback=_state_ceiling,
    expose_value=False,
    help="Most memory to take, such as 4GB; a log that takes more is refused. Else half of what is free.",
)
LIBRARY = click.option(
    "--library",
    "folder",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="Where days are kept; else TELEMETRY_LIBRARY, else a folder of your own data.",
)


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Example: telemetry report sample_runs/lower_leg_oil --out report.html",
)
@click.version_option(__version__, message="telemetry %(version)s")
def telemetry() -> None:
    """Show on evidence whether a change to a fork, shock or linkage worked.

    RIDE_DAY is a ride_day.toml or the folder that holds one.
    """


@telemetry.group()
def library() -> None:
    """Care for the folder of kept days: check, backup, take-out, reanalyse; pack days, take in others'."""
