"""The ``[log]`` table: what is pinned about the logs' form."""

from __future__ import annotations

from typing import Any

from telemetry.encodings import text_encoding
from telemetry.model.day import LogOptions, TimeColumn

from . import tables as t
from .log_signs import Stated, wrong_signs
from .problems import Problems


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
            for key, found, expected in wrong_signs(_stated(table, part, name)):
                problems.add(key, found, expected)


def _check_part(name: str, part: t.LogPartTable, problems: Problems) -> None:
    if part.time is not None and part.rate_hz is not None:
        problems.add(f"{name}.rate_hz", "rate_hz beside time", "one of the two: rate_hz is for logs without a clock")
    _check_encoding(name, part.encoding, problems)


def _stated(table: t.LogTable, part: t.LogPartTable, name: str) -> Stated:
    """Return the signs in force for a part's logs: its own, else those for all logs."""
    stated: dict[str, tuple[str, str]] = {}
    for key in ("delimiter", "decimal", "thousands", "comment"):
        for holder, path in ((part, name), (table, "log")):
            value = getattr(holder, key)
            if value is not None:
                stated.setdefault(key, (value, f"{path}.{key}"))
    return stated


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
