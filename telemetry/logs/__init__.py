"""Log files read: any delimited text, only the needed columns, one clock."""

from .lacking import lacking_columns
from .presses import pressed_marks
from .reader import read_log
from .reading import bytes_to_keep, bytes_to_measure
from .sketch import sketch_log

__all__ = ["bytes_to_keep", "bytes_to_measure", "lacking_columns", "pressed_marks", "read_log", "sketch_log"]
