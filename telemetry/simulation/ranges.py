"""Parameters within their stated ranges."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

Range = tuple[float, float]


def check_ranges(what: object, ranges: Mapping[str, Range]) -> None:
    """Refuse an object of which a number lies outside its range, or is none.

    Parameters
    ----------
    what : object
        With one attribute, a number, for each key of `ranges`.
    ranges : mapping of attribute name to (lowest, highest)
        Both ends are allowed.

    Raises
    ------
    ValueError
        Naming the type, the attribute, its value and its range.
    """
    for name, (lowest, highest) in ranges.items():
        value = getattr(what, name)
        if not (isfinite(value) and lowest <= value <= highest):
            raise ValueError(f"{type(what).__name__}.{name}: found {value!r}; expected {lowest:g} to {highest:g}")
