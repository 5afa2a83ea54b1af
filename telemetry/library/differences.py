"""What differed on a day as the catalogue holds it: one row of figures a measure and end, packed."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .record_of_comparison import KeptDifference

SCALES = ("raw", "log", "count")
FIGURES = ("full_travel_mm", "d", "se", "nu", "reach", "floor_se", "floor_nu", "margin")
"""Of a `KeptDifference`; NaN where it holds None."""
PACKED = np.dtype([("measure", "<u2"), ("scale", "u1"), ("focus", "u1"), *((name, "<f4") for name in FIGURES)])
"""`measure` is the key of the catalogue's measures; seven digits are more than any comparison tells."""


def packed(db: sqlite3.Connection, rows: Sequence[KeptDifference]) -> bytes:
    """Return rows as the catalogue holds them; measures it hasn't met are entered."""
    named = [(row.measure, row.end, row.unit) for row in rows]
    db.executemany("INSERT OR IGNORE INTO measures (measure, end, unit) VALUES (?, ?, ?)", named)
    keys = [
        db.execute("SELECT key FROM measures WHERE measure = ? AND end = ? AND unit = ?", name).fetchone()[0]
        for name in named
    ]
    found = np.zeros(len(rows), dtype=PACKED)
    found["measure"] = keys
    found["scale"] = [SCALES.index(row.scale) for row in rows]
    found["focus"] = [row.focus for row in rows]
    for name in FIGURES:
        found[name] = [np.nan if (value := getattr(row, name)) is None else value for row in rows]
    return found.tobytes()


def unpacked(data: bytes) -> NDArray[np.void]:
    """Return rows as they were packed."""
    return np.frombuffer(data, dtype=PACKED)
