"""A row of units beneath the header, told from a row of names."""

from __future__ import annotations

import re
from collections.abc import Sequence

_UNIT = re.compile(r"[\[(]?\s*[%°A-Za-zµ/²^0-9*.-]{0,8}\s*[\])]?")
# fmt: off
_UNIT_WORDS = frozenset(
    {
        "s", "sec", "ms", "us", "µs", "hz", "-", "%", "mm", "cm", "m", "in", "mm/s", "m/s", "km/h", "mph", "g",
        "m/s2", "m/s^2", "m/s²", "deg", "°", "deg/s", "°/s", "rad", "rad/s", "v", "mv", "ma", "n", "bar", "psi",
        "c", "°c", "count", "counts", "raw", "lsb", "bit", "bits", "adc",
    }
)
# fmt: on


def looks_like_units(cells: Sequence[str], above: Sequence[str]) -> bool:
    """Tell a row of units from one of names: bracketed, known as units, said twice, or shorter than the names.

    Parameters
    ----------
    cells : sequence of str
        The lower row.
    above : sequence of str
    """
    filled = [cell for cell in cells if cell]
    if not filled or not all(_UNIT.fullmatch(cell) for cell in filled):
        return False
    for unlike_names in (_all_bracketed, _all_known_units, _any_twice):
        if unlike_names(filled) and not unlike_names([cell for cell in above if cell]):
            return True
    known = sum(_all_known_units([cell]) for cell in filled)
    return 2 * known > len(filled) and sum(map(len, cells)) < sum(map(len, above))


def _all_bracketed(cells: Sequence[str]) -> bool:
    return all(cell[0] in "[(" and cell[-1] in "])" for cell in cells)


def _all_known_units(cells: Sequence[str]) -> bool:
    return all(cell.strip("[]() ").lower() in _UNIT_WORDS for cell in cells)


def _any_twice(cells: Sequence[str]) -> bool:
    return len(set(cells)) < len(cells)
