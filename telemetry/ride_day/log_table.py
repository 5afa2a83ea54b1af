"""The ``[log]`` table: what is pinned about the logs' form."""

from __future__ import annotations

from typing import Any

from telemetry.encodings import text_encoding
from telemetry.model.day import LogOptions, TimeColumn

from . import tables as t
from .problems import Problems

BLANKS = "blanks"
"""Stands for cells parted by runs of blanks."""


def read_log_options(table: t.LogTable) -> tuple[LogOptions, LogOptions | None, LogOptions | None]:
    """Return what holds for all logs, for the front logger's and for the rear logger's."""
    front = None if table.front is None else _options(table.front, table)
    rear = None if table.rear is None else _options(table.rear, table)
    return _options(table), front, rear


def check_log(table: t.LogTable, problems: Problems) -> None:
    """Find keys that contradict each other or can't be."""
    for name, part in (("log", table), ("log.front", table.front), ("log.rear", table.rear)):
        if part is not None:
            _check_part(name, part, problems)


def _check_part(name: str, part: t.LogPartTable, problems: Problems) -> None:
    if part.time is not None and part.rate_hz is not None:
        problems.add(f"{name}.rate_hz", "rate_hz beside time", "one of the two: rate_hz is for logs without a clock")
    if part.delimiter is not None and len(part.delimiter) != 1 and part.delimiter != BLANKS:
        problems.add(f"{name}.delimiter", repr(part.delimiter), f"one character, or {BLANKS!r}")
    if part.thousands is not None and len(part.thousands) != 1:
        problems.add(f"{name}.thousands", repr(part.thousands), "one character")
    if part.decimal is not None:
        for key in ("delimiter", "thousands"):
            if getattr(part, key) == part.decimal:
                problems.add(f"{name}.{key}", f"{part.decimal!r}, the decimal sign too", "another character")
    if part.comment is not None and not part.comment.strip():
        problems.add(f"{name}.comment", repr(part.comment), "what lines that aren't rows begin with")
    _check_encoding(name, part.encoding, problems)


def _check_encoding(name: str, encoding: str | None, problems: Problems) -> None:
    if encoding is not None and text_encoding(encoding) is None:
        problems.add(f"{name}.encoding", repr(encoding), "the name of a text encoding, such as 'utf-8' or 'cp1252'")


def _options(part: t.LogPartTable, general: t.LogPartTable | None = None) -> LogOptions:
    def pinned(key: str) -> Any:
        value = getattr(part, key)
        return getattr(general, key) if value is None and general is not None else value

    clocked = part.time is not None or part.rate_hz is not None or general is None
    clock = part if clocked or general is None else general  # a part's own clock replaces the other kind too
    return LogOptions(
        time=None if clock.time is None else TimeColumn(column=clock.time.column, unit=clock.time.unit),
        rate_hz=clock.rate_hz,
        delimiter=pinned("delimiter"),
        decimal=pinned("decimal"),
        thousands=pinned("thousands"),
        encoding=pinned("encoding"),
        header_row=pinned("header_row"),
        comment=pinned("comment"),
        day_first=pinned("day_first"),
        hex_counts=pinned("hex_counts"),
    )
