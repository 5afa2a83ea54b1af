"""Commands over many kept days: the same change put together."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from .commands import AS_JSON
from .library_commands import LIBRARY
from .packing_commands import telemetry
from .searching import unseen, wanted_of
from .tables import say, say_json, show

__all__ = ["telemetry"]


@telemetry.command(epilog="Example: telemetry together --change lower_leg_oil_each_ml=less --trail quarry")
@click.argument("days", nargs=-1)
@click.option("--change", default="", metavar="KEY", help="What was changed: KEY or front.KEY, with =less or =more.")
@unseen
@click.option("--with-open", "open_too", is_flag=True, help="Take days too whose comparison leaves something open.")
@click.option(
    "--proportional", is_flag=True, help="Put unlike sizes to the middle one: twice as much does twice as much."
)
@LIBRARY
@AS_JSON
def together(days: tuple[str, ...], *, change: str, folder: Path | None, as_json: bool, **asked: Any) -> None:
    """Put the same change on several kept DAYS together: their mean, how far days differ, where a next one lies."""
    from telemetry import pipeline

    how = {name: asked.pop(name) for name in ("open_too", "proportional")}
    found = pipeline.together(days, change, folder, wanted=wanted_of(asked), **how)
    if as_json:
        say_json(found.to_dict())
        return
    from telemetry.telling.together import together_sheet

    for part in together_sheet(found):
        if isinstance(part, str):
            say(part)
        else:
            say()
            show(part)
