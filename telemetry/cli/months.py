"""Commands over many kept days: the same change put together."""

from __future__ import annotations

from datetime import datetime

import click

from .commands import AS_JSON
from .library_commands import DATE, LIBRARY
from .packing_commands import telemetry
from .tables import say, say_json, show

__all__ = ["telemetry"]


@telemetry.command(epilog="Example: telemetry together --change lower_leg_oil_each_ml=less --trail quarry")
@click.argument("days", nargs=-1)
@click.option("--change", default="", metavar="KEY", help="What was changed: KEY or front.KEY, with =less or =more.")
@click.option("--bike", default="", help="Part of the bike's name.")
@click.option("--customer", default="", help="Part of the customer's name, or of their words for the bike.")
@click.option("--trail", default="", help="Part of the trail's name.")
@click.option("--setting", "settings", metavar="KEY=VALUE", multiple=True, help="In force in a setup; as in `find`.")
@click.option("--from", "since", metavar="DATE", type=DATE, help="First date: 2026-05-16.")
@click.option("--to", "until", metavar="DATE", type=DATE, help="Last date.")
@click.option("--with-open", "open_too", is_flag=True, help="Take days too whose comparison leaves something open.")
@click.option(
    "--proportional", is_flag=True, help="Put unlike sizes to the middle one: twice as much does twice as much."
)
@LIBRARY
@AS_JSON
def together(*, since: datetime | None, until: datetime | None, **asked: object) -> None:
    """Put the same change on several kept DAYS together: their mean, how far days differ, where a next one lies."""
    from telemetry import library, pipeline

    as_json, folder = asked.pop("as_json"), asked.pop("folder")
    days, change = asked.pop("days"), asked.pop("change")
    how = {name: asked.pop(name) for name in ("open_too", "proportional")}
    first, last = ("" if date is None else date.date().isoformat() for date in (since, until))
    wanted = library.Wanted(since=first, until=last, **asked)  # type: ignore[arg-type]
    found = pipeline.together(days, change, folder, wanted=wanted, **how)  # type: ignore[arg-type]
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
