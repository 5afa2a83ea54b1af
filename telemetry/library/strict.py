"""What came from elsewhere, held to what ours is written as: JSON letter by letter, tables by their data types."""

from __future__ import annotations

import dataclasses
import json
import types
from collections.abc import Mapping
from functools import cache
from typing import Any, Literal, NoReturn, Union, get_args, get_origin, get_type_hints

from .record import json_of

DEEPEST = 40
"""Of tables within tables; ours are a quarter as deep. Own choice."""
FEWEST_BYTES, FEW = 5, 100
"""Bytes that a value takes at least on the whole, but for so few; ours take three times as many: what is read of JSON
takes memory by its values. Own choice."""
LARGEST = 2**53
"""Of a whole number: every program reads those beneath exactly (RFC 8259, section 6)."""


def read_json(data: bytes) -> Any:
    """Return what JSON says that is written as ours.

    Raises
    ------
    ValueError
        If it isn't: no JSON, no UTF-8, a key twice, other blanks, a number that is none or endless, too deep.
    """
    if sum(map(data.count, (b",", b"[", b"{"))) > FEW + len(data) // FEWEST_BYTES:
        raise ValueError("far more values than letters in them")
    try:
        raw = json.loads(data.decode("utf-8", "surrogatepass"), parse_constant=_no_number)
        _check_depth(raw, DEEPEST)
        again = json_of(raw)
    except RecursionError:
        raise ValueError("tables within tables without end") from None
    if again != data:
        raise ValueError("JSON that this program doesn't write so")
    return raw


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text}, which is no number")


def _check_depth(raw: Any, most: int) -> None:
    if most == 0:
        raise ValueError(f"tables more than {DEEPEST} deep")
    if isinstance(raw, dict | list):
        for own in raw.values() if isinstance(raw, dict) else raw:
            _check_depth(own, most - 1)
    elif isinstance(raw, int) and abs(raw) > LARGEST:
        raise ValueError("a number beyond every count")


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def require_shape(kind: Any, raw: Any, where: str) -> None:
    """Refuse what a data type doesn't hold.

    Parameters
    ----------
    kind : type
        A data class; or a type of its fields: text, number, truth value, literal, tuple, mapping, any of several.
    raw : any
        As JSON gives it.
    where : str
        What it is called when it is told.

    Raises
    ------
    ValueError
    """
    if not _fits(kind, raw, where):
        raise ValueError(f"{where} of another kind ({type(raw).__name__})")


def _fits(kind: Any, raw: Any, where: str) -> bool:
    """Tell whether a value is of a kind; what stands within it is refused by itself."""
    if dataclasses.is_dataclass(kind):
        return _fits_table(kind, raw, where)
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Literal:
        return isinstance(raw, str) and raw in parts
    if origin in (Union, types.UnionType):
        return any(_fits(part, raw, where) for part in parts)
    if origin is tuple:
        return isinstance(raw, list) and _all_fit(parts[0], {str(place): own for place, own in enumerate(raw)}, where)
    if origin is not None and issubclass(origin, Mapping):
        return isinstance(raw, dict) and _all_fit(parts[1], raw, where)
    return kind is Any or _is_plain(kind, raw)


def _all_fit(kind: Any, raw: Mapping[str, Any], where: str) -> bool:
    for name, own in raw.items():
        require_shape(kind, own, f"{where}.{name}")
    return True


def _fits_table(kind: Any, raw: Any, where: str) -> bool:
    if not isinstance(raw, dict):
        return False
    fields = {field.name: field for field in dataclasses.fields(kind)}
    missing = dataclasses.MISSING
    needed = {name for name, own in fields.items() if own.default is missing and own.default_factory is missing}
    if unknown := raw.keys() - fields.keys():
        raise ValueError(f"{where}.{min(unknown)}, which this program doesn't know")
    if lacking := needed - raw.keys():
        raise ValueError(f"{where} without {min(lacking)}")
    for name, own in raw.items():
        require_shape(_hints(kind)[name], own, f"{where}.{name}")
    return True


def _is_plain(kind: Any, raw: Any) -> bool:
    if kind is float:
        return isinstance(raw, int | float) and not isinstance(raw, bool)
    return type(raw) is (type(None) if kind is None else kind)
