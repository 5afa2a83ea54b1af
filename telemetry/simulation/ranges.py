"""Parameters within the ranges that their fields state."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from telemetry.model.ranges import Range


@cache
def _ranges(kind: Any) -> Mapping[str, Range]:
    hints = get_type_hints(kind, include_extras=True)
    return {name: get_args(hint)[1] for name, hint in hints.items() if get_origin(hint) is Annotated}


def check_ranges(what: object) -> None:
    """Refuse an object of which a number lies outside the range its field states, or is none.

    Parameters
    ----------
    what : dataclass
        Both ends of a range are allowed.

    Raises
    ------
    ValueError
        Naming the type, the field, its value and its range.
    """
    kind: Any = type(what)
    for name, bounds in _ranges(kind).items():
        value = getattr(what, name)
        if not bounds.low <= value <= bounds.high:
            found = f"{type(what).__name__}.{name}: found {value!r}"
            raise ValueError(f"{found}; expected {bounds.low:g} to {bounds.high:g}")
