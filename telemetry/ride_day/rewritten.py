"""A ride day's tables written as TOML anew: the same keys and values, without comments."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any

from telemetry.toml_string import toml_key, toml_string


def toml_of(raw: Mapping[str, Any]) -> str:
    r"""Return tables, as TOML reads them, as text.

    Parameters
    ----------
    raw : mapping
        Of texts, numbers, truth values, dates, times, lists and tables.

    Examples
    --------
    >>> print(toml_of({"ride_day": {"title": "a", "x": 1.0}, "runs": [{"log": "1.csv", "at": [1, {"b": True}]}]}))
    [ride_day]
    title = "a"
    x = 1.0
    <BLANKLINE>
    [[runs]]
    log = "1.csv"
    at = [1, { b = true }]
    <BLANKLINE>
    """
    return "\n".join(_lines(raw, "")).lstrip("\n") + "\n"


def _lines(table: Mapping[str, Any], path: str) -> Iterator[str]:
    later = {key: value for key, value in table.items() if _is_table(value) or _are_tables(value)}
    for key, value in table.items():
        if key not in later:
            yield f"{toml_key(key)} = {_value(value)}"
    for key, value in later.items():
        name = f"{path}{toml_key(key)}"
        if _is_table(value):
            yield f"\n[{name}]"
            yield from _lines(value, f"{name}.")
        else:
            for own in value:
                yield f"\n[[{name}]]"
                yield from _lines(own, f"{name}.")


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _are_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_table, value))


def _value(value: Any) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return toml_string(value)
        case int() | float():
            return repr(value)
        case dt.date() | dt.time():
            return value.isoformat()
        case Mapping():
            inner = ", ".join(f"{toml_key(key)} = {_value(own)}" for key, own in value.items())
            return f"{{ {inner} }}" if inner else "{}"
    return f"[{', '.join(map(_value, value))}]"
