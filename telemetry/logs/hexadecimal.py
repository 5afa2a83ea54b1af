"""Columns of hexadecimal counts: known by their look, read as such where that is stated."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from telemetry.errors import LogError
from telemetry.model.arrays import Floats

from .table import Words

HEX_COUNT = re.compile(r"(0[xX])?[0-9a-fA-F]{1,12}")
_DECIMAL = re.compile(r"\d+([eE]\d+)?")
_DECIMAL_SIGNS = frozenset("0123456789.,+- ")
FEWEST_KINDS, LETTERED_SHARE, COUNTS_SHARE = 10, 0.1, 0.95
"""Own choices: a column of fewer different cells may hold a state's names, such as ``A1`` and ``B2``; a tenth of its
cells have a letter at least, and all but some broken ones are counts."""


def hex_numbers(cells: Words) -> tuple[Floats, str | None]:
    """Return hexadecimal counts as numbers, NaN where a cell is none, and the first cell that is neither one nor empty.

    Examples
    --------
    >>> import numpy as np
    >>> hex_numbers(Words(known=("0x1F", "ff", "", "12h"), codes=np.arange(4)))
    (array([ 31., 255.,  nan,  nan]), '12h')
    """
    wrong = next((cell for cell in cells.known if cell and not HEX_COUNT.fullmatch(cell)), None)
    return cells.numbers(lambda cell: float(int(cell, 16)) if HEX_COUNT.fullmatch(cell) else float("nan")), wrong


def hex_examples(rows: Sequence[Sequence[str]]) -> dict[int, str]:
    """Return the places, from 0, of columns whose cells can be nothing but hexadecimal counts, and a cell of each.

    Parameters
    ----------
    rows : sequence of cells
        Some of the log's rows.

    Notes
    -----
    Digits alone (``12``) may be decimal: of a column without letters nothing is said.

    Examples
    --------
    >>> rows = [[str(count), f"{count:03X}"] for count in range(1500, 1600)]
    >>> hex_examples(rows)
    {1: '5DC'}
    """
    found = {}
    for place in range(max(map(len, rows), default=0)):
        example = hex_example([row[place] for row in rows if place < len(row) and row[place]])
        if example is not None:
            found[place] = example
    return found


def hex_example(cells: Sequence[str]) -> str | None:
    """Return one of a column's cells where they can be nothing but hexadecimal counts, else None."""
    if _DECIMAL_SIGNS.issuperset("".join(cells)):
        return None
    counts = [cell for cell in cells if HEX_COUNT.fullmatch(cell)]
    lettered = [cell for cell in counts if not _DECIMAL.fullmatch(cell)]
    enough = len(counts) >= COUNTS_SHARE * len(cells) and len(lettered) >= LETTERED_SHARE * len(cells)
    return lettered[0] if enough and len(set(counts)) >= FEWEST_KINDS else None


def with_plain_counts(
    rows: Sequence[Sequence[str]], some: Sequence[Sequence[str]], data_share: Callable[[Sequence[str]], float]
) -> Sequence[Sequence[str]]:
    """Return rows with 0 in place of hexadecimal counts, where some of the rows show columns of them.

    A row whose other cells aren't data stays: a name such as ``A0`` may be a count.

    Parameters
    ----------
    rows, some : sequence of rows of cells
    data_share : callable
        Gives the share of a row's cells that are data.
    """
    places = hex_examples(some).keys()

    def plain(row: Sequence[str]) -> Sequence[str]:
        others = [cell for place, cell in enumerate(row) if place not in places]
        if any(others) and data_share(others) < 1.0:
            return row
        return ["0" if place in places and HEX_COUNT.fullmatch(cell) else cell for place, cell in enumerate(row)]

    return [plain(row) for row in rows] if places else rows


def check_decimal(rows: Sequence[Sequence[str]], places: Iterable[int], names: Sequence[str], where: str) -> None:
    """Refuse hexadecimal counts where nothing states them: ``5E2`` would be 500, and cells of digits decimal.

    Parameters
    ----------
    rows : sequence of cells
        Some of the log's rows.
    places : iterable of int
        Of the columns to be read as numbers.
    names : sequence of str
        Of all columns.
    where : str

    Raises
    ------
    LogError
    """
    found = hex_examples(rows)
    for place in sorted(set(places) & found.keys()):
        raise LogError(
            f"{where}, column {(names[place] or place + 1)!r}",
            f"hexadecimal counts, such as {found[place]!r}",
            "decimal numbers",
            "state hex_counts = true in [log]",
        )
