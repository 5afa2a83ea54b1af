"""The handbook's page of log layouts, made from the table.

python -m tests.layouts.page        # writes docs/logs.md anew
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from telemetry.ride_day import LOG_ENDINGS
from tests.layouts.layout import Layout
from tests.layouts.table import NOT_READ, TABLE

PAGE = Path(__file__).parents[2] / "docs" / "logs.md"
LINES = 5
LONGEST = 110
HEAD = """\
# Which logs are read?

{count} layouts, each with five of its lines and with what is to be written in [`ride_day.toml`](ride_day.md) to have it
read. All of them hold the same simulated ride, and each gives the measures of the plain wide log to 0.1 %, those of
speed to 0.5 %. A layout that isn't here is read as well where it is put together of these: a delimiter from one, a
clock from another.

`telemetry new FOLDER` takes every file that ends in {endings}, plain or
packed by gzip. It finds out how a log is written and drafts the day; what it can't know it asks in lines marked
TO DO. What no log can say is yours to write in any case, and isn't repeated below: full travel, and the readings that
belong to it (`points = [[212, 0.0], [3770, 170.0]]`). What else is to be written of a layout stands beneath it;
*nothing* means that the draft has it all.

This page is made from the table that the tests use, in `tests/layouts`: `python -m tests.layouts.page` makes it anew.
"""
FOUND_OUT = "To write: nothing."
ASKED = "Asked until it is written:"
WRITTEN = "To write:"
REFUSED = "Not read, and told so."


def page_text(table: Mapping[str, tuple[Layout, ...]], not_read: Mapping[str, tuple[Layout, ...]]) -> str:
    """Return the page."""
    endings = ", ".join(f"`{ending}`" for ending in LOG_ENDINGS[:-1]) + f" or `{LOG_ENDINGS[-1]}`"
    parts = [HEAD.format(count=sum(map(len, table.values())), endings=endings)]
    for heading, layouts in {**table, **not_read}.items():
        parts.append(f"## {heading}\n")
        parts += ["\n".join(_section(layout)) for layout in layouts]
    return "\n".join(parts)


def _section(layout: Layout) -> Iterator[str]:
    yield f"### {layout.name[0].upper()}{layout.name[1:]}\n"
    for name in layout.files:
        if len(layout.files) > 1:
            yield f"`{name}`\n"
        yield "```text"
        yield from _sample(layout, name)
        yield "```\n"
    written = list(_written(layout))
    if layout.asked and not written:
        yield f"{REFUSED} {layout.said}\n"
        return
    if not written:
        yield f"{FOUND_OUT}{' ' if layout.said else ''}{layout.said}\n"
        return
    yield f"{ASKED if layout.asked else WRITTEN}\n"
    yield "```toml"
    yield from written
    yield "```\n"
    if layout.said:
        yield f"{layout.said}\n"


def _sample(layout: Layout, name: str) -> Iterator[str]:
    """Yield five lines of a file, in pieces with a gap between."""
    lines, pieces = layout.lines(layout.files[name]), len(layout.shown)
    for place, first in enumerate(layout.shown):
        count = LINES // pieces + (LINES % pieces if place == pieces - 1 else 0)
        yield from (["..."] if place else [])
        for line in lines[first : first + count]:
            yield line.rstrip() if len(line) <= LONGEST else f"{line[:LONGEST]} ..."


def _written(layout: Layout) -> Iterator[str]:
    if layout.log:
        yield "[log]"
        yield from layout.log
    for name, lines in layout.sensors.items():
        yield f"[sensors.{name or 'imu'}]"
        yield from lines


if __name__ == "__main__":
    PAGE.write_text(page_text(TABLE, NOT_READ), encoding="utf-8")
