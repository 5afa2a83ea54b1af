"""Digits grouped by thousands, as spreadsheets write them: 1'234, 1 234, 1,234.5, 1.234,5."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain

SAFE_SIGNS = ("'", "\u2019", " ", "\u00a0", "\u2009", "\u202f")
"""Signs that stand in no number for anything else."""
DECIMAL_TOO = {",": ".", ".": ","}
"""Signs that may be the decimal sign as well, and what the decimal sign is where they aren't."""
_ANY_GROUPED = re.compile(rf"[+-]?[1-9][0-9]{{0,2}}([{''.join(SAFE_SIGNS)}.,][0-9]{{3}})+([.,][0-9]*)?")
FEWEST_ALIKE = 20
"""Own choice: twenty cells of just three decimals beside larger whole numbers are no decimals."""
_SIGN_WORDS = {",": "commas", ".": "points", "'": "apostrophes", "\u2019": "apostrophes"}


def sign_words(sign: str) -> str:
    """Return a grouping sign in a word; most can't be told apart where they are printed."""
    return "blanks" if sign.isspace() else _SIGN_WORDS.get(sign, repr(sign))


@cache
def grouped_pattern(sign: str, decimal: str) -> str:
    """Return the regular expression of a number grouped by a sign: one to three digits, then three at a time."""
    sign, decimal = re.escape(sign), re.escape(decimal)
    return rf"[+-]?[1-9][0-9]{{0,2}}({sign}[0-9]{{3}})+({decimal}[0-9]*)?"


def may_be_grouped(cell: str) -> bool:
    """Tell whether a cell may be a number grouped by whatever sign."""
    return _ANY_GROUPED.fullmatch(cell) is not None


def ungrouped(cell: str, sign: str | None, decimal: str) -> str:
    """Return a cell without the sign, where it groups its digits by thousands; else as it is.

    Examples
    --------
    >>> ungrouped("1.126,5", ".", ","), ungrouped("3.14", ".", ",")
    ('1126,5', '3.14')
    """
    if sign is None or sign not in cell or re.fullmatch(grouped_pattern(sign, decimal), cell) is None:
        return cell
    return cell.replace(sign, "")


@dataclass(frozen=True, slots=True)
class Grouping:
    """A sign that groups digits by thousands; an example of what may be a decimal all the same, else empty."""

    sign: str
    doubtful: str = ""


def find_grouping(rows: Sequence[Sequence[str]], decimal: str | None) -> Grouping | None:
    """Return the sign that groups digits by thousands, None where none does.

    Parameters
    ----------
    rows : sequence of cells
        Some of the log's rows, equally wide.
    decimal : str or None
        The decimal sign where it is stated.

    Notes
    -----
    A comma or point groups where it stands twice in a number, or before the other one; or where cells of a column
    have it before their last three digits, others have none, and those are far larger than what such cells would be as
    decimals: in doubt with fewer than twenty. One cell that can't be grouped so says no.

    Examples
    --------
    >>> find_grouping([["999", "1'002'000"]] * 3, None)
    Grouping(sign="'", doubtful='')
    >>> find_grouping([["1.125", "2.250"]] * 40, None) is None
    True
    >>> find_grouping([["998"], *[["1.002"]] * 20], None)
    Grouping(sign='.', doubtful='')
    >>> find_grouping([["998"], ["1.002"]], None)
    Grouping(sign='.', doubtful='1.002')
    """
    columns = [[cell for cell in cells if cell] for cells in zip(*rows, strict=True)]
    letters = set("".join(chain.from_iterable(columns)))
    for sign in (*SAFE_SIGNS, *DECIMAL_TOO):
        if sign == decimal or sign not in letters:
            continue
        found = _safe_sign(sign, columns) if sign in SAFE_SIGNS else _decimal_too(sign, columns)
        if found is not None:
            return found
    return None


def _numbers_with(sign: str, cells: Iterable[str]) -> list[str]:
    numeric = re.compile(rf"[+-]?[0-9][0-9.,{re.escape(sign)}]*")
    return [cell for cell in cells if sign in cell and numeric.fullmatch(cell)]


def _safe_sign(sign: str, columns: list[list[str]]) -> Grouping | None:
    cells = _numbers_with(sign, chain.from_iterable(columns))
    pattern = re.compile("|".join(grouped_pattern(sign, decimal) for decimal in DECIMAL_TOO))
    return Grouping(sign) if cells and all(map(pattern.fullmatch, cells)) else None


def _decimal_too(sign: str, columns: list[list[str]]) -> Grouping | None:
    other = DECIMAL_TOO[sign]
    with_sign = [_numbers_with(sign, cells) for cells in columns]
    cells = list(chain.from_iterable(with_sign))
    pattern = re.compile(grouped_pattern(sign, other))
    if not cells or not all(map(pattern.fullmatch, cells)):
        return None
    if any(cell.count(sign) > 1 or other in cell for cell in cells):
        return Grouping(sign)
    tiny = [found for column, found in zip(columns, with_sign, strict=True) if _tiny_as_decimals(column, found)]
    if not tiny:
        return None
    return Grouping(sign, "" if max(map(len, tiny)) >= FEWEST_ALIKE else tiny[0][0])


def _tiny_as_decimals(column: list[str], with_sign: list[str]) -> bool:
    """Tell whether a column's cells with the sign would be far smaller than its whole numbers, were they decimals."""
    whole = [abs(int(cell)) for cell in column if re.fullmatch(r"[+-]?[0-9]{1,3}", cell)]
    decimals = [abs(float(cell.replace(",", "."))) for cell in with_sign]
    return bool(decimals) and max(whole, default=0) > 2 * max(decimals)
