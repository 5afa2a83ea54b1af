"""Tables for people: drawn on a terminal, aligned plain text when piped."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.errors import clean_json, clean_text


@dataclass(frozen=True, slots=True, kw_only=True)
class TextTable:
    """A small table; every cell is text, and text from files is cleaned of control characters."""

    title: str
    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    right_from: int = 1  # columns from this one on are numbers and stand to the right


def _plain(table: TextTable) -> str:
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


def show(table: TextTable) -> None:
    """Print a table to standard output."""
    if not sys.stdout.isatty():
        sys.stdout.write(_plain(table) + "\n")
        return
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    drawn = Table(title=Text(clean_text(table.title)) if table.title else None, title_justify="left")
    for place, name in enumerate(table.columns):
        drawn.add_column(Text(clean_text(name)), justify="right" if place >= table.right_from else "left")
    for row in table.rows:
        drawn.add_row(*(Text(clean_text(cell)) for cell in row))
    Console().print(drawn)


def say(line: str = "", *, indent: int = 0) -> None:
    """Print one line of text to standard output."""
    sys.stdout.write(" " * indent + clean_text(line, longest=4000) + "\n")


def say_json(answer: object, indent: int | None = 1) -> None:
    """Print one JSON object to standard output; on one line where `indent` is None."""
    text = json.dumps(answer, allow_nan=False, ensure_ascii=False, indent=indent)
    sys.stdout.write(clean_json(text) + "\n")
