"""A table for other people's tools: Parquet with what is known of it inside, or CSV that no spreadsheet runs."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

import pyarrow as pa
from pyarrow import csv, parquet

if TYPE_CHECKING:
    import pandas as pd

Form: TypeAlias = Literal["parquet", "csv"]
RUN_AS_FORMULA = "=+-@\t\r\n"
"""What makes spreadsheets take a cell for a formula where it stands first; in some languages' the wide and the small
forms of these signs too (from memory)."""
PASSED_OVER = " \"'\u200b\ufeff"
"""What they may drop before they look: blanks, of any width, and quotes."""
HARMLESS = "'"


def defused(text: str) -> str:
    """Return a text cell that no spreadsheet runs as a formula: an apostrophe goes before one that it would.

    Examples
    --------
    >>> defused("=1+1"), defused("  @A1"), defused("a = b")
    ("'=1+1", "'  @A1", 'a = b')
    """
    plain = unicodedata.normalize("NFKC", text)  # wide and small forms to the usual ones
    return HARMLESS + text if plain.lstrip(PASSED_OVER).startswith(tuple(RUN_AS_FORMULA)) else text


def _defused(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Return a column whose texts are defused; one of numbers as it is, the negative ones too."""
    if not (pa.types.is_string(column.type) or pa.types.is_large_string(column.type)):
        return column
    texts = column.dictionary_encode().combine_chunks()  # a name stands in many rows: each text is looked at once
    safe = pa.array([None if text is None else defused(text) for text in texts.dictionary.to_pylist()], column.type)
    return pa.chunked_array([safe.take(texts.indices)])


def _write_parquet(path: Path, table: pa.Table) -> None:
    floats = [field.name for field in table.schema if pa.types.is_floating(field.type)]
    with path.open("wb") as file:
        parquet.write_table(
            table,
            file,
            compression="zstd",
            use_dictionary=False,
            column_encoding=dict.fromkeys(floats, "BYTE_STREAM_SPLIT"),
        )


def _write_csv(path: Path, table: pa.Table) -> None:
    safe = pa.table([_defused(column) for column in table.columns], names=table.column_names)
    with path.open("wb") as file:
        csv.write_csv(safe, file)


def _kinds_kept(table: pa.Table) -> pa.Table:
    """Return a table whose columns without any value are of texts: one kind a column, whatever a day holds."""
    kinds = [field.with_type(pa.string()) if pa.types.is_null(field.type) else field for field in table.schema]
    return table.cast(pa.schema(kinds, metadata=table.schema.metadata))


def write_frame(folder: Path, name: str, frame: pd.DataFrame, about: Mapping[str, object], form: Form) -> Path:
    """Write a frame as one file.

    Parameters
    ----------
    folder : Path
        That exists.
    name : str
        Of the file, without its ending.
    frame : DataFrame
        Columns of one kind each; one without any value counts as text. Its index isn't written. What is missing
        becomes a null, in CSV an empty cell.
    about : mapping
        What is known of it: goes into a Parquet file's metadata, texts as they are and all else as JSON.
    form : {"parquet", "csv"}

    Returns
    -------
    Path
        Of the file.
    """
    path = folder / f"{name}.{form}"
    table = _kinds_kept(pa.Table.from_pandas(frame, preserve_index=False))
    if form == "csv":
        _write_csv(path, table)
        return path
    told = {
        key: value if isinstance(value, str) else json.dumps(value, allow_nan=False) for key, value in about.items()
    }
    _write_parquet(path, table.replace_schema_metadata({**(table.schema.metadata or {}), **told}))
    return path
