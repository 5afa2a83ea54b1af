"""A ride day without names: its text without the table of its customer, or its tables without anybody's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .edited import Change, UnchangeableError, edited
from .lines import with_own_ends
from .parts import parts_of

CUSTOMER, SHOP = "customer", "shop"
MARK = "\ufeff"


def without_customer(text: str) -> str:
    r"""Return the text of a ride day's file without ``[customer]``, and the comments within it.

    Parameters
    ----------
    text : str
        Valid TOML. One that says it in a form that can't be changed comes back as it was.

    Examples
    --------
    >>> without_customer('[bike]\n[customer]\nname = "A"\n# B\nbike = "C"\n[shop]\n')
    '[bike]\n[shop]\n'
    """
    mark = MARK if text.startswith(MARK) else ""
    old = text.removeprefix(mark)
    plain = old.replace("\r\n", "\n").replace("\r", "\n")
    try:
        parts = parts_of(plain)
        if not any(CUSTOMER in part.says for part in parts):
            return text
        tables = [part for part in parts if CUSTOMER in part.header]
        shorter = "".join(plain[part.filled if part in tables else part.start : part.end] for part in parts)
        changed = shorter if tables else edited(plain, Change(way=(CUSTOMER,), keys={"name": None, "bike": None}))
    except (UnchangeableError, ValueError):
        return text
    return mark + with_own_ends(old, changed)


def names_said(raw: Mapping[str, Any]) -> set[str]:
    """Return the names that a ride day's file says: of customer, shop and riders.

    Parameters
    ----------
    raw : mapping
        Of a valid file, as TOML reads it.
    """
    found = {raw.get(CUSTOMER, {}).get("name"), *(raw.get(SHOP, {}).get(key) for key in ("name", "contact"))}
    return {name for name in (*found, *_riders(raw)) if name}


def _riders(raw: Mapping[str, Any]) -> list[str]:
    told = [raw.get("ride_day", {}), *raw.get("runs", ())]
    return list(dict.fromkeys(table["rider"] for table in told if table.get("rider")))


def unnamed(raw: Mapping[str, Any], mark: str, because: str) -> dict[str, Any]:
    """Return a ride day's tables without customer, shop, and what was noted of runs; riders get marks.

    Parameters
    ----------
    raw : mapping
        Of a valid file, as TOML reads it.
    mark : str
        Riders are told apart by it, with a number: they tell whether a comparison is fair.
    because : str
        What stands in place of why a run is left out.
    """
    marks = {rider: f"{mark}-{number}" for number, rider in enumerate(_riders(raw), start=1)}
    changed = {key: value for key, value in raw.items() if key not in {CUSTOMER, SHOP}}
    for key in {"ride_day", "runs"} & changed.keys():
        value = changed[key]
        several = isinstance(value, list)
        changed[key] = [_of_run(own, marks, because) for own in value] if several else _of_run(value, marks, because)
    return changed


def _of_run(table: Mapping[str, Any], marks: Mapping[str, str], because: str) -> dict[str, Any]:
    new = {"leave_out": because, "rider": marks.get(table.get("rider", ""), "")}
    return {key: new.get(key, value) for key, value in table.items() if key != "note"}
