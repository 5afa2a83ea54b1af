"""Tables and lines for people: drawn on a terminal, aligned plain text when piped; text from files is cleaned."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING

from telemetry.errors import clean_json, clean_text

if TYPE_CHECKING:
    from telemetry.telling.table import Group, Table


def _plain(table: Table) -> str:
    rows = [[clean_text(cell) for cell in row] for row in (table.columns, *table.rows)]
    widths = [max(len(row[place]) for row in rows) for place in range(len(table.columns))]
    lines = [clean_text(table.title)] if table.title else []
    for row in rows:
        cells = [
            cell.rjust(width) if place >= table.right_from else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines) + "\n"


def show(table: Table) -> None:
    """Print a table to standard output."""
    if not sys.stdout.isatty():
        sys.stdout.write(_plain(table) + "\n")
        return
    from rich.console import Console
    from rich.table import Table as RichTable
    from rich.text import Text

    drawn = RichTable(title=Text(clean_text(table.title)) if table.title else None, title_justify="left")
    for place, name in enumerate(table.columns):
        drawn.add_column(Text(clean_text(name)), justify="right" if place >= table.right_from else "left")
    for row in table.rows:
        drawn.add_row(*(Text(clean_text(cell)) for cell in row))
    Console().print(drawn)


def say(line: str = "", *, indent: int = 0) -> None:
    """Print one line of text to standard output."""
    sys.stdout.write(" " * indent + clean_text(line, longest=4000) + "\n")


def say_groups(what: str, groups: Iterable[Group]) -> None:
    """Print what shares a reason, a line a reason."""
    for group in groups:
        say(f"{what} ({group.reason}): {group.what}")


def say_json(answer: object, indent: int | None = 1) -> None:
    """Print one JSON object to standard output; on one line where `indent` is None."""
    text = json.dumps(answer, allow_nan=False, ensure_ascii=False, indent=indent)
    sys.stdout.write(clean_json(text) + "\n")
