"""The numbers of docs/thresholds.md: what tests of thresholds go by, so that the code and the handbook can't part."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

PAGE = Path(__file__).parents[1] / "docs" / "thresholds.md"
ROW = re.compile(r"^\| `([a-z_.]+\.[A-Z0-9_]+)` \| ([-0-9., ]+) \|", re.MULTILINE)


@cache
def documented() -> dict[str, tuple[float, ...]]:
    """Return the documented numbers by the constant's place, as in "measures.riding.STANDING_S"."""
    rows = ROW.findall(PAGE.read_text(encoding="utf-8"))
    assert len({name for name, _ in rows}) == len(rows)
    return {name: tuple(map(float, numbers.split(","))) for name, numbers in rows}


def threshold(name: str) -> float:
    """Return one documented number."""
    (number,) = documented()[name]
    return number
