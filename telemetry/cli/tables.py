"""Tables and lines for people: drawn on a terminal, aligned plain text when piped; text from files is cleaned."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from shutil import get_terminal_size
from textwrap import wrap

from telemetry.errors import clean_json, clean_text
from telemetry.sheet import LONGEST_LINE, Group, Table, plain_table

LEAST_WIDTH = 60
"""Letters: a terminal narrower than that breaks lines itself; own choice."""


def show(table: Table, width: int | None = None) -> None:
    """Print a table to standard output, within a line of so many letters.

    It is plain text where nobody looks on, and on a terminal too narrow to draw it: there cells would be cut.
    """
    if not sys.stdout.isatty() or (width is not None and _drawn_width(table) > get_terminal_size((width, 24)).columns):
        sys.stdout.write(plain_table(table, width) + "\n\n")
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


def _drawn_width(table: Table) -> int:
    """Return how many letters wide a table is with its lines, if no cell is broken."""
    columns = zip(table.columns, *table.rows, strict=True)
    return 1 + sum(3 + max(len(clean_text(cell)) for cell in column) for column in columns)


def line_width(most: int) -> int:
    """Return how many letters a line has: so many at most, on a terminal no more than it is wide."""
    if not sys.stdout.isatty():
        return most
    return max(LEAST_WIDTH, min(most, get_terminal_size((most, 24)).columns))


def say(line: str = "", *, indent: int = 0) -> None:
    """Print one line of text to standard output."""
    sys.stdout.write(" " * indent + clean_text(line, longest=LONGEST_LINE) + "\n")


def say_within(line: str, width: int) -> None:
    """Print a line of text broken at words into lines of so many letters, set in as it is."""
    inset = len(line) - len(line.lstrip())
    words = clean_text(line, longest=LONGEST_LINE).strip()
    for part in wrap(words, width - inset, break_long_words=False, break_on_hyphens=False) or [""]:
        sys.stdout.write(f"{' ' * inset if part else ''}{part}\n")


def say_groups(what: str, groups: Iterable[Group]) -> None:
    """Print what shares a reason, a line a reason."""
    for group in groups:
        say(f"{what} ({group.reason}): {group.what}")


def say_json(answer: object, indent: int | None = 1) -> None:
    """Print one JSON object to standard output; on one line where `indent` is None."""
    text = json.dumps(answer, allow_nan=False, ensure_ascii=False, indent=indent)
    sys.stdout.write(clean_json(text) + "\n")
