"""The ``[log]`` table: what is pinned about the logs' form."""

from __future__ import annotations

from dataclasses import fields, replace

from telemetry.encodings import text_encoding
from telemetry.model.day import LogOptions, LongRows, TimeColumn
from telemetry.toml_tables import made

from . import tables as t
from .log_signs import Stated, wrong_signs
from .problems import Problems


def read_log_options(table: t.LogTable) -> tuple[LogOptions, LogOptions | None, LogOptions | None]:
    """Return what holds for all logs, for the front logger's and for the rear logger's."""
    general = _options(table)
    front, rear = (None if part is None else _over(_options(part), general) for part in (table.front, table.rear))
    return general, front, rear


def _options(part: t.LogPartTable) -> LogOptions:
    return made(
        LogOptions,
        part,
        time=None if part.time is None else made(TimeColumn, part.time),
        long=None if part.long is None else made(LongRows, part.long),
    )


def _over(own: LogOptions, general: LogOptions) -> LogOptions:
    """Return what holds for a part's logs: its own, else what holds for all; its clock replaces the other kind too."""
    pinned = {item.name: value for item in fields(own) if (value := getattr(own, item.name)) is not None}
    clocked = "time" in pinned or "rate_hz" in pinned
    return replace(replace(general, time=None, rate_hz=None) if clocked else general, **pinned)


def check_log(table: t.LogTable, problems: Problems) -> None:
    """Find keys that contradict each other or can't be."""
    general = _options(table)
    for name, part in (("log", table), ("log.front", table.front), ("log.rear", table.rear)):
        if part is not None:
            own = _options(part)
            _check_part(name, own, problems)
            if own.long is not None or own.rate_hz is not None or own.hex_counts:
                _check_long(name, _over(own, general), problems)
            for key, found, expected in wrong_signs(_stated(general, own, name)):
                problems.add(key, found, expected)


def _check_part(name: str, part: LogOptions, problems: Problems) -> None:
    if part.time is not None and part.rate_hz is not None:
        problems.add(f"{name}.rate_hz", "rate_hz beside time", "one of the two: rate_hz is for logs without a clock")
    _check_encoding(name, part.encoding, problems)


def _check_long(name: str, part: LogOptions, problems: Problems) -> None:
    """Find what rows of one reading each can't do with; `part` holds what is in force."""
    if part.long is None:
        return
    if part.rate_hz is not None:
        found = "rate_hz beside long"
        problems.add(f"{name}.rate_hz", found, "a time column: rows of one reading each tell no rate by their number")
    if part.hex_counts:
        problems.add(f"{name}.hex_counts", "hex_counts beside long", "readings written as decimal numbers")
    if part.long.sensor == part.long.value:
        problems.add(f"{name}.long.value", repr(part.long.value), "another column than the sensors' names stand in")


def _stated(general: LogOptions, part: LogOptions, name: str) -> Stated:
    """Return the signs in force for a part's logs: its own, else those for all logs."""
    stated: dict[str, tuple[str, str]] = {}
    for key in ("delimiter", "decimal", "thousands", "comment"):
        for holder, path in ((part, name), (general, "log")):
            value = getattr(holder, key)
            if value is not None:
                stated.setdefault(key, (value, f"{path}.{key}"))
    return stated


def _check_encoding(name: str, encoding: str | None, problems: Problems) -> None:
    if encoding is not None and text_encoding(encoding) is None:
        problems.add(f"{name}.encoding", repr(encoding), "the name of a text encoding, such as 'utf-8' or 'cp1252'")
