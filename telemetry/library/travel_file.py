"""A run's travel from elsewhere: a Parquet file held to what ours are, by its list of parts before it is unpacked."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa
from pyarrow import parquet

TRAVEL_COLUMNS = {
    "time_s": pa.float64(),
    "front_travel_mm": pa.float32(),
    "rear_travel_mm": pa.float32(),
    "riding_time": pa.bool_(),
    "airborne": pa.bool_(),
}
"""Of a kept run's travel, in this order; a run has those that it can give."""
ALWAYS = ("time_s", "riding_time")
MOST_ROWS = 200_000_000
"""A day and a half at 1 kHz; own choice."""
MOST_ROWS_TOGETHER = 1 << 20
"""Of one part of the file, as pyarrow writes it."""
MOST_OF_METADATA = 64 << 10
"""Bytes; own choice."""
FEWEST_IN_A_PART = 1000
"""Rows, on the whole; own choice."""
LARGEST_VALUE = 9
"""Bytes: a number of eight, and whether it is there."""
ENCODINGS = frozenset({"PLAIN", "RLE", "BYTE_STREAM_SPLIT"})
BESIDE_VALUES = 4096
"""Bytes that a column's part may take beside its values: heads of pages, which values are there. Own choice."""


def require_travel(file: Path) -> None:
    """Refuse a file that isn't the travel of a run as it is kept.

    Raises
    ------
    ValueError

    Notes
    -----
    Rows, parts and sizes are held against each other before anything is unpacked; then it is read through, part by
    part.
    """
    try:
        with file.open("rb") as handle, parquet.ParquetFile(handle) as opened:
            _check(opened.metadata, opened.schema_arrow)
            for part in range(opened.metadata.num_row_groups):
                opened.read_row_group(part)
    except (pa.ArrowException, OSError, ValueError, MemoryError) as error:
        raise ValueError(f"travel of a run that isn't as it is kept ({error})") from None


def _check(told: parquet.FileMetaData, schema: pa.Schema) -> None:
    found = {field.name: field.type for field in schema}
    wanted = {name: kind for name, kind in TRAVEL_COLUMNS.items() if name in found}
    if list(found.items()) != list(wanted.items()) or len(schema) != len(found) or not {*ALWAYS} <= found.keys():
        raise ValueError("other columns")
    if sum(map(len, (*(schema.metadata or {}), *(schema.metadata or {}).values()))) > MOST_OF_METADATA:
        raise ValueError("too much said of it")
    if not 0 <= told.num_rows <= MOST_ROWS or told.num_row_groups > 1 + told.num_rows // FEWEST_IN_A_PART:
        raise ValueError("too many rows or parts")
    for place in range(told.num_row_groups):
        _check_part(told.row_group(place))


def _check_part(part: parquet.RowGroupMetaData) -> None:
    rows = part.num_rows
    if not 0 <= rows <= MOST_ROWS_TOGETHER:
        raise ValueError("parts of too many rows")
    for place in range(part.num_columns):
        column = part.column(place)
        if column.compression != "ZSTD" or not set(column.encodings) <= ENCODINGS or column.num_values != rows:
            raise ValueError("columns packed otherwise")
        if column.total_uncompressed_size > LARGEST_VALUE * rows + BESIDE_VALUES + rows // 64:
            raise ValueError("columns that unfold into more than their rows")
