"""Log files read: any delimited text, only the needed columns, one clock."""

from .reader import read_log
from .sketch import sketch_log

__all__ = ["read_log", "sketch_log"]
