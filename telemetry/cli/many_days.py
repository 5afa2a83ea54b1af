"""Commands over many kept days: the same change put together, and where bikes of a kind lie."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .groups import AS_JSON, LIBRARY, telemetry
from .searching import unseen, wanted_of
from .tables import say, say_json, show

if TYPE_CHECKING:
    from telemetry.model.together import DaysTogether
    from telemetry.sheet import Sheet


@telemetry.command(epilog="Example: telemetry together --change lower_leg_oil_each_ml=less --trail quarry")
@click.argument("days", nargs=-1)
@click.option("--change", default="", metavar="KEY", help="What was changed: KEY or front.KEY, with =less or =more.")
@unseen
@click.option("--with-open", "open_too", is_flag=True, help="Take days too whose comparison leaves something open.")
@click.option(
    "--proportional", is_flag=True, help="Put unlike sizes to the middle one: twice as much does twice as much."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the page with its figure; .pdf prints it.")
@LIBRARY
@AS_JSON
def together(days: tuple[str, ...], *, change: str, out: Path | None, folder: Path | None, **asked: Any) -> None:
    """Put the same change on several kept DAYS together: their mean, how far days differ, where a next one lies."""
    from telemetry import pipeline

    as_json = asked.pop("as_json")
    how = {name: asked.pop(name) for name in ("open_too", "proportional")}
    found = pipeline.together(days, change, folder, wanted=wanted_of(asked), **how)
    if out is not None:
        _write_page(found, out)
    if as_json:
        say_json(found.to_dict())
        return
    from telemetry.telling.together import together_sheet

    _say_sheet(together_sheet(found))


def _write_page(found: DaysTogether, out: Path) -> None:
    """Write the page, or print it."""
    from dashboards.report import chromium, printed, render_together
    from telemetry.files import check_writable, write_bytes

    check_writable(out)
    printer = chromium() if out.suffix.lower() == ".pdf" else None
    page = render_together(found)
    write_bytes(out, page.encode() if printer is None else printed(page, printer))
    click.echo(f"wrote {out}", err=True)


@telemetry.command(epilog="Example: telemetry bikes enduro --beside 'Shop mule'")
@click.argument("kind", default="")
@click.option("--beside", default="", metavar="BIKE", help="A bike to hold beside them.")
@click.option("--measure", "measures", multiple=True, metavar="MEASURE", help="Show this one; may be repeated.")
@LIBRARY
@AS_JSON
def bikes(kind: str, *, beside: str, measures: tuple[str, ...], folder: Path | None, as_json: bool) -> None:
    """Show where the bikes of a KIND lie, each as it was left on its last kept day: no target, and never a grade."""
    from telemetry import pipeline

    found = pipeline.bikes_of_kind(kind, folder, beside=beside)
    if as_json:
        say_json(found.to_dict())
        return
    from telemetry.library import ASKED_FIRST
    from telemetry.telling.kind_ranges import kind_sheet

    _say_sheet(kind_sheet(found, measures or ASKED_FIRST))


def _say_sheet(sheet: Sheet) -> None:
    for part in sheet:
        if isinstance(part, str):
            say(part)
        else:
            say()
            show(part)
