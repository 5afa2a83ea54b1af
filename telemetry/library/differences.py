"""What differed on a day as the catalogue holds it: one row of figures a measure and end, packed."""

from __future__ import annotations

import math
import sqlite3
import struct
from collections.abc import Sequence
from typing import TYPE_CHECKING

from .record_of_comparison import KeptDifference

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SCALES = ("raw", "log", "count")
FIGURES = ("full_travel_mm", "d", "se", "nu", "reach", "floor_se", "floor_nu", "margin")
"""Of a `KeptDifference`; NaN where it holds None."""
PACKED = {"measure": "H", "scale": "B", "focus": "B"} | dict.fromkeys(FIGURES, "f")
"""`measure` is the key of the catalogue's measures; seven digits are more than any comparison tells."""


def packed(db: sqlite3.Connection, rows: Sequence[KeptDifference]) -> bytes:
    """Return rows as the catalogue holds them; measures it hasn't met are entered."""
    named = [(row.measure, row.end, row.unit) for row in rows]
    db.executemany("INSERT OR IGNORE INTO measures (measure, end, unit) VALUES (?, ?, ?)", named)
    keys = [
        db.execute("SELECT key FROM measures WHERE measure = ? AND end = ? AND unit = ?", name).fetchone()[0]
        for name in named
    ]
    of_row = struct.Struct("<" + "".join(PACKED.values()))
    return b"".join(
        of_row.pack(key, SCALES.index(row.scale), row.focus, *map(_figure, (getattr(row, name) for name in FIGURES)))
        for key, row in zip(keys, rows, strict=True)
    )


def _figure(value: float | None) -> float:
    return math.nan if value is None else value


def unpacked(data: bytes) -> NDArray[np.void]:
    """Return rows as they were packed."""
    import numpy as np  # a search needs none

    return np.frombuffer(data, dtype=[(name, f"<{kind}") for name, kind in PACKED.items()])
