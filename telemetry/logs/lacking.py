"""Which of the columns that are asked for a log lacks, seen from its first rows alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from telemetry.errors import LogError
from telemetry.model.day import LogOptions
from telemetry.model.sensor import ColumnName

from .columns import find_column
from .opening import open_log
from .source import within_memory


def lacking_columns(
    path: Path, asked: Iterable[ColumnName], options: LogOptions, shown_as: str
) -> Mapping[ColumnName, LogError]:
    """Return why columns can't be found in a log; nothing of those that can.

    Parameters
    ----------
    path : Path
    asked : iterable of str or int
        Columns by name, or by number from 1.
    options : LogOptions
    shown_as : str
        The log's name in messages.

    Raises
    ------
    LogError
        If its first rows can't be read.
    """
    with within_memory(shown_as):
        dialect = open_log(path, shown_as, options).dialect
    lacking = {}
    for column in asked:
        try:
            find_column(dialect, column, shown_as)
        except LogError as error:
            lacking[column] = error
    return lacking
