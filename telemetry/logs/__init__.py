"""Log files read: any delimited text, only the needed columns, one clock."""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

from .gaps import told_within
from .lacking import lacking_columns
from .layout import layout_of
from .presses import pressed_marks
from .reader import read_log, read_logs
from .reading import bytes_to_keep, bytes_to_measure

if TYPE_CHECKING:
    from .sketch import sketch_log

_HOMES = {"sketch": "sketch_log"}

__all__ = [
    "bytes_to_keep",
    "bytes_to_measure",
    "lacking_columns",
    "layout_of",
    "pressed_marks",
    "read_log",
    "read_logs",
    "sketch_log",
    "told_within",
]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
