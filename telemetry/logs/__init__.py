"""Log files read: any delimited text, only the needed columns, one clock."""

from .presses import read_presses
from .reader import read_log
from .sketch import sketch_log

__all__ = ["read_log", "read_presses", "sketch_log"]
