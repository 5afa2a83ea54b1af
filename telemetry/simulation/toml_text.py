"""A plain table as TOML: enough for a ride day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from telemetry.toml_string import toml_key, toml_string


def _single(value: object) -> str | None:
    if isinstance(value, str):
        return toml_string(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, float):
        return repr(round(value, 9))
    return str(value) if isinstance(value, int) else None


def _value(value: object) -> str:
    single = _single(value)
    if single is not None:
        return single
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{toml_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, Sequence):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    raise TypeError(f"no TOML for {type(value).__name__}")


def toml_text(tables: Mapping[str, object]) -> str:
    """Return tables as TOML text.

    Parameters
    ----------
    tables : mapping of dotted table name to its keys
        A list of mappings makes an array of tables. Mappings beneath stand inline.

    Examples
    --------
    >>> print(toml_text({"bike.front": {"travel_mm": 170}, "runs": [{"log": "a.csv"}]}), end="")
    [bike.front]
    travel_mm = 170
    <BLANKLINE>
    [[runs]]
    log = "a.csv"
    """
    blocks = []
    for name, table in tables.items():
        many = isinstance(table, list)
        for entry in table if isinstance(table, list) else [table]:
            if not isinstance(entry, Mapping):
                raise TypeError(f"{name} is no table")
            head = f"[[{name}]]" if many else f"[{name}]"
            blocks.append(
                "\n".join([head, *(f"{toml_key(k)} = {_value(v)}" for k, v in entry.items() if v is not None)])
            )
    return "\n\n".join(blocks) + "\n"
